"""The printed board, measured in the PDF itself and read by the image library."""

import io
import shutil
import subprocess

import cv2
import numpy as np
import pytest
from pypdf import PdfReader

from barwright.job.errors import BadInput
from barwright.pack.drawing import Line, Loop
from barwright.pack.photo_board import pdf, sheet_of, write
from barwright.survey.template_board import ACROSS_BAR, SIDE, UP_BAR, board

MM = 72 / 25.4


@pytest.mark.parametrize(
    ("name", "wide", "high"), [("a4", 210, 297), ("a3", 297, 420), ("letter", 215.9, 279.4)]
)
def test_the_page_is_the_paper(name, wide, high):
    (page,) = PdfReader(io.BytesIO(pdf(board(name)))).pages
    box = page.mediabox
    assert float(box.width) == pytest.approx(wide * MM, abs=0.01)
    assert float(box.height) == pytest.approx(high * MM, abs=0.01)
    assert page.get("/UserUnit", 1) == 1


def test_the_same_bytes_every_time():
    assert pdf(board("a4")) == pdf(board("a4"))


def test_a_sheet_a_page_each_told_apart():
    reader = PdfReader(io.BytesIO(pdf(board("a4-2x2"))))
    texts = [page.extract_text() for page in reader.pages]
    assert len(texts) == 4
    assert all(f"sheet {i + 1} of 4" in text for i, text in enumerate(texts))
    assert ["dashed line" in t for t in texts] == [False, False, True, True]
    assert "Measured on this print" in texts[0]


def painted(name, number, per_mm=8):
    """The sheet's boxes, painted by the image library: an eye of its own for our primitives."""
    it = board(name)
    wide, high = it.size
    picture = np.full((round(high * per_mm), round(wide * per_mm)), 255, np.uint8)
    for item in sheet_of(it, number):
        if isinstance(item, Loop) and item.style and item.style.fill and not item.style.width:
            p = np.array([v[:2] for v in item.vertices])
            cells = np.stack([p[:, 0], high - p[:, 1]], axis=1) * per_mm - 0.5
            shade = 255 if item.style.fill == "#ffffff" else 0
            cv2.fillPoly(picture, [np.round(cells * 16).astype(np.int32)], shade, cv2.LINE_AA, 4)
    return picture


@pytest.mark.parametrize(("name", "number"), [("a4", 0), ("letter", 0), ("a4-2x2", 3)])
def test_the_library_reads_every_marker_where_it_should_be(name, number):
    it = board(name)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000))
    corners, numbers, _ = detector.detectMarkers(painted(name, number))
    first = number * it.per_sheet
    assert sorted(numbers.ravel()) == list(range(first, first + it.per_sheet))
    for seen, n in zip(corners, numbers.ravel(), strict=True):
        at = (seen[0] + 0.5) / 8 * (1, -1) + (0, it.size[1])
        assert np.abs(at - it.corners[n - first]).max() < 0.3


def test_bars_are_as_long_as_they_say():
    lines = [p for p in sheet_of(board("a4"), 0) if isinstance(p, Line)]
    spans = {round(abs(p.end[0] - p.start[0]) + abs(p.end[1] - p.start[1]), 6) for p in lines}
    assert {ACROSS_BAR, UP_BAR["a4"]} <= spans
    boxes = [p for p in sheet_of(board("a4"), 0) if isinstance(p, Loop)]
    marks = [v for b in boxes if len(b.vertices) == 4 for v in b.vertices if 15 < v[1] < 22]
    left = min(v[0] for v in marks)
    ends = {round(v[0] - left, 6) for v in marks}
    assert {100.0, 101.6} <= ends


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs a PDF renderer")
def test_printed_by_another_program_the_markers_are_true_to_a_tenth(tmp_path):
    write("a4", tmp_path / "board.pdf")
    subprocess.run(
        ["pdftoppm", "-r", "254", "-gray", "-png", tmp_path / "board.pdf", tmp_path / "page"],
        check=True,
    )
    (page,) = tmp_path.glob("page*.png")
    grey = cv2.imread(str(page), cv2.IMREAD_GRAYSCALE)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000))
    corners, numbers, _ = detector.detectMarkers(grey)
    it = board("a4")
    assert len(numbers) == it.per_sheet
    middles = np.array([c[0].mean(axis=0) for c in corners]) + 0.5
    at = middles / 10.0 * (1, -1) + (0, it.size[1])
    true = it.corners[numbers.ravel()].mean(axis=1)
    assert np.abs(at - true).max() < 0.1
    assert np.abs((at - true).mean(axis=0)).max() < 0.03
    sides = [np.linalg.norm(c[0][1] - c[0][0]) / 10 for c in corners]
    assert np.mean(sides) == pytest.approx(SIDE, abs=0.2)


def test_a_board_nobody_has_is_refused(tmp_path):
    with pytest.raises(BadInput):
        write("a9", tmp_path / "board.pdf")
    assert not list(tmp_path.iterdir())
