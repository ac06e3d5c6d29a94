# ruff: noqa: INP001 - a script of the manual, not a package
"""Take the manual's pictures of the page, on the Heron. Needs Chromium and the extra `test`.

    python docs/pictures/bench.py

The page is opened as its own tests open it, and pictured as it stands.
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
sys.path.insert(0, str(ROOT / "tests" / "browser"))

from bench_pages import (  # noqa: E402 - lies with the tests
    CHROMIUM,
    DESK,
    FLAGS,
    PHONE,
    drawn,
    settled,
    start,
    stop,
    turn_to,
)
from PIL import Image  # noqa: E402
from playwright.sync_api import sync_playwright  # noqa: E402

OPERATIONS = ("measure", "tubes", "swing", "plates", "fit", "strength", "build", "make")


def half_open(page: Any, body: Any) -> None:  # noqa: ANN401 - the browser's own
    """The leaf at 40°."""
    body.locator("input[type=range]").first.fill("40")
    page.wait_for_timeout(1500)


def upper(page: Any, body: Any) -> None:  # noqa: ANN401 - the browser's own
    """The hinged bar chosen."""
    body.get_by_role("button", name="upper", exact=True).first.click()
    page.wait_for_timeout(1500)


DO: dict[str, Callable[[Any, Any], None]] = {"swing": half_open, "tubes": upper}


def picture(page: Any, name: str, op: str) -> None:  # noqa: ANN401 - the browser's own
    """One operation as it stands, beside this script."""
    settled(page)
    body = turn_to(page, op)
    drawn(page)
    if op in DO:
        DO[op](page, body)
    if name == "phone":
        body.locator("input[type=range]").first.evaluate("e => e.scrollIntoView({block: 'center'})")
    elif op != "measure":
        page.locator(f"#op-{op}").evaluate("e => e.scrollIntoView()")
    whole = Image.open(io.BytesIO(still(page))).convert("RGB")
    small = whole.quantize(128, dither=Image.Dither.NONE)
    small.save(HERE / f"bench-{name}.png", optimize=True)
    page.close()


def still(page: Any) -> bytes:  # noqa: ANN401 - the browser's own
    """What the window shows once it no longer changes."""
    last = b""
    while (now := bytes(page.screenshot())) != last:
        last = now
        page.wait_for_timeout(500)
    return last


def main() -> None:
    """All of them."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        job = Path(folder) / "heron"
        shutil.copytree(ROOT / "examples" / "heron", job)
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        served = start(job)
        try:
            let_in = browser.new_page()
            let_in.goto(served.address)
            kept, address = let_in.context.storage_state(), let_in.url
            shots = [(op, op, DESK, "light") for op in OPERATIONS]
            shots += [("dark", "swing", DESK, "dark"), ("phone", "swing", PHONE, "light")]
            for name, op, size, scheme in shots:
                page = browser.new_page(viewport=size, color_scheme=scheme, storage_state=kept)
                page.goto(address)
                picture(page, name, op)
        finally:
            stop(served)


if __name__ == "__main__":
    main()
