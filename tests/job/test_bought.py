"""Outlines of bought parts: what an independent writer (ezdxf) puts in comes out in millimetres."""

import io
import math

import ezdxf
import pytest
from ezdxf import units
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.job.bought import read_dxf
from barwright.job.drawings import mirrored, ring_area, round_hole
from barwright.job.errors import BadInput
from barwright.job.load import load, parse

SQUARE = [(0, 0), (60, 0), (60, 40), (0, 40)]


def written(draw, unit=units.MM):
    doc = ezdxf.new("R2010", units=unit)
    draw(doc.modelspace())
    out = io.StringIO()
    doc.write(out)
    return out.getvalue().encode()


def read(draw, unit=units.MM, **how):
    return read_dxf(written(draw, unit), "bought/x.dxf", unit="mm", **how)


def refused(draw, unit=units.MM):
    with pytest.raises(BadInput) as wrong:
        read(draw, unit)
    return wrong.value.faults[0]


def plate(m):
    m.add_lwpolyline(SQUARE, close=True)
    m.add_circle((10, 10), 3.3)


def test_an_outline_with_a_hole():
    found = read(plate)
    assert ring_area(found.outline) == pytest.approx(2400.0)
    (centre, across), *more = (round_hole(h) for h in found.holes)
    assert (centre, across, more) == (pytest.approx((10.0, 10.0)), pytest.approx(6.6), [])
    assert ring_area(found.holes[0]) == pytest.approx(-math.pi * 3.3**2)


@pytest.mark.parametrize(
    ("unit", "mm"), [(units.IN, 25.4), (units.MM, 1.0), (units.CM, 10.0), (units.M, 1000.0)]
)
def test_the_files_own_unit_counts(unit, mm):
    """DXF reference, header variable $INSUNITS: 1 in, 4 mm, 5 cm, 6 m."""
    found = read(lambda m: m.add_lwpolyline([(0, 0), (2, 0), (2, 1)], close=True), unit)
    assert ring_area(found.outline) == pytest.approx(mm**2)


def test_a_file_without_a_unit_is_in_the_jobs_and_the_table_can_say_otherwise():
    raw = written(lambda m: m.add_lwpolyline([(0, 0), (2, 0), (2, 1)], close=True), 0)
    area = {
        (unit, said): ring_area(read_dxf(raw, "x.dxf", unit=unit, said=said).outline)
        for unit, said in (("in", None), ("mm", None), ("mm", "in"))
    }
    assert area == {
        ("in", None): pytest.approx(645.16),
        ("mm", None): pytest.approx(1.0),
        ("mm", "in"): pytest.approx(645.16),
    }


def test_loose_lines_and_arcs_in_any_order_and_direction_close():
    """A slot of two straights and two half turns: 40 x 20 and a circle of 20 across."""

    def draw(m):
        m.add_line((40, 20), (0, 20))
        m.add_arc((40, 10), 10, -90, 90)
        m.add_line((40, 0), (0, 0))
        m.add_arc((0, 10), 10, 90, 270)

    assert ring_area(read(draw).outline) == pytest.approx(800.0 + math.pi * 100.0)


def test_bulges_blocks_and_old_polylines_are_read():
    def draw(m):
        block = m.doc.blocks.new("LATCH")
        block.add_polyline2d(
            [(0, 0, 0), (10, 0, 1), (10, 8, 0), (0, 8, 0)], format="xyb", close=True
        )
        m.add_blockref("LATCH", (100, 50), dxfattribs={"xscale": 2, "yscale": 2})

    assert ring_area(read(draw).outline) == pytest.approx(4 * (80 + math.pi * 8))


def test_what_is_drawn_from_below_is_mirrored():
    """DXF reference, arbitrary axis algorithm: extrusion 0, 0, -1 turns x over."""

    def draw(m):
        m.add_lwpolyline(
            [(0, 0, 0), (20, 0, 0.5), (20, 10, 0)],
            format="xyb",
            close=True,
            dxfattribs={"extrusion": (0, 0, -1)},
        )

    def plain(m):
        m.add_lwpolyline([(0, 0, 0), (-20, 0, -0.5), (-20, 10, 0)], format="xyb", close=True)

    assert ring_area(read(draw).outline) == pytest.approx(ring_area(read(plain).outline))
    assert min(x for x, _, _ in read(draw).outline) == pytest.approx(-20.0)


def test_free_curves_are_straights_within_two_hundredths_and_it_says_so():
    found = read(lambda m: m.add_ellipse((0, 0), (30, 0), 0.5))
    assert ring_area(found.outline) == pytest.approx(math.pi * 30 * 15, abs=0.02 * 150)
    assert found.smoothed == 0.02
    assert found.notes == ("its free curves are taken as straights within 0.02 mm",)


def test_text_is_left_out_and_marked_lines_are_kept_apart():
    def draw(m):
        plate(m)
        m.add_text("M6")
        m.add_point((3, 3))
        m.add_line((5, 0), (5, 30), dxfattribs={"layer": "Etch"})

    found = read(draw)
    assert [(x.a, x.b) for x in found.lines] == [((5.0, 0.0), (5.0, 30.0))]
    assert len(found.holes) == 1


