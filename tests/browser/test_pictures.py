"""The pictures in README and docs, made by what they show: BARWRIGHT_PICTURES=1 writes them.

Every run goes the same way; only with that set are the files written, so that a run leaves the
tree as it was.
"""

from __future__ import annotations

import io
import os
from pathlib import Path
from typing import Any

import pytest
from bench_pages import DESK, PHONE, Opened, Served, drawn, settled, steady, turn_to
from PIL import Image

PICTURES = Path(__file__).parents[2] / "docs" / "pictures"
WANTED = os.environ.get("BARWRIGHT_PICTURES") == "1"
LARGEST = 200_000
COLOURS = 224
"""Kept in a picture: the page is ink on paper, and so the files stay small."""


def take(page: Any, name: str, folder: Path) -> None:
    drawn(page)
    steady(page)
    whole = Image.open(io.BytesIO(page.screenshot()))
    few = whole.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(folder / f"{name}.png", optimize=True)
    size = (folder / f"{name}.png").stat().st_size
    assert 10_000 < size < LARGEST, f"{name}: {size} bytes"


@pytest.mark.parametrize(
    ("op", "chosen"),
    [
        ("measure", ""),
        ("tubes", "hoop"),
        ("swing", ""),
        ("plates", "side.latch.plate"),
        ("fit", ""),
        ("strength", ""),
        ("build", ""),
        ("make", ""),
    ],
)
def test_an_operation_is_pictured(
    heron: Served, opened: Opened, tmp_path: Path, op: str, chosen: str
) -> None:
    folder = PICTURES if WANTED else tmp_path
    folder.mkdir(parents=True, exist_ok=True)
    page = opened.page(heron)
    settled(page)
    body = turn_to(page, op)
    if chosen:
        body.get_by_role("button", name=chosen, exact=True).click()
    if op == "swing":
        body.locator(".plot").wait_for()
        body.get_by_role("slider").fill("60")
    take(page, f"bench-{op}", folder)


@pytest.mark.parametrize(("name", "scheme"), [("phone", "light"), ("dark", "dark")])
def test_a_phone_and_the_dark_are_pictured(
    heron: Served, opened: Opened, tmp_path: Path, name: str, scheme: str
) -> None:
    folder = PICTURES if WANTED else tmp_path
    folder.mkdir(parents=True, exist_ok=True)
    page = opened.page(heron, PHONE if name == "phone" else DESK, scheme)
    settled(page)
    body = turn_to(page, "swing")
    body.locator(".plot").wait_for()
    body.get_by_role("slider").fill("40")
    take(page, f"bench-{name}", folder)
