"""First contact and least clearance: closed forms, and fine steps as brute force."""

import math

import numpy as np
import pytest

from barwright.geometry.distance import apart
from barwright.geometry.path import Arc
from barwright.geometry.pose import turned
from barwright.geometry.solids import Block, Body, Elbow, Rod, Solid
from barwright.geometry.vectors import point, rotation, unit
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion
from barwright.swing.place import moved

UP = Motion(leaf="l", bars=("bar",), through=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), opens=1.7)
BAR = Body(name="bar", solids=(Rod(start=(20.0, 0.0, 0.0), end=(800.0, 0.0, 0.0), radius=22.0),))


def body(name: str, *solids: Solid) -> Body:
    return Body(name=name, solids=solids)


def post(angle: float, far: float, radius: float = 15.0, rise: float = 100.0) -> Body:
    x, y = far * math.cos(angle), far * math.sin(angle)
    return body("post", Rod(start=(x, y, -rise), end=(x, y, rise), radius=radius))


def motion(**change: object) -> Motion:
    return Motion(**{**vars(UP), **change})


@pytest.mark.parametrize("opens", [1.7, -1.7])
@pytest.mark.parametrize("far", [300.0, 700.0, 800.0])
def test_a_bar_meets_a_post_where_plane_geometry_says(opens: float, far: float) -> None:
    """The bar's side touches the post when the post's middle is 37 mm off the bar's line."""
    at = math.copysign(1.0, opens)
    found = swing(motion(opens=opens), (BAR,), (post(at, far),))
    assert found.first_contact == pytest.approx(1.0 - math.asin(37.0 / far), abs=math.radians(1e-5))
    assert found.touches == ("bar", "post")
    assert found.least_clearance == 0.0
    assert found.where is not None
    near = np.array(found.where[:2]) - far * np.array([math.cos(1.0), math.sin(at)])
    assert np.linalg.norm(near) == pytest.approx(15.0, abs=0.01)


def test_a_square_end_passes_where_a_round_one_would_not() -> None:
    """The post's near side at 800.5 clears the rim at sqrt(800² + 22²) = 800.302 by 0.198."""
    found = swing(UP, (BAR,), (post(1.0, 815.5),))
    assert found.first_contact is None
    assert found.least_clearance == pytest.approx(800.5 - math.hypot(800.0, 22.0), abs=0.005)
    assert found.least_clearance <= 800.5 - math.hypot(800.0, 22.0)


def test_a_constant_gap_all_the_way() -> None:
    floor = body(
        "floor",
        Block(
            corners=tuple(
                (x, y, z) for x in (-900.0, 900.0) for y in (-900.0, 900.0) for z in (-30.0, -25.0)
            )
        ),
    )
    found = swing(UP, (BAR,), (floor,))
    assert found.first_contact is None
    assert 3.0 - 0.0051 <= found.least_clearance <= 3.0
    assert found.least_pair == ("bar", "floor")


def test_nothing_standing_or_all_of_it_allowed() -> None:
    assert swing(UP, (BAR,), ()).least_clearance == math.inf
    found = swing(UP, (BAR,), (post(1.0, 300.0),), allowed=frozenset({("bar", "post")}))
    assert (found.first_contact, found.least_clearance, found.least_pair) == (None, math.inf, None)
    assert swing(UP, (), (post(1.0, 300.0),)).least_clearance == math.inf


def test_touching_when_closed_is_contact_at_nothing() -> None:
    found = swing(UP, (BAR,), (post(0.0, 300.0),))
    assert found.first_contact == 0.0
    assert found.least_clearance == 0.0


def test_only_the_allowed_pair_is_left_out() -> None:
    near, far = post(0.0, 300.0), body("far", *post(1.2, 500.0).solids)
    found = swing(UP, (BAR,), (near, far), allowed=frozenset({("bar", "post")}))
    assert found.touches == ("bar", "far")


def test_the_earliest_of_many_contacts_counts() -> None:
    posts = tuple(
        body(f"p{k}", *post(a, 200.0 + 90.0 * k).solids) for k, a in enumerate((1.5, 0.9, 1.1, 0.8))
    )
    found = swing(UP, (BAR,), posts)
    assert found.touches == ("bar", "p3")


