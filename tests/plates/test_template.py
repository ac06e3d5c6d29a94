"""Plates after traced templates: from the files `trace` writes to the part on the vehicle."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from joints import side

from barwright.findings import Level
from barwright.job.drawings import Drawing, DrawnLine, ring_area
from barwright.job.errors import BadInput
from barwright.job.load import load
from barwright.job.traced import read_template
from barwright.pack.dxf import dxf_bytes
from barwright.pack.template_files import as_json, drawing
from barwright.plates.make import parts
from barwright.plates.outline import area
from barwright.survey.template_types import Drawn, Outline, Template, View

AT = {"origin": "H", "along": "L", "toward": "Z"}
H, L, Z = np.array([797.0, 525.0, 690.0]), np.array([44.0, 460.0, 690.0]), [800.0, 500.0, 900.0]
B = math.tan(math.pi / 8.0)
CORNERS = ((100, 50, 0.0), (190, 50, B), (200, 60, 0.0), (200, 110, 0.0), (100, 110, 0.0))
"""100 x 60 with one corner rounded by 10, somewhere on its board."""
HOLE = ((145.0, 80.0, -1.0), (155.0, 80.0, -1.0))
AREA = 6000.0 - (100.0 - 25.0 * math.pi)


def run(*v):
    many = len(v)
    return Outline(vertices=v, rms=(0.1,) * many, worst=(0.2,) * many, points=(50,) * many,
                   sd=(0.1,) * many)  # fmt: skip


def template(**how):
    view = View(focal=3e3, k1=0, k2=0, height=600, height_sd=1, tilt=0.2, markers=12, rms=0.1,
                blur=0.8, pixel=0.2)  # fmt: skip
    line = Drawn(name="axis", a=(110.0, 60.0), b=(110.0, 100.0), sd=0.2, found=True)
    base = {"tolerance": 0.25, "thickness": 2.0, "edge_sd": 0.2, "scale_sd": 0.001, "view": view}
    return Template(outline=run(*CORNERS), holes=(run(*HOLE),), lines=(line,), **base | how)


def drawn(**how):
    return read_template(json.dumps(as_json(template(**how))).encode(), "templates/card.json")


def made(table, card=None):
    plate = {"thickness": 3.0, "at": AT, "template": "templates/card.json", **table}
    job, marks, bars, _ = side(plate={"mine": plate})
    job = job.model_copy(update={"drawings": (card or drawn(),)})
    marks = replace(marks, names=("H", "L", "Z"), xyz=np.vstack([H, L, Z]))
    return parts(job, marks, bars, ())


def part_of(it):
    return next(p for p in it.parts if p.name == "mine")


def found(it, code):
    return next(f for f in it.findings if f.code == code)


def test_what_trace_writes_is_read_back():
    it = drawn()
    assert ring_area(it.outline) == pytest.approx(AREA)
    assert ring_area(it.holes[0]) == pytest.approx(-25.0 * math.pi)
    assert it.lines == (DrawnLine(name="axis", a=(110.0, 60.0), b=(110.0, 100.0), sd=0.2),)
    assert it.length_sd(100.0) == pytest.approx(template().length_sd(100.0))


def test_without_a_line_its_own_origin_and_x_axis_come_to_the_marks():
    part = part_of(made({}))
    assert area(part.outline) == pytest.approx(AREA, abs=0.01)
    x = (L - H) / np.linalg.norm(L - H)
    corner = part.placed.points((100.0, 110.0, 0.0))
    assert float((corner - H) @ x) == pytest.approx(100.0)
    assert np.linalg.norm(corner - H) == pytest.approx(math.hypot(100.0, 110.0))


@pytest.mark.parametrize("how", [{"line": "axis"}, {"points": [[110, 60], [110, 100]]}])
def test_a_drawn_line_or_two_points_come_to_the_marks(how):
    """Corners 10 past the line's end, 90 and 10 beside it, lie so from the marks too."""
    part = part_of(made(how))
    x = (L - H) / np.linalg.norm(L - H)
    corners = part.placed.points([(a, b, 0.0) for a, b, _ in part.outline.vertices])
    along, beside = (corners - H) @ x, np.linalg.norm(np.cross(corners - H, x), axis=1)
    assert pytest.approx([along.min(), along.max()], abs=1e-3) == [-10.0, 50.0]
    assert np.any(np.hypot(along - 50.0, beside - 90.0) < 0.01)
    assert np.any(np.hypot(along - 50.0, beside - 10.0) < 0.01)


