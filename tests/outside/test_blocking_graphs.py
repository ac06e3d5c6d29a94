"""RM1-RM4: what comes out which way, and in what order.

Wilson and Latombe, "Geometric reasoning about mechanical assembly", Artificial Intelligence 71
(1994) and AAAI-92: a part comes off along a direction just when no part blocks it there; a ring
of parts that block one another comes off together. Orders are counted by enumeration, and the
blocks below are set out by first principles so that the answer can be read off the sketch.
"""

import itertools

import numpy as np
import pytest

from barwright.buildup.blocking import apart, blocked, components, orders, removable
from barwright.buildup.hulls import hulls_of
from barwright.buildup.rays import entries
from barwright.buildup.ways import SLACK
from barwright.geometry.solids import Block, Body

AXES = np.vstack([np.eye(3), -np.eye(3)])
PX, PY, PZ, MX, MY, MZ = range(6)


def box(x0, y0, x1, y1, z0=0.0, z1=40.0):  # noqa: PLR0917 - two corners
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    return Block(corners=tuple((x, y, z) for z in (z0, z1) for x, y in corners))


def body(name, *boxes):
    return Body(name=name, solids=boxes)


def free(piece, others, ways=AXES):
    a, b = hulls_of([piece]), hulls_of(others)
    return set(np.nonzero(np.isinf(entries(a, b, ways, slack=SLACK).first))[0].tolist())


def scaled(*boxes, by=10.0):
    """RM1 and RM2 are drawn in single millimetres: ten times as large, slack stays small."""
    return [box(*(by * v for v in b)) for b in boxes]


U = body("u", *scaled((0, 0, 30, 10), (0, 10, 10, 20), (20, 10, 30, 20)))
PEG = body("peg", *scaled((10, 10, 20, 25)))


def test_rm1_a_peg_in_a_u_comes_out_at_the_open_side_and_the_two_ends():
    assert free(PEG, [U]) == {PY, PZ, MZ}
    slanting = np.array([[1.0, 1.0, 0.0], [0.01, 1.0, 0.0], [-0.01, 1.0, 0.0]])
    slanting /= np.linalg.norm(slanting, axis=1)[:, None]
    left = entries(hulls_of([PEG]), hulls_of([U]), slanting[:1], slack=SLACK)
    assert np.isfinite(left.first).all()
    tight = entries(hulls_of([PEG]), hulls_of([U]), slanting[1:], slack=1e-6)
    assert np.isfinite(tight.first).all()


def test_rm2_a_key_in_a_t_slot_comes_out_along_the_slot_only():
    block = body(
        "block",
        *scaled((0, 0, 30, 5), (0, 5, 8, 20), (22, 5, 30, 20), (8, 10, 12, 20), (18, 10, 22, 20)),
    )
    key = body("key", *scaled((12, 10, 18, 25), (8, 5, 22, 10)))
    assert free(key, [block]) == {PZ, MZ}


def channel():
    """A, B and C one behind another in a channel shut at the far end and all round."""
    walls = body(
        "walls",
        box(-20, -20, 200, 0, -20, 60),
        box(-20, 40, 200, 60, -20, 60),
        box(-20, 0, 0, 40, -20, 60),
        box(0, 0, 200, 40, -20, 0),
        box(0, 0, 200, 40, 40, 60),
    )
    row = [body(n, box(x, 0, x + 30, 40)) for n, x in (("a", 120), ("b", 70), ("c", 20))]
    return [*row, walls]


def test_rm4_one_order_of_six():
    found = orders(hulls_of(channel()), AXES)
    assert [o[:3] for o in found if o[3] == 3] == [(0, 1, 2)]
    assert len(list(itertools.permutations(range(3)))) == 6


def test_rm3_a_blocks_b_blocks_c():
    graph = blocked(hulls_of(channel()), np.array([1.0, 0.0, 0.0]))
    assert graph == {0: set(), 1: {0}, 2: {0, 1}, 3: {0, 1, 2}}
    assert removable(graph)[0] == {0}


def test_rm3_a_ring_comes_off_together():
    """Two hooked halves hold one another along x; together they lift out of their tray."""
    tray = body(
        "tray",
        box(-30, -10, -20, 110),
        box(100, -10, 110, 110),
        box(-20, -10, 100, 0),
        box(-20, 100, 100, 110),
        box(-30, -10, 110, 110, -10, 0),
    )
    left = body(
        "left",
        box(-20, 0, 40, 40),
        box(20, 40, 40, 70),
    )
    right = body("right", box(40, 0, 100, 100), box(0, 70, 40, 100), box(0, 50, 20, 70))
    parts = hulls_of([left, right, tray])
    x = blocked(parts, np.array([-1.0, 0.0, 0.0]))
    assert x[0] >= {1, 2}
    assert 0 in x[1]
    up = blocked(parts, np.array([0.0, 0.0, 1.0]))
    assert removable(up) == [frozenset({0}), frozenset({1})]
    assert components(blocked(hulls_of([left, right]), np.array([-1.0, 0.0, 0.0]))) == [{0, 1}]


