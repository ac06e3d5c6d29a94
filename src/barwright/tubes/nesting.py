"""How the pieces are cut from stock bars, with as few bars as can be.

A saw cut takes its kerf with every piece, so a piece of L counts L + kerf in a bar of
length - end waste + kerf: the last piece's kerf may fall off the end. First-fit decreasing
gives an answer at once; the linear relaxation over cutting patterns bounds it from below; where
the two differ a mixed-integer program looks for a better one (see `tubes.cutting_patterns`).
The better answer is kept, and the bound and the gap are told.

Lengths are counted in tenths of a millimetre, rounded up: no saw stops closer.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from barwright.findings import Finding, Level
from barwright.job.schema import Job
from barwright.tubes.bars import Bars
from barwright.tubes.bend_sheet import bend_sheet, bent_already
from barwright.tubes.cutting_patterns import fewest, pattern_bound
from barwright.tubes.quick_plans import first_fit, fullest_first, least_bars

TENTHS = 10
DEFAULT_BAR = 6096.0
"""Stock bar where the job names none [mm]: 20 ft, the usual mill length; common practice."""


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One piece to cut: what it is for, and how long [mm]."""

    name: str
    length: float


@dataclass(frozen=True, kw_only=True)
class StockBar:
    """One stock bar: its pieces in the order they are cut, and what is left over [mm]."""

    pieces: tuple[Piece, ...]
    left: float

    def marks(self, kerf: float) -> tuple[float, ...]:
        """Where each piece ends [mm from the bar's good end]; the blade goes just past it."""
        ends, at = list[float](), 0.0
        for piece in self.pieces:
            ends.append(at + piece.length)
            at += piece.length + kerf
        return tuple(ends)


@dataclass(frozen=True, kw_only=True)
class Nesting:
    """How one stock is cut.

    Attributes:
        stock: its name; empty where none is named.
        length: of a stock bar [mm].
        kerf, end_waste: [mm].
        bars: the stock bars.
        bound: no plan does with fewer bars than this.
        too_long: pieces that no stock bar gives.
    """

    stock: str
    length: float
    kerf: float
    end_waste: float
    bars: tuple[StockBar, ...]
    bound: int
    too_long: tuple[Piece, ...] = ()

    @property
    def gap(self) -> int:
        """Bars more than the bound: 0 where the plan is proven best."""
        return len(self.bars) - self.bound

    @property
    def used(self) -> float:
        """Share of the bought tube that ends in pieces, 0 to 1."""
        cut = math.fsum(p.length for bar in self.bars for p in bar.pieces)
        return cut / (self.length * len(self.bars)) if self.bars else 0.0


def nest(
    pieces: tuple[Piece, ...],
    length: float,
    *,
    kerf: float = 0.0,
    end_waste: float = 0.0,
    stock: str = "",
) -> Nesting:
    """The plan that cuts all pieces from the fewest bars found.

    Args:
        pieces: what is wanted [mm].
        length: of one stock bar [mm].
        kerf: lost with every cut [mm].
        end_waste: lost once a bar [mm].
        stock: its name, for the plan.

    >>> plan = nest(tuple(Piece(name=n, length=900) for n in "abcde"), 2000, kerf=3)
    >>> [[p.name for p in bar.pieces] for bar in plan.bars], plan.bound, plan.gap
    ([['a', 'b'], ['c', 'd'], ['e']], 3, 0)
    """
    room = math.floor(TENTHS * (length - end_waste + kerf) + 1e-6)
    sized = {id(p): math.ceil(TENTHS * (p.length + kerf) - 1e-6) for p in pieces}
    fits = tuple(p for p in pieces if sized[id(p)] <= room)
    best, bound = _fewest([sized[id(p)] for p in fits], room)
    return Nesting(
        stock=stock,
        length=length,
        kerf=kerf,
        end_waste=end_waste,
        bars=_dealt(best, fits, sized, (length - end_waste, kerf)),
        bound=bound,
        too_long=tuple(p for p in pieces if sized[id(p)] > room),
    )


