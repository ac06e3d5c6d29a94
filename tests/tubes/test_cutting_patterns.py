"""Cut plans by each of the programs: every piece cut once, no bar over full, none too many."""

from collections import Counter
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.tubes import cutting_patterns
from barwright.tubes.cutting_patterns import (
    _arcs,
    _by_flow,
    _by_patterns,
    _knapsack,
    _relaxed,
    fewest,
    pattern_bound,
)

WANTED = st.dictionaries(st.integers(3, 40), st.integers(1, 4), min_size=1, max_size=4)
ROOM = 40


def cut_once(plan, wanted, room):
    assert Counter(size for bar in plan for size in bar) == Counter(wanted)
    assert all(0 < sum(bar) <= room for bar in plan)


def largest_first(wanted):
    return dict(sorted(wanted.items(), reverse=True))


def fewest_by_trying(wanted, room):
    """By dynamic programming over all that is left."""
    sizes = tuple(wanted)

    def fills(left, room):
        for i, n in enumerate(left):
            if n and sizes[i] <= room:
                less = (*left[:i], n - 1, *left[i + 1 :])
                yield less
                yield from fills(less, room - sizes[i])

    seen, count = {tuple(wanted.values())}, 0
    while (0,) * len(sizes) not in seen:
        seen, count = {less for left in seen for less in set(fills(left, room))}, count + 1
    return count


@settings(max_examples=25)
@given(st.dictionaries(st.integers(5, 40), st.integers(1, 2), min_size=1, max_size=3))
def test_each_program_cuts_every_piece_once_and_the_flow_is_the_best(wanted):
    wanted = largest_first(wanted)
    patterns, value = _relaxed(wanted, ROOM)
    best = fewest_by_trying(wanted, ROOM)
    assert value <= best + 1e-6
    by_patterns = _by_patterns(wanted, patterns)
    cut_once(by_patterns, wanted, ROOM)
    flow = _by_flow(wanted, ROOM)
    cut_once(flow, wanted, ROOM)
    assert len(flow) == best <= len(by_patterns)
    bound = pattern_bound(wanted, ROOM)
    assert bound <= best
    plan = fewest(wanted, ROOM, bound)
    cut_once(plan, wanted, ROOM)
    assert len(plan) == best
    assert all(bar == sorted(bar, reverse=True) for bar in plan)


def test_where_patterns_miss_the_bound_the_flow_finds_the_plan(monkeypatch):
    """51 + 34 + 15 and 48 + 40 + 12: with no pattern but one size a bar, the flow must."""
    wanted = {51: 1, 48: 1, 40: 1, 34: 1, 15: 1, 12: 1}
    alone = np.eye(6)
    monkeypatch.setattr(cutting_patterns, "_relaxed", lambda *_: (alone, 2.0))
    assert len(_by_patterns(wanted, alone)) == 6
    assert sorted(map(tuple, fewest(wanted, 100, 2))) == [(48, 40, 12), (51, 34, 15)]


def test_out_of_time_every_piece_has_a_bar_of_its_own(monkeypatch):
    monkeypatch.setattr(cutting_patterns, "_SECONDS", 0.0)
    rng = np.random.default_rng(1)
    wanted = largest_first({int(s): 3 for s in rng.integers(100, 900, 40)})
    patterns, _ = _relaxed(wanted, 1999)
    cut_once(_by_patterns(wanted, patterns), wanted, 1999)


@given(WANTED, st.lists(st.floats(0.0, 1.0), min_size=4, max_size=4))
def test_the_knapsack_is_worth_most_of_all_that_fit(wanted, worth):
    sizes, demand = np.array(list(wanted)), np.array(list(wanted.values()))
    each = np.array(worth[: len(sizes)])
    pattern, value = _knapsack(sizes, demand, each, ROOM)
    assert np.all(pattern <= demand)
    assert pattern @ sizes <= ROOM
    assert pattern @ each == pytest.approx(value)
    pieces = [i for i, n in enumerate(demand) for _ in range(min(n, ROOM // sizes[i]))]
    best = max(
        (
            sum(each[i] for i in some)
            for k in range(len(pieces) + 1)
            for some in combinations(pieces, k)
            if sum(sizes[i] for i in some) <= ROOM
        ),
        default=0.0,
    )
    assert value == pytest.approx(best)


def test_arcs_run_from_where_larger_ones_can_end_and_waste_to_the_end():
    """Room 10, one 6 and two 4: by hand."""
    arcs = _arcs({6: 1, 4: 2}, 10)
    assert sorted(a for a in arcs if a[2] >= 0) == [(0, 4, 1), (0, 6, 0), (4, 8, 1), (6, 10, 1)]
    assert sorted(a for a in arcs if a[2] < 0) == [(4, 10, -1), (6, 10, -1), (8, 10, -1)]


def test_the_bound_counts_a_bar_that_is_just_begun():
    assert pattern_bound({5: 2}, 10) == 1
    assert pattern_bound({5: 3}, 10) == 2
    assert pattern_bound({7: 3, 3: 1}, 10) == 3
    # Lengths alone would let 19 mm go into two bars of 10.
    assert pattern_bound({6: 3, 1: 1}, 10) == 3
