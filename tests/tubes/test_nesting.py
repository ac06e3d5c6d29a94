"""Cut plans, on small cases that can be seen through or tried out whole."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.tubes.nesting import Piece, cost, nest, nestings
from barwright.tubes.quick_plans import first_fit, fullest_first, least_bars


def pieces(*lengths):
    return tuple(Piece(name=f"p{i}", length=float(x)) for i, x in enumerate(lengths))


def fewest_by_trying(sizes, room):
    """The fewest bars by dynamic programming over all subsets."""
    n = len(sizes)
    fits = [
        sum(1 << i for i in chosen)
        for k in range(1, n + 1)
        for chosen in combinations(range(n), k)
        if sum(sizes[i] for i in chosen) <= room
    ]
    best = {0: 0}
    for mask in range(1, 1 << n):
        best[mask] = min(best[mask & ~f] + 1 for f in fits if f & mask & -mask and f & mask == f)
    return best[(1 << n) - 1]


@settings(max_examples=40)
@given(st.lists(st.integers(5, 100), min_size=1, max_size=8))
def test_small_plans_are_the_best_there_are(sizes):
    plan = nest(pieces(*sizes), 100.0)
    assert len(plan.bars) == fewest_by_trying(sizes, 100)
    assert plan.bound <= len(plan.bars)
    assert sorted(p.name for b in plan.bars for p in b.pieces) == sorted(
        p.name for p in pieces(*sizes)
    )


@settings(max_examples=100)
@given(st.lists(st.integers(5, 100), min_size=1, max_size=8))
def test_the_quick_plans_and_the_counted_bound_have_the_best_between_them(sizes):
    best = fewest_by_trying(sizes, 100)
    quick = fullest_first(sizes, 100)
    assert all(sum(bar) <= 100 for bar in quick)
    assert sorted(s for bar in quick for s in bar) == sorted(sizes)
    assert least_bars(sizes, 100) <= best <= len(quick)


def test_first_fit_is_beaten_where_it_wastes():
    """Two full bars, 51 + 34 + 15 and 48 + 40 + 12, of which first fit makes three."""
    sizes = (51, 48, 40, 34, 15, 12)
    assert len(first_fit(list(sizes), 100)) == 3
    plan = nest(pieces(*sizes), 100.0)
    assert (len(plan.bars), plan.gap) == (2, 0)


def test_end_waste_is_lost_once_a_bar():
    assert len(nest(pieces(500, 500), 1000.0).bars) == 1
    assert len(nest(pieces(500, 500), 1000.0, end_waste=1.0).bars) == 2


def test_a_piece_longer_than_the_bar_is_named():
    plan = nest(pieces(500, 1200), 1000.0, stock="main")
    assert [p.name for p in plan.too_long] == ["p1"]


def test_a_bar_longer_than_its_stock_is_a_finding_of_the_job(built):
    bars = {"long": {"stock": "main", "path": ["A", "B"]}}
    stock = {"main": {"od": 38, "wall": 2.5, "bar": 1000, "steel": "s235"}}
    places = {"A": (0, 0, 0), "B": (1200, 0, 0)}
    made = built(places, bars, stock=stock, saw={"kerf": 2, "end_waste": 30})[1]
    told = {f.code: f for f in made.findings}["tubes.stock"]
    assert (told.level, told.subject, told.measured) == ("must", "bar.long", 1200.0)
    assert told.allowed == pytest.approx(970.0)
    assert "230 mm longer" in told.remedy


def test_nothing_to_cut():
    plan = nest((), 1000.0)
    assert (plan.bars, plan.bound, plan.used) == ((), 0, 0.0)


def test_the_whole_job_by_stock_with_trim_and_price(built):
    places = {"A": (0, 0, 0), "B": (600, 0, 0), "C": (600, 700, 0), "D": (0, 0, 900)}
    bars = {
        "bent": {"stock": "main", "path": ["A", "B", "C"]},
        "thin": {"stock": "light", "path": ["C", "D"]},
    }
    stock = {
        "main": {"od": 38, "wall": 2.5, "bar": 6000, "price": 40},
        "light": {"od": 25.4, "wall": 1.65, "price": 25},
    }
    job, made = built(
        places, bars, stock=stock, bender={"main": {"clr": 114, "trim": 30}}, saw={"kerf": 2}
    )
    main, light = nestings(job, made)
    (only,) = main.bars
    assert only.pieces[0].length == pytest.approx(made.named("bent").cut_length + 60)
    assert (main.length, light.length, light.kerf) == (6000, 6096, 2)
    assert cost(job, (main, light)) == 65
    unpriced = job.model_copy(
        update={
            "stock": type(job.stock)(
                {**job.stock, "light": job.stock["main"].model_copy(update={"price": None})}
            )
        }
    )
    assert cost(unpriced, (main, light)) is None