def test_an_open_outline_names_the_gap():
    def draw(m):
        m.add_lwpolyline(SQUARE)
        m.add_line((0, 40), (0, 0.6))

    fault = refused(draw)
    assert "x 0.00, y 0.60 mm" in fault.read or "x 0.00, y 0.00 mm" in fault.read
    assert "0.60 mm away" in fault.read
    assert "close it" in fault.do


@pytest.mark.parametrize(
    ("draw", "says"),
    [
        (lambda _: None, "no closed outline"),
        (lambda m: m.add_text("nothing"), "no closed outline"),
        (lambda m: m.add_lwpolyline([(0, 0), (9, 9), (9, 0), (0, 7)], close=1), "crosses itself"),
        (lambda m: m.add_lwpolyline([(0, 0), (9e4, 0), (9e4, 9e4)], close=True), "mm across"),
        (lambda m: m.add_lwpolyline([(0, 0), (0.1, 0), (0.1, 0.1)], close=True), "mm across"),
        (lambda m: [m.add_circle((0, 0), 9), m.add_circle((90, 0), 5)], "no hole in the first"),
        (lambda m: [m.add_circle((0, 0), 9), m.add_circle((8, 0), 2)], "no hole in the first"),
        (lambda m: m.add_lwpolyline([(0, 0), (9, 0), (9, 9e9)], close=True), "a point at"),
        (
            lambda m: m.add_circle((0, 0), 9, dxfattribs={"extrusion": (0, 1, 0)}),
            "out of the drawing's plane",
        ),
    ],
    ids=["empty", "text", "crossed", "huge", "tiny", "two", "across", "far", "tilted"],
)  # fmt: skip
def test_what_cannot_be_used_is_told(draw, says):
    assert says in refused(draw).read


def test_an_unknown_unit_is_told():
    assert refused(plate, 14).read == "$INSUNITS 14"


@given(st.binary(max_size=300))
@settings(derandomize=True, deadline=None, max_examples=60)
def test_any_bytes_are_refused_with_one_fault(raw):
    with pytest.raises(BadInput):
        read_dxf(raw, "x.dxf", unit="mm")


PLATE = written(plate)


@given(st.data())
@settings(derandomize=True, deadline=None, max_examples=40)
def test_a_broken_drawing_is_read_or_refused_never_worse(data):
    raw = bytearray(PLATE)
    for _ in range(data.draw(st.integers(1, 8))):
        raw[data.draw(st.integers(0, len(raw) - 1))] = data.draw(st.integers(32, 126))
    try:
        found = read_dxf(bytes(raw), "x.dxf", unit="mm")
    except BadInput:
        return
    assert ring_area(found.outline) > 0.0


def test_mirroring_keeps_the_area_and_its_sense():
    ring = ((0.0, 0.0, 0.0), (20.0, 0.0, 0.5), (20.0, 10.0, 0.0))
    assert ring_area(mirrored(ring)) == pytest.approx(ring_area(ring))


# ---- in a job -----------------------------------------------------------------------------------

TOML = '[bought.latch]\noutline = "bought/latch.dxf"\nthickness = 11\n'


def folder_with(tmp_path, toml, draw=plate):
    (tmp_path / "job.toml").write_text(toml)
    (tmp_path / "bought").mkdir()
    (tmp_path / "bought" / "latch.dxf").write_bytes(written(draw))
    return tmp_path


def test_a_job_carries_its_drawings(tmp_path):
    job = load(folder_with(tmp_path, TOML))
    assert ring_area(job.drawing("bought/latch.dxf").outline) == pytest.approx(2400.0)
    assert hash(job) == hash(load(tmp_path))
    assert parse(TOML).drawing("bought/latch.dxf") is None


def test_a_changed_drawing_is_another_job(tmp_path):
    from barwright.pack.hashing import job_hash

    before = job_hash(load(folder_with(tmp_path, TOML)))
    new = written(lambda m: m.add_lwpolyline([(0, 0), (61, 0), (61, 40)], close=True))
    (tmp_path / "bought" / "latch.dxf").write_bytes(new)
    assert job_hash(load(tmp_path)) != before


@pytest.mark.parametrize(
    "name", ["../latch.dxf", "/etc/hosts.dxf", "bought/none.dxf", "bought", "a\\\\b.dxf", "x.step"]
)
def test_a_file_that_is_not_there_or_not_the_jobs_own_is_told(tmp_path, name):
    folder = folder_with(tmp_path, TOML.replace("bought/latch.dxf", name))
    with pytest.raises(BadInput) as wrong:
        load(folder)
    assert wrong.value.faults[0].entry == "bought.latch.outline"


def test_drawings_do_not_belong_into_job_toml(tmp_path):
    with pytest.raises(BadInput, match="drawings"):
        parse("drawings = []\n")
