"""DXF Reference (R2010): units, layers, LWPOLYLINE bulges; read back and audited by ezdxf.

DX1: $INSUNITS 4 is millimetres. DX2: group code 42, the bulge, is tan(angle/4): 0.414214 for a
quarter, 1 for a half turn; radius L(1 + b²)/(4b), sagitta b L/2.
"""

import io
import math

import ezdxf
import pytest
from ezdxf.math import bulge_to_arc

from barwright.pack.drawing import (
    BEND,
    CUT,
    ETCH,
    Arc,
    Circle,
    Line,
    Loop,
    Text,
    bulge_arc,
    points_along,
)
from barwright.pack.dxf import dxf_bytes

EVERYTHING = (
    Line(start=(0.0, 0.0), end=(10.0, 0.0), layer=BEND),
    Arc(centre=(0.0, 0.0), radius=5.0, start=1.0, sweep=-2.0, layer=ETCH),
    Circle(centre=(3.0, 4.0), radius=2.5),
    Text(text="UP 90°", at=(1.0, 1.0), height=3.0, layer=ETCH),
    Loop(vertices=((0.0, 0.0, 0.0), (10.0, 0.0, 0.4142135623730951), (12.0, 2.0, 0.0))),
)


def read_back(data):
    document = ezdxf.read(io.StringIO(data.decode("utf-8").replace("\r\n", "\n")))
    return document, document.audit()


def test_dx1_units_entities_and_layers_come_back_and_the_audit_is_clean():
    document, audit = read_back(dxf_bytes(EVERYTHING))
    kinds = [(e.dxftype(), e.dxf.layer) for e in document.modelspace()]
    assert not audit.errors
    assert not audit.fixes
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4
    assert kinds == [
        ("LINE", BEND),
        ("ARC", ETCH),
        ("CIRCLE", CUT),
        ("TEXT", ETCH),
        ("LWPOLYLINE", CUT),
    ]


def test_dx1_a_loop_comes_back_closed_with_its_bulge():
    document, _ = read_back(dxf_bytes(EVERYTHING))
    (loop,) = document.modelspace().query("LWPOLYLINE")
    assert loop.closed
    assert [p[4] for p in loop] == pytest.approx([0.0, 0.414214, 0.0], abs=1e-6)


def test_dx1_a_clockwise_arc_covers_the_same_points():
    document, _ = read_back(dxf_bytes(EVERYTHING))
    (arc,) = document.modelspace().query("ARC")
    low, high = arc.dxf.start_angle, arc.dxf.end_angle
    assert (high - low) % 360 == pytest.approx(math.degrees(2.0))
    assert low % 360 == pytest.approx(math.degrees(-1.0) % 360)


@pytest.mark.parametrize(("degrees", "printed"), [(90.0, 0.414214), (180.0, 1.0)])
def test_dx2_bulge_of_a_quarter_and_a_half_turn(degrees, printed):
    bulge = math.tan(math.radians(degrees) / 4.0)
    assert bulge == pytest.approx(printed, abs=5e-7)
    *_, sweep = bulge_arc((0.0, 0.0), (7.0, 0.0), printed)
    assert math.degrees(sweep) == pytest.approx(degrees, abs=1e-4)


@pytest.mark.parametrize("bulge", [0.05, 0.414214, 1.0, 2.5, -0.3])
def test_dx2_radius_and_sagitta(bulge):
    chord = 7.0
    centre, radius, start, sweep = bulge_arc((0.0, 0.0), (chord, 0.0), bulge)
    middle = centre[1] + radius * math.sin(start + sweep / 2.0)
    assert radius == pytest.approx(chord * (1 + bulge**2) / (4 * abs(bulge)))
    assert -middle == pytest.approx(bulge * chord / 2.0)


@pytest.mark.parametrize("bulge", [0.05, 0.414214, 1.0, 2.5, -0.3, -1.7])
def test_dx2_same_arc_as_ezdxf(bulge):
    start, end = (1.0, 2.0), (6.5, -3.0)
    centre, first, last, radius = bulge_to_arc(start, end, bulge)
    ours, r, at, sweep = bulge_arc(start, end, bulge)
    low = at if sweep > 0 else at + sweep
    assert ours == pytest.approx(tuple(centre))
    assert r == pytest.approx(radius)
    assert (low - first) % (2 * math.pi) == pytest.approx(0.0, abs=1e-9) or (low - first) % (
        2 * math.pi
    ) == pytest.approx(2 * math.pi)
    assert abs(sweep) == pytest.approx((last - first) % (2 * math.pi))


def test_dx2_points_along_an_arc_stray_no_more_than_asked():
    loop = Loop(vertices=((0.0, 0.0, 1.0), (20.0, 0.0, 1.0)))
    points = points_along(loop, sagitta=0.01)
    middles = [
        math.dist(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), (10.0, 0.0))
        for a, b in zip(points, points[1:] + points[:1], strict=True)
    ]
    assert min(middles) >= 10.0 - 0.01
    assert all(math.dist(p, (10.0, 0.0)) == pytest.approx(10.0) for p in points)
