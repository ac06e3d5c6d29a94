"""A bought latch on its carrier: laid on by its striker line, bored, checked against the tube."""

import math

import numpy as np
import pytest
from joints import side
from shapely.geometry import Point, Polygon

from barwright.findings import Level
from barwright.job.drawings import Drawing, round_hole
from barwright.job.errors import BadInput
from barwright.plates.make import parts
from barwright.plates.outline import circle, region

ARM = ((-19.0, 15.0), (-19.0, -20.0), (27.0, -20.0), (27.0, -9.0), (19.0, -9.0), (19.0, 15.0),
       (6.0, 15.0), (6.0, -3.0), (-6.0, -3.0), (-6.0, 15.0))  # fmt: skip
"""A body with a mouth 12 wide, 18 deep below its top edge, and an arm toward +x low down."""
HOLES = ((-14.0, 7.0), (13.0, -13.0))
TABLE = {"outline": "latch.dxf", "thickness": 11, "striker": [[0, 15], [0, 0]]}


def drawing(turn=0.0, shift=(0.0, 0.0), ring=ARM, holes=HOLES):
    c, s = math.cos(turn), math.sin(turn)

    def at(x, y):
        return (c * x - s * y + shift[0], s * x + c * y + shift[1])

    return Drawing(
        file="latch.dxf",
        outline=tuple((*at(x, y), 0.0) for x, y in ring),
        holes=tuple(circle(at(*p), 3.3, hole=True).vertices for p in holes),
    ), [at(0.0, 15.0), at(0.0, 0.0)]


def made(*, table=None, latch=None, drawn=None, **how):
    plan, line = drawn or drawing()
    bought = {"latch": {**TABLE, "striker": line, **(table or {})}}
    written = {"latch": {"part": "latch", **(latch or {})}}
    job, marks, bars, motions = side(bought=bought, written=written, **how)
    drawings = () if plan is None else (plan,)
    return parts(job.model_copy(update={"drawings": drawings}), marks, bars, motions)


def found(made_, code):
    return next(f for f in made_.findings if f.code == code)


def carrier(made_):
    return next(p for p in made_.parts if p.name == "side.latch.plate")


def bored(made_):
    """Centres of the carrier's round 6.6 mm holes, sorted."""
    rows = [round_hole(h.vertices) for h in carrier(made_).holes]
    return sorted(at for at, d in (r for r in rows if r) if d == pytest.approx(6.6))


def seat(made_):
    """u of the striker: the middle of its slot in the gusset."""
    gusset = next(p for p in made_.parts if p.name == "side.striker.gusset")
    return float(np.mean([v[0] for v in gusset.holes[0].vertices]))


def test_its_holes_are_bored_where_its_drawing_has_them_beside_the_striker():
    it = made()
    u = seat(it)
    side_ = [sorted((u + k * x, y) for x, y in HOLES) for k in (1.0, -1.0)]
    assert any(bored(it) == [pytest.approx(p) for p in s] for s in side_)
    assert found(it, "plates.latch-fit").level is Level.GOOD


def test_reversed_it_lies_mirrored_in_the_strikers_line():
    plain, over = made(), made(latch={"reversed": True})
    u = seat(plain)
    assert bored(over) == [
        pytest.approx(p) for p in sorted((2 * u - x, y) for x, y in bored(plain))
    ]


@pytest.mark.parametrize("turn", [0.7, 2.5, -1.9])
def test_how_the_drawing_lies_on_its_sheet_does_not_matter(turn):
    moved = made(drawn=drawing(turn=turn, shift=(340.0, -77.0)))
    assert bored(moved) == [pytest.approx(p, abs=1e-6) for p in bored(made())]


def test_the_striker_comes_in_through_carrier_and_latch():
    it = made()
    plate, u = region(carrier(it).outline, carrier(it).holes), seat(it)
    for v in np.linspace(0.0, 17.0, 8):
        assert not plate.intersects(Point(u, v).buffer(5.0))


def test_the_latch_is_hardware_between_the_plates_and_meets_the_bolt():
    it = made()
    latch = next(h for h in it.hardware if h.name == "side.latch.latch")
    assert "bought" in latch.what
    assert dict(latch.dims)["thickness"] == 11.0
    assert ("side.striker.bolt", "side.latch.latch") in it.intended
    volume = Polygon(ARM).area * 11.0
    from scipy.spatial import ConvexHull

    blocks = sum(ConvexHull(np.array(b.corners)).volume for b in latch.body.solids)
    assert blocks == pytest.approx(volume, rel=0.06)


def test_a_latch_too_near_its_tube_names_what_helps():
    far = tuple((2.2 * x, y) for x, y in ARM)
    it = made(drawn=drawing(ring=far), latch={"reversed": True})
    other = made(drawn=drawing(ring=far))
    clash = [found(one, "plates.latch-clash") for one in (it, other)]
    levels = {f.level for f in clash}
    assert Level.MUST in levels
    worst = next(f for f in clash if f.level is Level.MUST)
    assert worst.measured < 0.0
    assert "reach" in worst.remedy or "reversed" in worst.remedy or "trim" in worst.remedy


def test_a_hole_off_the_plate_is_told():
    it = made(drawn=drawing(holes=((0.0, 12.0), (13.0, -13.0))))
    fit = found(it, "plates.latch-fit")
    assert fit.level is Level.MUST
    assert fit.measured <= 0.0


def test_only_the_holes_that_are_named_are_bored():
    assert len(bored(made(table={"holes": [HOLES[0]]}))) == 1


def test_without_its_drawing_it_says_so():
    it = made(drawn=(None, [[0, 15], [0, 0]]))
    assert found(it, "plates.latch-fit").level is Level.LOOK
    assert "not read" in found(it, "plates.latch-fit").says


@pytest.mark.parametrize(
    ("how", "entry"),
    [
        ({"latch": {"part": "lach"}}, "leaf.side.latch.part"),
        ({"table": {"striker": [[0, 0], [0, 0]]}}, "bought.latch.striker"),
        ({"table": {"holes": [[3, 3]]}}, "bought.latch.holes"),
    ],
    ids=["unknown", "no line", "no such hole"],
)
def test_what_cannot_be_used_is_told(how, entry):
    with pytest.raises(BadInput) as wrong:
        made(**how)
    assert wrong.value.faults[0].entry == entry
