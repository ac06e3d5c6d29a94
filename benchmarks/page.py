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
from dataclasses import dataclass
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
  const { effect } = await import("/assets/vendor/ui.js");
  const row = state.rows.value.rows[0];
  const start = performance.now();
  await wire.edit({ do: "alter", line: row.line, old: wire.cells(row),
    row: { ...wire.cells(row), value } });
  const written = performance.now() - start;
  const until = (...parts) => new Promise((done) => {
    effect(() => {
      if (!parts.map(state.old).includes(true)) done(performance.now() - start);
    });
  });
  const measured = await until("measure");
  const shaped = await until("tubes", "swing", "plates");
  const checked = await until("fit", "strength", "build", "make");
  return { written, measured, shaped, checked, drawn: await until("scene", "curves") };
}"""


@dataclass(frozen=True, kw_only=True)
class Wait:
    """What a person waits for: each time it was measured, and what is wished for [ms]."""

    what: str
    times: list[float]
    wished: float | None = None

    @property
    def middle(self) -> float:
        """The median."""
        return statistics.median(self.times)

    @property
    def slowest(self) -> float:
        """The longest."""
        return max(self.times)


def main() -> None:
    """Measure and print."""
    for wait in waits():
        print(f"{wait.what:<34} {wait.middle:8.1f} ms   slowest {wait.slowest:8.1f} ms")


def table() -> str:
    """Measure, for the manual."""
    rows = [
        f"| {w.what} | {w.middle:.1f} ms | {w.slowest:.1f} ms | "
        f"{'' if w.wished is None else f'{w.wished:g} ms'} |"
        for w in waits()
    ]
    return "\n".join(["| wait for | middle | slowest | wished for |", "|---|---|---|---|", *rows])


def waits() -> list[Wait]:
    """Everything measured, on the Heron."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        job = Path(folder) / "heron"
        shutil.copytree(HERON, job)
        served = start(job)
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        try:
            return measured(browser, served.address)
        finally:
            browser.close()
            stop(served)


def measured(browser: Browser, address: str) -> list[Wait]:
    """Every wait, each some times."""
    paints = [painted(browser, address) for _ in range(TIMES)]
    page = opened(browser, address)
    page.locator("#op-swing").click()
    script, drawn = page.evaluate(SLID)
    edits, state = [], settled(page)
    for k in range(9, 9 + 2 * TIMES, 2):
        edits.append(page.evaluate(EDITED, f"61 {k}/32"))
        state = settled(page, state)
    return [
        Wait(what="first paint, nothing cached", times=paints, wished=1000),
        Wait(what="a step of the slider, script", times=script, wished=16),
        Wait(what="its picture, drawn in software", times=drawn),
        Wait(what="an edit written to the file", times=[e["written"] for e in edits]),
        Wait(what="marks and doubts after it", times=[e["measured"] for e in edits]),
        Wait(what="tubes, swing and plates after it", times=[e["shaped"] for e in edits]),
        Wait(what="everything rechecked after it", times=[e["checked"] for e in edits], wished=300),
        Wait(what="everything drawn after it", times=[e["drawn"] for e in edits]),
    ]


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


if __name__ == "__main__":
    main()