def test_turned_over_it_lies_on_the_lines_other_side():
    one, other = part_of(made({"line": "axis"})), part_of(made({"line": "axis", "turned_over": 1}))
    assert area(other.outline) == pytest.approx(area(one.outline), abs=0.01)
    y = {p: np.mean([v[1] for v in p.outline.vertices]) for p in (one, other)}
    assert y[one] < 0.0 < y[other]
    assert y[other] == pytest.approx(-y[one], abs=1e-6)


def test_its_doubt_is_carried_into_a_finding():
    it = found(made({}), "plates.template")
    across = math.hypot(100.0, 60.0)
    assert it.level is Level.GOOD
    assert it.measured == pytest.approx(2.0 * math.hypot(0.2, 0.001 * across), abs=0.01)
    loose = found(made({}, drawn(scale_sd=0.02)), "plates.template")
    assert loose.level is Level.LOOK
    assert "allow" in loose.remedy


def test_a_line_of_another_length_than_its_marks_is_told():
    it = found(made({"line": "axis"}), "plates.template-line")
    assert it.level is Level.LOOK
    assert it.measured == pytest.approx(np.linalg.norm(L - H) - 40.0)


def test_holes_and_drawn_lines_come_with_it():
    part = part_of(made({"holes": [{"at": [120, 80], "d": 6}]}))
    assert sorted(round(-area(h), 6) for h in part.holes) == pytest.approx(
        [9.0 * math.pi, 25.0 * math.pi]
    )
    assert ((110.0, 60.0), (110.0, 100.0)) in [e.path for e in part.etch]


@pytest.mark.parametrize(
    ("table", "entry"),
    [
        ({"line": "axes"}, "plate.mine.line"),
        ({"points": [[1, 1], [1, 1]]}, "plate.mine.points"),
        ({"outline": [[0, 0], [9, 0], [9, 9]]}, "plate.mine.template"),
        ({"at": None}, "plate.mine.template"),
        ({"flanges": [{"edge": 1, "length": 30, "angle": 90}]}, "plate.mine.flanges.edge"),
    ],
    ids=["no such line", "one point", "an outline too", "not placed", "a flange on an arc"],
)
def test_what_cannot_be_used_is_told(table, entry):
    with pytest.raises(BadInput) as wrong:
        made(table)
    assert wrong.value.faults[0].entry == entry


def test_without_its_file_the_plate_is_left_out_and_it_says_so():
    other = Drawing(file="another.json", outline=CORNERS)
    it = made({}, other)
    assert not it.parts
    assert "was not read" in found(it, "plates.template").says


@pytest.mark.parametrize("kind", ["json", "dxf"])
def test_from_the_jobs_folder(tmp_path, kind):
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "card.json").write_text(json.dumps(as_json(template())))
    (tmp_path / "templates" / "card.dxf").write_bytes(dxf_bytes(drawing(template())))
    (tmp_path / "job.toml").write_text(
        f'[plate.mine]\nthickness = 3\ntemplate = "templates/card.{kind}"\n'
        'at = { origin = "H", along = "L", toward = "Z" }\n'
    )
    rows = [
        f"fixed,{n},{' '.join(str(c) for c in p)},," for n, p in zip("HLZ", (H, L, Z), strict=True)
    ]
    (tmp_path / "readings.csv").write_text("\n".join(["kind,marks,value,plus_minus,note", *rows]))
    it = load(tmp_path).drawing(f"templates/card.{kind}")
    assert ring_area(it.outline) == pytest.approx(AREA)
    assert [(x.a, x.b) for x in it.lines] == [((110.0, 60.0), (110.0, 100.0))]


@pytest.mark.parametrize(
    "raw", [b"", b"{}", b"[1]", b"\xff\xfe", b'{"outline": {"vertices": [[0, 0, 0], [1, 0, 0]]}}']
)
def test_what_is_no_template_is_told(raw):
    with pytest.raises(BadInput):
        read_template(raw, "x.json")
