"""What a pushover must obey whatever the frame."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.strength.frame import BALL, Join, Loads, frame
from barwright.strength.plastic import Capacity, pushover
from barwright.strength.solve import Loose, solve
from barwright.strength.tube_limit import gauge, slopes
from barwright.tubes.section import Section

TUBE = Section(od=38.0, wall=2.5)
FY, E = 350.0, 210000.0


def _capacity(m: int) -> Capacity:
    return Capacity(
        pull=np.full(m, TUBE.area * FY),
        bend=np.full(m, TUBE.plastic * FY),
        twist=np.full(m, 0.5 * math.pi * TUBE.plastic * FY / math.sqrt(3)),
    )


def _frame(nodes, ends, held, **more):
    return frame(
        np.array(nodes, dtype=float),
        np.array(ends),
        EA=E * TUBE.area,
        EIy=E * TUBE.inertia,
        EIz=E * TUBE.inertia,
        GJ=E / 2.6 * TUBE.polar,
        held=held,
        **more,
    )


def _held(n: int, *nodes: int) -> np.ndarray:
    held = np.zeros((n, 6), dtype=bool)
    held[list(nodes)] = True
    return held


def _bay(seed: int):
    """A space bay of ten bars with a load on its top, every time another."""
    rng = np.random.default_rng(seed)
    base = [[0, 0, 0], [900, 0, 0], [900, 700, 0], [0, 700, 0]]
    top = [[x, y, 800] for x, y, _ in base]
    nodes = np.array(base + top, dtype=float) + rng.uniform(-80, 80, (8, 3))
    ends = [(0, 4), (1, 5), (2, 6), (3, 7), (4, 5), (5, 6), (6, 7), (7, 4), (0, 5), (2, 7)]
    push = np.zeros((1, 8, 6))
    push[0, 4:, :3] = rng.normal(size=(4, 3)) * 1000
    return _frame(nodes, ends, _held(8, 0, 1, 2, 3)), Loads(nodal=push)


@given(st.integers(0, 1000))
@settings(max_examples=12)
def test_collapse_lies_above_first_yield_and_the_limit_is_hardly_passed(seed):
    made, loads = _bay(seed)
    got = pushover(made, loads, _capacity(10))
    forces = solve(made, loads).forces[0].reshape(-1, 2, 2, 3)
    cap = _capacity(10)
    worst = gauge(
        forces[:, :, 0, 0] / cap.pull[:, None],
        np.hypot(forces[:, :, 1, 1], forces[:, :, 1, 2]) / cap.bend[:, None],
        forces[:, :, 1, 0] / cap.twist[:, None],
    ).max()
    assert got.first == pytest.approx(1.0 / worst, rel=1e-6)
    assert got.collapse >= got.first * (1 - 1e-9)
    assert got.overshoot < 0.1
    assert np.all(np.diff(got.path[:, 0]) >= 0.0)


@given(st.integers(0, 1000))
@settings(max_examples=6)
def test_a_stronger_member_never_lowers_the_collapse_load(seed):
    made, loads = _bay(seed)
    cap = _capacity(10)
    more = Capacity(pull=1.3 * cap.pull, bend=1.3 * cap.bend, twist=1.3 * cap.twist)
    plain, strong = (pushover(made, loads, c).collapse for c in (cap, more))
    assert strong == pytest.approx(1.3 * plain, rel=0.01)
    one = cap.bend.copy()
    one[0] *= 1.5
    bound = pushover(made, loads, Capacity(pull=cap.pull, bend=one, twist=cap.twist)).collapse
    assert bound >= plain * 0.98


def test_a_finer_step_changes_the_answer_by_little():
    made, loads = _bay(5)
    coarse, fine = (pushover(made, loads, _capacity(10), drift=d).collapse for d in (2e-3, 1e-4))
    assert coarse == pytest.approx(fine, rel=0.01)


def test_a_cantilever_pushed_askew_folds_at_its_moment_whichever_way():
    """Mp / L in any direction across: the limit of a round tube knows no direction."""
    made = _frame([[0, 0, 0], [1000, 0, 0]], [(0, 1)], _held(2, 0))
    for way in np.linspace(0, 2 * math.pi, 7):
        push = np.zeros((1, 2, 6))
        push[0, 1, 1:3] = math.cos(way), math.sin(way)
        got = pushover(made, Loads(nodal=push), _capacity(1))
        assert got.folded
        assert got.collapse == pytest.approx(TUBE.plastic * FY / 1000, rel=1e-6)


def test_pure_pull_and_pure_twist():
    made = _frame([[0, 0, 0], [1000, 0, 0]], [(0, 1)], _held(2, 0))
    for dof, limit in ((0, TUBE.area * FY), (3, _capacity(1).twist[0])):
        push = np.zeros((1, 2, 6))
        push[0, 1, dof] = 1.0
        got = pushover(made, Loads(nodal=push), _capacity(1))
        assert got.collapse == pytest.approx(limit, rel=1e-6)


def test_a_hinged_bar_keeps_its_ball_and_folds_at_mid_span():
    """Ball at one end, weld at the other: 6 Mp / L, as a propped cantilever."""
    nodes = [[0, 0, 0], [500, 0, 0], [1000, 0, 0], [1000, 0, 0]]
    made = _frame(
        nodes, [(0, 1), (1, 2)], _held(4, 0, 3), joins=(Join(slave=2, master=3, free=BALL[1:]),)
    )
    push = np.zeros((1, 4, 6))
    push[0, 1, 2] = -1.0
    far = np.full(2, 1e30)
    bend = np.full(2, TUBE.plastic * FY)
    got = pushover(made, Loads(nodal=push), Capacity(pull=far, bend=bend, twist=far))
    assert got.collapse == pytest.approx(6 * TUBE.plastic * FY / 1000, rel=1e-6)


def test_followed_only_as_far_as_asked():
    made = _frame([[0, 0, 0], [500, 0, 0], [1000, 0, 0]], [(0, 1), (1, 2)], _held(3, 0, 2))
    push = np.zeros((1, 3, 6))
    push[0, 1, 2] = -1e-3  # a load so small that its factor is large
    got = pushover(made, Loads(nodal=push), _capacity(2), enough=1.0)
    assert not got.folded
    assert got.collapse >= 1.0


def test_no_load_and_no_hold_are_refused():
    made = _frame([[0, 0, 0], [1000, 0, 0]], [(0, 1)], _held(2, 0))
    with pytest.raises(ValueError, match="loads nothing"):
        pushover(made, Loads(nodal=np.zeros((1, 2, 6))), _capacity(1))
    loose = _frame([[0, 0, 0], [1000, 0, 0]], [(0, 1)], _held(2))
    with pytest.raises(Loose):
        pushover(loose, Loads(nodal=np.ones((1, 2, 6))), _capacity(1))


shares = st.floats(-2, 2, allow_subnormal=False)


@given(shares, shares, shares, st.floats(0.01, 100))
def test_the_gauge_is_a_norm(n, m, t, by):
    a = [np.array([x]) for x in (n, abs(m), t)]
    g = float(gauge(*a)[0])
    assert float(gauge(*(by * x for x in a))[0]) == pytest.approx(by * g, rel=1e-9, abs=1e-12)
    assert max(abs(n), abs(m), abs(t)) * (1 - 1e-9) <= g <= abs(n) + abs(m) + abs(t) + 1e-9


@given(st.floats(0.05, 1), st.floats(0.05, 1), st.floats(-1, 1))
def test_slopes_are_what_the_gauge_does_nearby(n, m, t):
    h = 1e-6
    _, by_n, by_m, by_t = (float(x[0]) for x in slopes(*(np.array([x]) for x in (n, m, t))))
    for k, slope in enumerate((by_n, by_m, by_t)):
        up, down = [n, m, t], [n, m, t]
        up[k] += h
        down[k] -= h
        rise = float(gauge(*(np.array([x]) for x in up))[0])
        rise -= float(gauge(*(np.array([x]) for x in down))[0])
        assert rise / (2 * h) == pytest.approx(slope, abs=2e-5)
