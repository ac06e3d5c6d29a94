from __future__ import annotations

import gzip
import re
from importlib.resources import files

import pytest

from barwright.bench.assets import asset
from barwright.bench.phone import code_rows

ASSETS = files("barwright.bench") / "assets"
FIRST = ("index.html", "card.css", "js/main.js", "js/card.js", "js/state.js", "vendor/ui.js")


@pytest.mark.parametrize(
    "name",
    [
        "../app.py",
        "js/../../app.py",
        "..\\app.py",
        "/etc/passwd",
        ".hidden.js",
        "js//main.js",
        "js",
        "",
        "app.py",
        "%2e%2e/app.py",
        "js/main.js\0",
    ],
)
def test_nothing_outside_the_pages_own_files_is_served(name: str) -> None:
    assert asset(name) is None


@pytest.mark.parametrize("name", FIRST)
def test_a_file_is_served_as_it_is_and_compressed(name: str) -> None:
    found = asset(name)
    assert found is not None
    assert gzip.decompress(found.packed) == found.data


def test_what_the_first_paint_needs_is_small() -> None:
    names = ["index.html", "card.css", "vendor/ui.js"]
    names += [f"js/{p.name}" for p in (ASSETS / "js").iterdir() if p.name.endswith(".js")]
    names += [f"js/ops/{p.name}" for p in (ASSETS / "js" / "ops").iterdir()]
    packed = sum(len(found.packed) for name in names if (found := asset(name)))
    assert packed < 60_000


def test_the_page_asks_nothing_of_other_machines() -> None:
    pages = [p for f in ("js", "js/ops", "js/view") for p in (ASSETS / f).iterdir() if p.is_file()]
    for page in (*pages, ASSETS / "index.html", ASSETS / "card.css"):
        text = page.read_text("utf-8").replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?://(?!\$)", text), page.name


@pytest.mark.parametrize("name", ["ui", "three"])
def test_vendored_modules_carry_their_licences(name: str) -> None:
    head = (ASSETS / "vendor" / f"{name}.js").read_text("utf-8")[:400]
    licence = (ASSETS / "vendor" / f"{name}.LICENSE.txt").read_text("utf-8")
    for package in re.findall(r"([@\w/.-]+) [\d.]+ \(([\w.-]+)\)", head):
        assert f"{package[0]} " in licence
    assert "Permission is hereby granted" in licence or "Apache License" in licence


def test_a_code_is_what_the_standard_says() -> None:
    """ISO/IEC 18004:2015 6.3.3, 6.3.4 (from memory): finders in three corners, timing between."""
    rows = code_rows("http://192.168.1.20:8730/?key=" + "a" * 32)
    finder = ["1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111"]
    assert [r[:7] for r in rows[:7]] == finder
    assert [r[-7:] for r in rows[:7]] == finder
    assert [r[:7] for r in rows[-7:]] == finder
    assert len(rows) == len(rows[0])
    assert (len(rows) - 17) % 4 == 0
    assert rows[6][8:-8] == ("10" * len(rows))[: len(rows) - 16]


def test_a_code_is_read_back_by_another_library() -> None:
    cv2 = pytest.importorskip("cv2")
    import numpy as np

    said = "http://192.168.1.20:8730/?key=Zx-3_a9QmV"
    rows = np.array([[255 * (c == "0") for c in r] for r in code_rows(said)], dtype=np.uint8)
    image = np.kron(np.pad(rows, 4, constant_values=255), np.ones((8, 8), dtype=np.uint8))
    read, _, _ = cv2.QRCodeDetector().detectAndDecode(image)
    assert read == said
