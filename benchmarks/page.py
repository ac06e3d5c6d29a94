"""How quick the page is on this machine: first paint, a step of the slider, an edit rechecked.

    ./run py -m benchmarks.page

Times, not ratios: they say what a person waits for. Needs Debian's chromium and Playwright; the
Heron is copied, its first reading is edited, and everything stays on this machine.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "browser"))

from bench_pages import (
    CHROMIUM,
    DESK,
    FLAGS,
    HERON,
    PATIENCE,
    drawn,
    settled,
    start,
    stop,
)

TIMES = 7

PAINTED = """() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime"""
SLID = """async () => {
  const state = await import("/assets/js/state.js");
  const gl = document.querySelector("canvas").getContext("webgl2");
  const [script, drawn] = [[], []];
  const frame = () => new Promise((done) => requestAnimationFrame(done));
  for (let k = 1; k <= 60; k++) {
    let start = performance.now();
    state.angle.value = k;
    await Promise.resolve();
    script.push(performance.now() - start);
    await frame();
    start = performance.now();
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    drawn.push(performance.now() - start);
    await frame();
  }
  return [script, drawn];
}"""
EDITED = """async (value) => {
  const state = await import("/assets/js/state.js");
  const wire = await import("/assets/js/wire.js");
  const row = state.rows.value.rows[0];
  const start = performance.now();
  await wire.edit({ do: "alter", line: row.line, old: wire.cells(row),
    row: { ...wire.cells(row), value } });
  const written = performance.now() - start;
  const until = async (...parts) => {
    while (parts.some(state.old)) await new Promise((done) => setTimeout(done, 1));
    return performance.now() - start;
  };
  const measured = await until("measure");
  const shaped = await until("tubes", "swing", "plates");
  const checked = await until("fit", "strength", "build", "make");
  return { written, measured, shaped, checked, drawn: await until("scene", "curves") };
}"""


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        job = Path(folder) / "heron"
        shutil.copytree(HERON, job)
        served = start(job)
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        try:
            measure(browser, served.address)
        finally:
            browser.close()
            stop(served)


def measure(browser: Browser, address: str) -> None:
    """Every figure, each the median of some."""
    paints = [painted(browser, address) for _ in range(TIMES)]
    say("first paint, cold cache", paints)
    page = opened(browser, address)
    page.locator("#op-swing").click()
    script, drawn = page.evaluate(SLID)
    say("step of the slider, script", script)
    say("  and its frame, in software", drawn)
    values = [f"61 {k}/32" for k in (9, 11, 13, 15, 17, 19, 21)]
    edits, state = [], settled(page)
    for value in values:
        edits.append(page.evaluate(EDITED, value))
        state = settled(page, state)
    for key, what in (
        ("written", "edit to file"),
        ("measured", "edit to marks and doubts"),
        ("shaped", "edit to tubes, swing, plates"),
        ("checked", "edit to whole recheck"),
        ("drawn", "  and everything drawn"),
    ):
        say(what, [e[key] for e in edits])


def painted(browser: Browser, address: str) -> float:
    """First contentful paint [ms] in a browser that has seen nothing yet."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(address)
    page.locator(".card h1").wait_for(timeout=PATIENCE)
    page.wait_for_timeout(300)
    time = float(page.evaluate(PAINTED))
    context.close()
    return time


def opened(browser: Browser, address: str) -> Page:
    """A page on which everything has been worked out and drawn."""
    page = browser.new_context(viewport=DESK).new_page()
    page.goto(address)
    drawn(page)
    page.wait_for_timeout(1500)
    return page


def say(what: str, times: list[float]) -> None:
    """One line: the median, and the slowest."""
    print(f"{what:<28} {statistics.median(times):8.1f} ms   slowest {max(times):8.1f} ms")


if __name__ == "__main__":
    main()
