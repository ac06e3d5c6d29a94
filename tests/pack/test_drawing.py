"""The stream of primitives, its pens, and the pages."""

import io
import math
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pypdf
import pytest
from made_up import BRACKET, CHEEK, build

from barwright.pack.drawing import (
    Arc,
    Circle,
    Collector,
    Line,
    Loop,
    Text,
    bounds,
    draw,
    moved,
)
from barwright.pack.outlines import flat_drawing
from barwright.pack.paper import A4, Book, wrapped
from barwright.pack.svg import svg_text
from barwright.pack.true_size import LAP, Head, add_large, sheets_across
from barwright.pack.units import both, degrees, tape
from barwright.pack.wrap import Wrap, crotch_and_heel, template, wraps_of
from barwright.pack.wrap_pages import plates_pdf, wrap_item, wraps_pdf


def test_the_collecting_pen_keeps_the_stream():
    pen = Collector()
    draw(flat_drawing(BRACKET), pen)
    assert tuple(pen.kept) == flat_drawing(BRACKET)


def test_bounds_reach_round_arcs():
    half = Loop(vertices=((0.0, 0.0, 1.0), (10.0, 0.0, 0.0)))
    assert bounds([half]) == pytest.approx((0.0, -5.0, 10.0, 0.0))
    arc = Arc(centre=(0.0, 0.0), radius=2.0, start=0.1, sweep=-0.2)
    assert bounds([arc])[2] == pytest.approx(2.0)


def test_moving_keeps_lengths_and_turns_letters():
    line, letters = moved(
        (Line(start=(1.0, 0.0), end=(4.0, 4.0)), Text(text="a", at=(0.0, 0.0))), (5, 5), 1.0
    )
    assert math.dist(line.start, line.end) == pytest.approx(5.0)
    assert (letters.at, letters.angle) == ((5.0, 5.0), 1.0)
    assert moved((Circle(centre=(1.0, 0.0), radius=3.0),), angle=math.pi)[0].radius == 3.0


def test_svg_is_in_millimetres_and_well_formed():
    root = ET.fromstring(svg_text(flat_drawing(CHEEK), margin=5.0))  # noqa: S314 - our own text
    assert root.get("width") == "100mm"
    assert root.get("height") == "70mm"
    classes = [e.get("class") for e in root if e.get("class")]
    assert classes.count("cut") == 3


def test_svg_letters_cannot_break_out():
    text = svg_text((Line(start=(0, 0), end=(1, 1)), Text(text="<script>&", at=(0.0, 0.0))))
    assert "<script>" not in text
    ET.fromstring(text)  # noqa: S314 - our own text


def wrap(radius, cope):
    return Wrap(
        bar="b", end="from", mark="A", other="B", against=("c",), radius=radius, cope=tuple(cope)
    )


def test_a_template_names_its_end_and_the_way_to_the_other():
    words = [p.text for p in template(wrap(19.05, [10.0] * 360), "mm") if isinstance(p, Text)]
    assert "b · end “from” at A" in words
    assert "to B" in words
    assert "numbers: mm from mark A along the bar" in words


def test_a_wide_template_goes_over_several_sheets_that_lap():
    book = Book(A4, "t")
    item = wrap_item(wrap(60.0, [20.0] * 360), "mm")
    add_large(book, item, Head(title="Tube ends 1:1", how="", job="job"))
    pages = pypdf.PdfReader(io.BytesIO(book.close())).pages
    assert len(pages) == sheets_across(math.pi * 120.1 + 12.0, 190.0) == 3
    assert all(f"sheet {k + 1} of 3" in page.extract_text() for k, page in enumerate(pages))


@pytest.mark.parametrize("length", [10.0, 189.9, 190.0, 190.1, 368.0, 368.1, 1000.0])
def test_sheets_reach_over_the_whole_length(length):
    n = sheets_across(length, 190.0)
    assert n * 190.0 - (n - 1) * LAP >= length - 1e-6
    assert n == 1 or (n - 1) * 190.0 - (n - 2) * LAP < length


def test_an_end_cut_to_a_plate_s_face_has_a_template():
    bar = build().bars.named("upper")
    slant = 5.0 * np.cos(np.radians(np.arange(360)))
    (one,) = wraps_of(replace(bar, finish=replace(bar.finish, cope=slant)))
    assert (one.end, one.against) == ("to", ("a plate's face",))


def test_no_coped_end_no_templates():
    assert wraps_pdf([build().bars.named("upper")], "mm", "job") is None


def test_plates_are_printed_at_true_size_with_their_bends():
    text = (
        pypdf.PdfReader(io.BytesIO(plates_pdf((CHEEK, BRACKET), "mm", "job")))
        .pages[0]
        .extract_text()
    )
    assert "side.hinge.cheek" in text
    assert "UP 90.0° R3.00" in text
    assert plates_pdf((), "mm", "job") is None


def test_names_in_any_alphabet_are_printed():
    made = Book(A4, "t")
    made.page((Text(text="балка Ω ⌀ č ß", at=(20.0, 100.0), height=5.0),))
    assert "балка Ω ⌀ č ß" in pypdf.PdfReader(io.BytesIO(made.close())).pages[0].extract_text()


def test_the_heel_of_a_cut_without_a_far_saddle_is_its_longest_point():
    cope = [math.cos(math.radians(k)) for k in range(360)]
    assert crotch_and_heel(tuple(cope)) == (0, 180)


def test_wrapping_words_keeps_them_all():
    text = "one two three four five six seven eight nine ten"
    lines = wrapped(text, 3.0, 40.0)
    assert " ".join(lines) == text
    assert len(lines) > 2


def test_lengths_for_a_shop():
    assert tape(15.999 * 25.4, "in") == "16"
    assert tape(0.0, "in") == "0"
    assert both(25.4, "in") == "1.000 in (25.4 mm)"
    assert degrees(-0.00001) == "0.0°"
