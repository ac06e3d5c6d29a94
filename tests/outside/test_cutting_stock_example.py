"""The cutting stock example of an encyclopaedia article (read in an EPFL graph copy).

Master rolls of 5600, thirteen widths, 219 pieces in all: at least 73 rolls, and 73 do.
"""

import pytest

from barwright.tubes.nesting import Piece, nest

WIDTHS = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip


def test_73_rolls_and_no_plan_needs_fewer():
    pieces = tuple(
        Piece(name=f"{width}-{i}", length=float(width))
        for width, count in WIDTHS.items()
        for i in range(count)
    )
    assert sum(p.length for p in pieces) == 407160
    plan = nest(pieces, 5600.0)
    assert plan.bound == 73
    assert len(plan.bars) == 73
    assert sorted(p.name for bar in plan.bars for p in bar.pieces) == sorted(p.name for p in pieces)
    assert all(bar.left >= 0 for bar in plan.bars)


def test_kerf_counts_with_every_piece_but_the_last():
    """First principles: L + k in a bar of 6000 + k; Σ (L + 2) = 22546 wants 4 bars of 6002."""
    counts = {1500: 4, 1200: 6, 900: 5, 600: 8}
    pieces = tuple(
        Piece(name=f"{size}-{i}", length=float(size))
        for size, n in counts.items()
        for i in range(n)
    )
    assert sum(p.length + 2 for p in pieces) == 22546
    plan = nest(pieces, 6000.0, kerf=2.0)
    assert (len(plan.bars), plan.bound) == (4, 4)
    for bar in plan.bars:
        assert sum(p.length for p in bar.pieces) + 2 * (len(bar.pieces) - 1) <= 6000
        assert bar.marks(2.0)[-1] == pytest.approx(6000 - bar.left)
    # Four pieces of 1500 fill a bar exactly, and three kerfs no longer fit.
    quarters = tuple(Piece(name=str(i), length=1500.0) for i in range(4))
    assert len(nest(quarters, 6000.0).bars) == 1
    assert len(nest(quarters, 6000.0, kerf=2.0).bars) == 2
    assert len(nest(quarters, 6006.0, kerf=2.0).bars) == 1
