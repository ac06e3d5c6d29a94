"""What the browser tests share: a small job, a bench that is started and stopped, its pages."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import expect

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--disable-gpu-compositing",
)
"""The last leaves it to the processor to put the page together, as on a machine that has no
graphics card: else an emulated one does it, at ten times the cost."""
HERON = Path(__file__).parents[2] / "examples" / "heron"
DESK, PHONE = {"width": 1440, "height": 900}, {"width": 390, "height": 844}
PATIENCE = 90_000
"""Milliseconds a test waits for the calculation; a machine that does other things takes long."""
expect.set_options(timeout=PATIENCE)

SMALL = """# A small job, written by hand.
[job]
name = "Two bars"
unit = "in"

[stock.main]
od = 1.5          # what is on the rack
wall = 0.095

[bar.post]
stock = "main"
path = ["A", "B"]

[bar.rail]
stock = "main"
path = ["C", "D"]
cope = { from = ["post"], to = [] }
"""
SMALL_READINGS = """kind,marks,value,plus_minus,note
fixed,A,0 10 0,,
fixed,B,0 10 40,,
fixed,C,0 10 20,,
height,D,20,,
station,D,30,,
offset,D,10,,
tape,C D,30,,by hand
"""


@dataclass
class Served:
    """A bench that is running: its job's folder and the address that lets one in."""

    folder: Path
    address: str
    process: subprocess.Popen[str] = field(repr=False)

    def text(self, name: str) -> str:
        return (self.folder / name).read_bytes().decode()


def start(folder: Path, *more: str) -> Served:
    command = [sys.executable, "-m", "barwright.cli", "bench", str(folder)]
    command += ["--no-browser", "--port", "0", "--json", *more]
    env = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env=env
    )  # what it complains of goes where the tests' own words go
    assert process.stdout is not None
    said = json.loads(process.stdout.readline())
    return Served(folder=folder, address=said["address"], process=process)


def stop(served: Served) -> None:
    served.process.terminate()
    served.process.wait(timeout=PATIENCE / 1000)
    assert served.process.stdout is not None
    served.process.stdout.close()


@dataclass
class Opened:
    """Pages opened in a test, and everything they asked for and complained about."""

    page: Callable[..., Any]
    asked: list[str]
    wrong: list[str]


def write_small(folder: Path) -> None:
    (folder / "job.toml").write_text(SMALL)
    (folder / "readings.csv").write_text(SMALL_READINGS)


LATEST = """() => Number(document.querySelector(".now").dataset.version)"""
SETTLED = """(after) => {
  const now = document.querySelector(".now");
  const version = Number(now?.dataset.version);
  return now?.textContent === "up to date" && version > after ? version : 0;
}"""


def settled(page: Any, after: int = 0) -> int:
    """Wait until a state of the job later than `after` is worked out and shown; its number."""
    return int(page.wait_for_function(SETTLED, arg=after, timeout=PATIENCE).json_value())


@contextmanager
def reworked(page: Any) -> Iterator[None]:
    """What is done within changes the job: afterwards the page shows what came of it.

    The page goes on saying `up to date` until it hears of a change, so a later state than the last
    it heard of is waited for.
    """
    before = int(page.evaluate(LATEST))
    yield
    settled(page, before)


def turn_to(page: Any, op: str) -> Any:
    """Open an operation and hand back its body."""
    head = page.locator(f"#op-{op}")
    if head.get_attribute("aria-expanded") != "true":
        head.click()
    body = page.locator(f"#body-{op}")
    body.wait_for()
    return body


def drawn(page: Any, says: str = "") -> None:
    """Wait until the picture stands beside the card, with what its caption begins with."""
    caption = page.locator(".caption")
    expect(caption).not_to_contain_text("is being drawn")
    expect(caption).to_have_text(re.compile("^" + re.escape(says)))
    settled(page)  # the picture's own part of the answer is fetched once there is a view


def steady(page: Any, part: str = "body") -> bytes:
    """How a part of the page looks once it no longer changes, however slow the machine."""
    last = page.locator(part).screenshot()
    for _ in range(200):
        page.wait_for_timeout(150)
        now = page.locator(part).screenshot()
        if now == last:
            return bytes(now)
        last = now
    raise AssertionError(f"{part} goes on changing")


def tap(target: Any, across: float, down: float) -> None:
    """Click at a point of what is drawn, by its share of width and height, wherever it lies."""
    wide, high = target.evaluate("(e) => [e.clientWidth, e.clientHeight]")
    target.click(position={"x": wide * across, "y": high * down})
