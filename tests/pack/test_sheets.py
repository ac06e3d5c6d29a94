"""The shop's sheets: nesting, cutting, bending, ordering."""

import csv
import io
import itertools
from dataclasses import replace

import pypdf
import pytest
from made_up import BRACKET, CHEEK, build, circle, rounded
from shapely.geometry import box

from barwright.pack.bend_pages import bends_pdf
from barwright.pack.cutting_pages import cutting_files, nest_drawing
from barwright.pack.drawing import CUT, bounds
from barwright.pack.listing import plate_masses
from barwright.pack.nest import GAP, SIZES, cell_of, placed_shape, plans
from barwright.pack.order_pages import order_pdf
from barwright.pack.pages import fitted
from barwright.plates.part import Part
from barwright.tubes.bend_sheet import bend_sheet


def text_of(pdf):
    return " ".join(
        " ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(pdf)).pages).split()
    )


def plate(name, w, h):
    return Part(
        name=name,
        thickness=3.0,
        material="a36",
        outline=rounded(w, h, 5.0),
        holes=(circle(w / 2, h / 2, 4.0),),
    )


MANY = tuple(plate(f"p{i}", 40.0 + 23.0 * (i % 7), 30.0 + 17.0 * (i % 5)) for i in range(24))


def test_nested_parts_keep_their_distance_and_stay_on_the_sheet():
    sheets, too_large = plans((*MANY, replace(BRACKET, material="a36")))
    assert not too_large
    assert sum(len(s.laid) for s in sheets) == 25
    for sheet in sheets:
        shapes = [placed_shape(one) for one in sheet.laid]
        inside = box(0, 0, *sheet.size).buffer(-GAP / 2.0 + 1e-6)
        assert all(inside.contains(s) for s in shapes)
        for a, b in itertools.combinations(shapes, 2):
            assert a.distance(b) >= GAP - 1e-6


def test_rectangles_that_must_fill_a_sheet_nearly_do():
    """Eight plates of 140 x 140 in two rows of four are 87 % of 600 x 300 less its gaps."""
    sheets, _ = plans(tuple(plate(f"p{i}", 140.0, 140.0) for i in range(8)))
    assert len(sheets) == 1
    assert sheets[0].size == SIZES[0]
    assert sheets[0].used == pytest.approx(8 * 140 * 140 / (600 * 300), rel=0.01)


def test_a_part_too_large_for_any_sheet_is_named():
    sheets, too_large = plans((plate("door", 2600.0, 1300.0), *MANY[:2]))
    assert too_large == ("door",)
    assert sum(len(s.laid) for s in sheets) == 2


def test_other_material_or_thickness_is_another_sheet():
    sheets, _ = plans((CHEEK, BRACKET, replace(CHEEK, name="c2", material="5052")))
    assert {(s.material, s.thickness) for s in sheets} == {
        ("a36", 5.0),
        ("a36", 3.0),
        ("5052", 5.0),
    }


def test_with_grain_parts_turn_by_halves_alone():
    sheets, _ = plans(MANY, grain=frozenset({("a36", 3.0)}))
    assert {round(one.turn, 6) for s in sheets for one in s.laid} <= {0.0, 3.141593}


def test_the_nested_drawing_lies_where_the_plan_says():
    sheets, _ = plans((CHEEK,))
    drawn = bounds([p for p in nest_drawing(sheets[0]) if p.layer == CUT])
    assert drawn == pytest.approx(placed_shape(sheets[0].laid[0]).bounds, abs=0.02)
    assert drawn[0] < GAP + 2 * cell_of(SIZES[0])


def test_the_cut_plan_holds_every_bar_once():
    the_build = build("in")
    files, _ = cutting_files(the_build)
    rows = list(csv.DictReader(io.StringIO(files["lists/cut-plan.csv"].decode("utf-8-sig"))))
    assert sorted(r["piece"] for r in rows) == sorted(b.name for b in the_build.bars.bars)
    blanks = {b.name: bend_sheet(the_build.job, b)[0].blank for b in the_build.bars.bars}
    for row in rows:
        assert float(row["length [in]"]) == pytest.approx(blanks[row["piece"]] / 25.4, abs=6e-4)
    assert "Stock main" in text_of(files["sheets/cutting.pdf"])


def test_the_bend_sheet_gives_the_mark_and_the_angle():
    the_build = build()
    (step,) = bend_sheet(the_build.job, the_build.bars.named("brace"))[0].steps
    text = text_of(bends_pdf(the_build))
    assert "Bend brace" in text
    assert f"{step.mark:.1f}" in text
    assert "24.5°" in text


def test_no_bends_no_bend_sheets():
    the_build = build()
    straight = tuple(b for b in the_build.bars.bars if not b.table.bends)
    assert bends_pdf(replace(the_build, bars=replace(the_build.bars, bars=straight))) is None


def test_the_order_sheet_draws_each_part_with_its_bends_as_seen():
    the_build = build()
    files = {p.name: f"flat/{p.name}.dxf" for p in the_build.parts.parts}
    text = text_of(order_pdf(the_build, plate_masses(the_build), files))
    assert "UP 90.0°, inside radius 3.00 mm; DOWN 60.0°, inside radius 3.00 mm" in text
    assert "flat/striker.gusset.dxf" in text


def test_a_drawing_made_to_fit_keeps_its_shape():
    from barwright.pack.outlines import flat_drawing

    drawn = bounds(fitted(flat_drawing(BRACKET), (10.0, 10.0, 40.0, 90.0)))
    assert drawn[2] - drawn[0] == pytest.approx(30.0)
    assert drawn[3] - drawn[1] == pytest.approx(20.0)