def test_a_pin_a_lid_and_what_is_in_the_box():
    """Pin through bridge and lid: the pin goes up first, the lid slides out, the rest comes up."""
    walls = body(
        "walls",
        box(0, 0, 100, 100, 0, 10),
        box(0, 0, 10, 100, 10, 90),
        box(90, 0, 100, 100, 10, 90),
        box(10, 90, 90, 100, 10, 90),
        box(10, 0, 90, 10, 10, 58),
        box(10, 0, 15, 60, 80, 90),
        box(85, 0, 90, 60, 80, 90),
        box(10, 60, 40, 90, 80, 90),
        box(60, 60, 90, 90, 80, 90),
        box(40, 60, 60, 65, 80, 90),
        box(40, 85, 60, 90, 80, 90),
    )
    lid = body(
        "lid",
        box(10, -10, 40, 90, 60, 80),
        box(60, -10, 90, 90, 60, 80),
        box(40, -10, 60, 65, 60, 80),
        box(40, 85, 60, 90, 60, 80),
    )
    pin = body("pin", box(40, 65, 60, 85, 60, 120))
    inside = body("inside", box(20, 15, 70, 55, 10, 58))
    steps = apart(hulls_of([walls, lid, pin, inside]))
    assert [sorted(s) for s, _ in steps][:2] == [[2], [1]]
    assert len(steps) == 3
    assert steps[0][1] == pytest.approx([0, 0, 1])
    assert steps[1][1] == pytest.approx([0, -1, 0])


def test_two_closed_links_never_come_apart():
    def link(z0, z1, x):
        return [
            box(x, 0, x + 100, 20, z0, z1),
            box(x, 80, x + 100, 100, z0, z1),
            box(x, 20, x + 20, 80, z0, z1),
            box(x + 80, 20, x + 100, 80, z0, z1),
        ]

    flat = body("flat", *link(40, 60, 0))
    upright = body(
        "upright",
        box(40, 40, 140, 60, 0, 20),
        box(40, 40, 140, 60, 80, 100),
        box(40, 40, 60, 60, 20, 80),
        box(120, 40, 140, 60, 20, 80),
    )
    assert apart(hulls_of([flat, upright])) == ()


def burr():
    """A key through a board in a collar that is closed below.

    The board cannot slide endways until the key is out, nor the collar: the key alone comes first.
    All in millimetres; the key runs along z, the board along x.
    """
    key = body("key", box(-10, -10, 10, 10, -10, 50))
    across = body(
        "across",
        box(-50, -20, -10, 20, -10, 10),
        box(10, -20, 50, 20, -10, 10),
        box(-10, -20, 10, -10, -10, 10),
        box(-10, 10, 10, 20, -10, 10),
    )
    collar = body(
        "collar",
        box(-30, -30, 30, -20, -20, 20),
        box(-30, 20, 30, 30, -20, 20),
        box(-30, -20, -10, 20, 10, 20),
        box(10, -20, 30, 20, 10, 20),
        box(-10, -20, 10, -10, 10, 20),
        box(-10, 10, 10, 20, 10, 20),
        box(-30, -20, 30, 20, -20, -10),
    )
    return [key, across, collar]


def test_the_key_comes_first():
    """A key through a board in a closed collar: up and out; then the board slides endways."""
    parts = hulls_of(burr())
    found = orders(parts, AXES)
    assert {o[0] for o in found} == {0}
    steps = apart(parts)
    assert sorted(steps[0][0]) == [0]
    assert steps[0][1] == pytest.approx([0, 0, 1])
    assert abs(steps[1][1][0]) == pytest.approx(1.0)


@pytest.mark.parametrize("seed", range(4))
def test_a_random_stack_comes_apart_from_the_mouth(seed):
    """Blocks of random lengths in a shut channel: one order, from the mouth inward."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(3, 6))
    long = rng.uniform(10.0, 40.0, n)
    begin = np.cumsum(long + rng.uniform(0.0, 5.0, n)) - long
    end = float(begin[-1] + long[-1])
    walls = body(
        "walls",
        box(-20, -20, end + 30, 0, -20, 60),
        box(-20, 40, end + 30, 60, -20, 60),
        box(-20, 0, 0, 40, -20, 60),
        box(0, 0, end + 30, 40, -20, 0),
        box(0, 0, end + 30, 40, 40, 60),
    )
    row = [body(str(k), box(begin[k], 0, begin[k] + long[k], 40)) for k in range(n)]
    found = [o for o in orders(hulls_of([*row, walls]), AXES) if o[-1] == n]
    assert [o[:-1] for o in found] == [tuple(range(n - 1, -1, -1))]
