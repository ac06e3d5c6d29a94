"""ISO 32000-1 (PDF), 8.3.2.3: a unit is 1/72 inch; ISO 216's A4. Read by pypdf, drawn by PDFium.

DX3: 1 mm = 2.834646 pt, A4 595.2756 x 841.8898 pt, a 100 mm bar 283.4646 pt.
"""

import io

import numpy as np
import pypdf
import pytest

from barwright.pack.drawing import Line, Loop, Style
from barwright.pack.paper import A4, LETTER, MM, Book, scale_bar


def book(sheet, primitives):
    made = Book(sheet, "test")
    made.page(primitives)
    return made.close()


def black(pdf, dots_per_mm):
    """The page as PDFium draws it: shape (rows, columns), 0 white to 1 black."""
    pdfium = pytest.importorskip("pypdfium2", reason="PDFium is not here: pip install pypdfium2")
    page = pdfium.PdfDocument(pdf)[0]
    image = page.render(scale=dots_per_mm * 25.4 / 72.0, grayscale=True).to_numpy()
    return 1.0 - np.asarray(image, dtype=float).squeeze() / 255.0


def test_dx3_a_millimetre_in_points():
    assert pytest.approx(2.834646, abs=5e-7) == MM
    assert pytest.approx(283.4646, abs=5e-5) == 100 * MM


@pytest.mark.parametrize(
    ("sheet", "wide", "tall"), [(A4, 595.2756, 841.8898), (LETTER, 612.0, 792.0)]
)
def test_dx3_the_page_is_as_large_as_the_paper(sheet, wide, tall):
    page = pypdf.PdfReader(io.BytesIO(book(sheet, scale_bar((10, 10))))).pages[0]
    assert float(page.mediabox.width) == pytest.approx(wide, abs=1e-3)
    assert float(page.mediabox.height) == pytest.approx(tall, abs=1e-3)
    assert float(page.get("/UserUnit", 1.0)) == 1.0


def test_dx3_viewers_are_told_not_to_scale():
    reader = pypdf.PdfReader(io.BytesIO(book(A4, scale_bar((10, 10)))))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_dx3_100_mm_measured_in_pixels_to_a_thousandth():
    thin = Style(width=0.1)
    lines = [Line(start=(x, 50.0), end=(x, 250.0), style=thin) for x in (50.0, 150.0)]
    lines += [Line(start=(40.0, y), end=(45.0, y), style=thin) for y in (60.0, 260.0)]
    ink = black(book(A4, lines), 20.0)
    columns = ink[1000:1100].sum(axis=0)  # well clear of the level lines
    rows = ink[:, 840:860].sum(axis=1)
    assert between(columns) / 20.0 == pytest.approx(100.0, rel=1e-3)
    assert between(rows) / 20.0 == pytest.approx(200.0, rel=1e-3)


def between(ink):
    """Pixels between the middles of the first and the last line."""
    at = np.flatnonzero(ink > 0.2 * ink.max())
    split = int(np.argmax(np.diff(at))) + 1
    first, last = at[:split], at[split:]
    return np.average(last, weights=ink[last]) - np.average(first, weights=ink[first])


def test_dx3_the_printed_ruler_is_100_mm_and_4_inches():
    ink = black(book(A4, scale_bar((20.0, 100.0))), 20.0)
    top = ink[int((297 - 101.5) * 20) : int((297 - 100.5) * 20)].sum(axis=0)
    low = ink[int((297 - 98.5) * 20) : int((297 - 97.5) * 20)].sum(axis=0)
    for row, length in ((top, 100.0), (low, 101.6)):
        inside = np.flatnonzero(row[: int(122.5 * 20)] > 0.2 * row.max())
        assert (inside[-1] - inside[0]) / 20.0 == pytest.approx(length, abs=0.25)


def test_dx3_an_area_survives_the_pen_s_curves():
    disc = Loop(
        vertices=((60.0, 150.0, 1.0), (140.0, 150.0, 1.0)), style=Style(width=0.0, fill="#000000")
    )
    ink = black(book(A4, [disc]), 10.0)
    assert ink.sum() / 100.0 == pytest.approx(np.pi * 40.0**2, rel=1e-3)