def _fewest(sizes: list[int], room: int) -> tuple[list[list[int]], int]:
    """The best plan found and what no plan can beat: the quick ways first, programs at need."""
    plan, bound = first_fit(sizes, room), least_bars(sizes, room)
    if len(plan) > bound:
        plan = min(plan, fullest_first(sizes, room), key=len)
    if len(plan) > bound:
        wanted = Counter(sizes)
        bound = max(bound, pattern_bound(wanted, room))
        if len(plan) > bound:
            plan = min(plan, fewest(wanted, room, bound), key=len)
    return plan, bound


def nestings(job: Job, bars: Bars) -> tuple[Nesting, ...]:
    """The cut plan of every stock of a job, blanks for bent bars with their trim.

    Bars that stand on the vehicle, or were bent beforehand, need no stock.
    """
    return tuple(
        nest(
            pieces,
            job.stock[stock].bar or DEFAULT_BAR,
            kerf=job.saw.kerf,
            end_waste=job.saw.end_waste,
            stock=stock,
        )
        for stock, pieces in _pieces(job, bars).items()
    )


def _pieces(job: Job, bars: Bars) -> dict[str, tuple[Piece, ...]]:
    """What is to be cut of each stock."""
    wanted: dict[str, list[Piece]] = {}
    for bar in (b for b in bars.to_make if not bent_already(job, b)):
        sheet, _ = bend_sheet(job, bar)
        wanted.setdefault(bar.stock, []).append(Piece(name=bar.name, length=sheet.blank))
    return {stock: tuple(pieces) for stock, pieces in wanted.items()}


def stock_findings(job: Job, bars: Bars) -> tuple[Finding, ...]:
    """Pieces that no stock bar gives, without working a cut plan out."""
    return tuple(
        _too_long(piece, stock, (job.stock[stock].bar or DEFAULT_BAR) - job.saw.end_waste)
        for stock, pieces in _pieces(job, bars).items()
        for piece in pieces
        if piece.length > (job.stock[stock].bar or DEFAULT_BAR) - job.saw.end_waste
    )


def cost(job: Job, plans: tuple[Nesting, ...]) -> float | None:
    """What the stock bars cost, in the job's own money; None where a price is missing."""
    prices = [job.stock[plan.stock].price for plan in plans]
    if any(price is None for price in prices):
        return None
    return math.fsum((p or 0.0) * len(plan.bars) for p, plan in zip(prices, plans, strict=True))


def _too_long(piece: Piece, stock: str, room: float) -> Finding:
    return Finding(
        code="tubes.stock",
        level=Level.MUST,
        subject=f"bar.{piece.name}",
        says=f"{piece.name} needs {piece.length:.1f} mm; a bar of {stock} gives {room:.1f} mm.",
        measured=piece.length,
        allowed=room,
        unit="mm",
        source="[stock] bar and [saw] end_waste of the job",
        remedy=f"Buy bars {piece.length - room:.0f} mm longer, or splice it over an insert.",
    )


def _dealt(
    plan: list[list[int]],
    pieces: tuple[Piece, ...],
    sized: dict[int, int],
    room: tuple[float, float],
) -> tuple[StockBar, ...]:
    """The plan's sizes as the pieces themselves, each size's pieces in the order given."""
    waiting: dict[int, list[Piece]] = {}
    for piece in pieces:
        waiting.setdefault(sized[id(piece)], []).append(piece)
    bars = list[StockBar]()
    for sizes in plan:
        cut = tuple(waiting[size].pop(0) for size in sizes)
        taken = math.fsum(p.length for p in cut) + room[1] * (len(cut) - 1)
        bars.append(StockBar(pieces=cut, left=max(room[0] - taken, 0.0)))
    return tuple(bars)
