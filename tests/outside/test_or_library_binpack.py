"""OR-Library, bin packing set binpack1 (J. E. Beasley; Falkenauer 1996): u120_00 to u120_02.

`tests/data/binpack1_u120.txt` holds the first three instances as published: capacity 150, 120
items each, proven optima 48, 49 and 46; first-fit decreasing needs 49, 49 and 47.
"""

from collections import Counter
from pathlib import Path

import pytest

from barwright.tubes.cutting_patterns import fewest, pattern_bound
from barwright.tubes.nesting import Piece, nest
from barwright.tubes.quick_plans import first_fit

DATA = Path(__file__).parent.parent / "data" / "binpack1_u120.txt"


def instances():
    words = DATA.read_text(encoding="utf-8").split()
    at = 1
    for _ in range(int(words[0])):
        name, room, count, best = words[at], *map(int, words[at + 1 : at + 4])
        items = [int(word) for word in words[at + 4 : at + 4 + count]]
        at += 4 + count
        yield name, room, best, items


@pytest.mark.parametrize(
    ("case", "quick"),
    list(zip(instances(), (49, 49, 47), strict=True)),
    ids=["u120_00", "u120_01", "u120_02"],
)
def test_published_optimum(case, quick):
    name, room, best, items = case
    assert len(items) == 120
    assert len(first_fit(items, room)) == quick, name
    wanted = Counter(items)
    bound = pattern_bound(wanted, room)
    assert bound <= best
    plan = fewest(wanted, room, bound)
    assert len(plan) == best
    assert Counter(size for bar in plan for size in bar) == wanted
    assert max(map(sum, plan)) <= room


def test_u120_00_as_it_is_printed():
    name, room, best, items = next(instances())
    assert (name, room, best, sum(items)) == ("u120_00", 150, 48, 7078)
    assert items[:5] == [42, 69, 67, 57, 93]


def test_as_tubes_it_is_proven_best():
    _, room, best, items = next(instances())
    pieces = tuple(Piece(name=f"p{i}", length=float(x)) for i, x in enumerate(items))
    plan = nest(pieces, float(room))
    assert (len(plan.bars), plan.bound, plan.gap) == (best, best, 0)