def some_solid(rng: np.random.Generator, middle: np.ndarray) -> Solid:
    kind = rng.integers(3)
    axis = unit(rng.normal(size=3))
    if kind == 0:
        d = axis * rng.uniform(20, 150)
        return Rod(start=point(middle - d), end=point(middle + d), radius=rng.uniform(8, 25))
    if kind == 1:
        x = unit(np.cross(axis, rng.normal(size=3))) * rng.uniform(60, 140)
        arc = Arc(
            centre=point(middle),
            start=point(middle + x),
            axis=point(axis),
            angle=rng.uniform(0.2, 2.5),
        )
        return Elbow(arc=arc, radius=rng.uniform(8, 25))
    cube = np.array([(i, j, k) for i in (-0.5, 0.5) for j in (-0.5, 0.5) for k in (-0.5, 0.5)])
    corners = cube * rng.uniform(4, 120, 3) @ rotation(axis, 1.0).T + middle
    return Block(corners=tuple(point(p) for p in corners))


def some_swing(seed: int) -> tuple[Motion, Body, Body]:
    rng = np.random.default_rng(seed)
    turning = Motion(
        leaf="l",
        bars=(),
        through=point(rng.normal(size=3) * 150),
        along=point(unit(rng.normal(size=3))),
        opens=float(rng.choice([-1.0, 1.0]) * rng.uniform(0.3, 2.0)),
    )
    still = rng.normal(size=3) * 130
    return turning, body("a", some_solid(rng, still * 0)), body("b", some_solid(rng, still))


def gap_at(turning: Motion, moving: Body, still: Body, angle: float) -> float:
    pose = turning.pose(math.copysign(angle, turning.opens))
    return apart(moved(moving, pose), still, within=0.002).high


@pytest.mark.parametrize("seed", range(10))
def test_coarse_steps_never_find_less(seed: int) -> None:
    turning, moving, still = some_swing(seed)
    found = swing(turning, (moving,), (still,))
    last = found.first_contact if found.first_contact is not None else abs(turning.opens)
    steps = [gap_at(turning, moving, still, t) for t in np.linspace(0.0, last, 25)[:-1]]
    if found.first_contact is None:
        assert min(steps) >= found.least_clearance
        assert gap_at(turning, moving, still, found.at) <= found.least_clearance + 0.02
    elif found.first_contact > 0.0:
        assert min(steps) > 0.0
        assert gap_at(turning, moving, still, found.first_contact) < 0.01


@pytest.mark.study
@pytest.mark.parametrize("seed", range(100, 106))
def test_brute_force_at_a_hundredth_of_a_degree(seed: int) -> None:
    """Truth at 0.01° all through the 3° round the least gap and the contact, 0.5° elsewhere."""
    turning, moving, still = some_swing(seed)
    found = swing(turning, (moving,), (still,))
    opens = abs(turning.opens)
    coarse = np.arange(0.0, opens, math.radians(0.5))
    gaps = np.array([gap_at(turning, moving, still, t) for t in coarse])
    contact = found.first_contact
    middle = coarse[gaps.argmin()] if contact is None else contact
    fine = np.clip(np.arange(middle - 0.026, middle + 0.026, math.radians(0.01)), 0.0, opens)
    truth = np.array([gap_at(turning, moving, still, t) for t in fine])
    if found.first_contact is None:
        least = min(truth.min(), gaps.min())
        assert least - 0.02 <= found.least_clearance <= least
    else:
        assert (truth[fine < found.first_contact - 1e-9] > 0.0).all()
        assert (gaps[coarse < found.first_contact - 1e-9] > 0.0).all()
        beyond = fine[fine > found.first_contact]
        if found.first_contact > 0.0 and len(beyond):
            assert gap_at(turning, moving, still, found.first_contact + 1e-5) < 0.002


def test_a_turned_world_swings_the_same() -> None:
    turning, moving, still = some_swing(3)
    whole = turned((40.0, 50.0, -70.0), (0.3, 0.2, -0.8), 1.3)
    other = Motion(
        leaf="l",
        bars=(),
        through=point(whole.points(turning.through)),
        along=point(whole.directions(turning.along)),
        opens=turning.opens,
    )
    one = swing(turning, (moving,), (still,))
    two = swing(other, (moved(moving, whole),), (moved(still, whole),))
    assert two.least_clearance == pytest.approx(one.least_clearance, abs=0.006)
    assert two.first_contact == (one.first_contact and pytest.approx(one.first_contact, abs=1e-7))
