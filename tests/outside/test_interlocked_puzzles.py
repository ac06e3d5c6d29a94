"""Interlocked puzzles whose one order is known by how they are made; every step swept by a library.

Directional blocking (Wilson and Latombe, Artificial Intelligence 71, 1994) says what comes off
alone; manifold3d, which knows nothing of it, sweeps each piece out and looks for what it meets.
The puzzles are set out by first principles, so that order and ways can be read off the sketch:

- a stack of blocks, each with a dovetail tongue in the one below, the slots turned by a quarter
  from block to block: only the top one comes, along its own slot, either way;
- a chest of n drawers, each locked by a pin from above, and one lid in rails over all pins: the
  lid first, then every drawer after its own pin: (2n)! / 2^n orders of pins and drawers, counted
  as linear extensions.
"""

import itertools
import math

import numpy as np
import pytest
from sweeping import solid, standing_of, swept, thickest

from barwright.buildup.blocking import orders
from barwright.buildup.hulls import hulls_of
from barwright.buildup.rays import entries
from barwright.buildup.results import Move
from barwright.buildup.ways import SLACK
from barwright.geometry.solids import Block, Body

AXES = np.vstack([np.eye(3), -np.eye(3)])


def cuboid(low, high):
    (x, y, z), (u, v, w) = low, high
    flat = ((x, y), (u, y), (u, v), (x, v))
    return Block(corners=tuple((float(p), float(q), float(r)) for r in (z, w) for p, q in flat))


def across(blocks, *, turn):
    """The same with x and y exchanged."""
    if not turn:
        return blocks
    return [tuple((p[1], p[0], p[2]) for p in ends) for ends in blocks]


def dovetails(n):
    """Blocks 60 x 60 x 40, the lowest the base; block k > 0 slides along x if k is odd, else y."""
    bodies = []
    for k in range(n):
        z, rows = 40.0 * k, []
        top = z + (20.0 if k < n - 1 else 40.0)
        rows.append(((0, 0, z), (60, 60, top)))
        if k < n - 1:
            slot = [
                ((0, 0, z + 20), (60, 15, z + 30)),
                ((0, 45, z + 20), (60, 60, z + 30)),
                ((0, 0, z + 30), (60, 22, z + 40)),
                ((0, 38, z + 30), (60, 60, z + 40)),
            ]
            rows += across(slot, turn=(k + 1) % 2 == 0)
        if k:
            tongue = [((0, 15, z - 20), (60, 45, z - 10)), ((0, 22, z - 10), (60, 38, z))]
            rows += across(tongue, turn=k % 2 == 0)
        bodies.append(Body(name=str(k), solids=tuple(cuboid(*r) for r in rows)))
    return bodies


def chest(n):
    """Lid, then pins, then drawers, then the frame."""
    frame = [((0, 0, 0), (70, 60 * n, 10)), ((0, 0, 10), (10, 60 * n, 30))]
    frame += [((-10, 0, 30), (0, 60 * n, 60)), ((0, 0, 50), (10, 60 * n, 60))]
    frame += [((70, 0, 40), (80, 60 * n, 60)), ((60, 0, 50), (70, 60 * n, 60))]
    pins, drawers = [], []
    for k in range(n):
        y = 60 * k
        frame += [((10, y, 10), (70, y + 10, 30)), ((10, y + 40, 10), (70, y + 60, 30))]
        frame += [((0, y, 30), (35, y + 60, 40)), ((45, y, 30), (70, y + 60, 40))]
        frame += [((35, y, 30), (45, y + 20, 40)), ((35, y + 30, 30), (45, y + 60, 40))]
        pins.append([((35, y + 20, 20), (45, y + 30, 40))])
        drawer = [((10, y + 10, 10), (70, y + 40, 20)), ((10, y + 10, 20), (35, y + 40, 30))]
        drawer += [((45, y + 10, 20), (70, y + 40, 30)), ((35, y + 10, 20), (45, y + 20, 30))]
        drawers.append([*drawer, ((35, y + 30, 20), (45, y + 40, 30))])
    rows = [[((0, 0, 40), (70, 60 * n, 50))], *pins, *drawers, frame]
    return [Body(name=str(k), solids=tuple(cuboid(*r) for r in row)) for k, row in enumerate(rows)]


def steps_of(parts, order):
    """For each piece in an order, it, what is left, and every way it goes."""
    for k in order[:-1]:
        mine, rest = parts.take(parts.owner == k), parts.take(parts.owner != k)
        free = np.isinf(entries(mine, rest, AXES, slack=SLACK).first)
        yield k, mine, rest, free
        parts = rest


def check_by_sweeping(parts, order):
    """Every way found is clear, and no way is clear that was not found."""
    for k, mine, rest, free in steps_of(parts, order):
        for way, goes in zip(AXES, free, strict=True):
            move = (Move(along=tuple(way), far=500.0),)
            sweeps = swept([solid(mine, r) for r in range(len(mine))], move)
            clear = thickest(sweeps, standing_of(rest)) < SLACK + 0.15
            assert clear == goes, (k, way)


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6])
def test_a_dovetailed_stack_comes_apart_from_the_top(n):
    parts = hulls_of(dovetails(n))
    down = tuple(range(n - 1, -1, -1))
    assert [o for o in orders(parts, AXES) if o[-1] == 0] == [down]
    for k, _, _, free in steps_of(parts, down):
        x_or_y = 0 if k % 2 else 1
        assert set(np.nonzero(free)[0].tolist()) == {x_or_y, x_or_y + 3}
    check_by_sweeping(parts, down)


@pytest.mark.parametrize("n", [1, 2, 3])
def test_a_chest_of_drawers_opens_in_all_its_orders_and_no_other(n):
    parts = hulls_of(chest(n))
    last = 2 * n + 1
    found = [o for o in orders(parts, AXES) if o[-1] == last]
    lid_first = itertools.permutations(range(1, last))
    known = [
        (0, *p, last)
        for p in lid_first
        if all(p.index(1 + k) < p.index(1 + n + k) for k in range(n))
    ]
    assert len(known) == math.factorial(2 * n) // 2**n
    assert sorted(found) == sorted(known)
    ways = {k: set(np.nonzero(f)[0].tolist()) for k, _, _, f in steps_of(parts, known[0])}
    assert ways[0] == {1, 4}
    assert all(ways[1 + k] == {2} and ways[1 + n + k] == {0} for k in range(n))
    check_by_sweeping(parts, known[0])
