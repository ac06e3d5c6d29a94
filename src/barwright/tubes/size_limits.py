"""How far from its name may a bought tube be: outside diameter, wall, bore, straightness.

The figures are of service centres' and a maker's tables of the standards, not of the standards
themselves: hold what a part depends on against the tube at hand with a caliper.
"""

from __future__ import annotations

from dataclasses import dataclass

INCH = 25.4

A513 = "ASTM A513 type 5, drawn over a mandrel (service centres' tables)"
EN_10219 = "EN 10219-2, cold formed (a maker's table)"

_A513_OD = ((0.5, 1.699, 0.005), (1.7, 2.099, 0.006))
"""Outside diameter from, to [in]: so much over and nothing under, the bore as much under."""
_A513_WALL = ((0.095, 0.002, 0.003), (0.120, 0.002, 0.004))
"""Wall, over, under [in], for 0.875 to 1.875 in outside."""


@dataclass(frozen=True, kw_only=True)
class SizeLimits:
    """What a tube of a size may measure.

    Attributes:
        od: least and greatest outside diameter [mm].
        wall: least and greatest wall [mm].
        bore: the least bore [mm].
        out_of_round: greatest less least diameter over the nominal; None where not told.
        straightness: how far off straight over its length, of that length; None where not told.
        source: the standard.
    """

    od: tuple[float, float]
    wall: tuple[float, float]
    bore: float
    source: str
    out_of_round: float | None = None
    straightness: float | None = None


def size_limits(od: float, wall: float, steel: str = "") -> SizeLimits:
    """The limits of a tube by the standard its steel is sold to.

    Args:
        od: nominal outside diameter [mm].
        wall: nominal wall [mm].
        steel: its name in the job; structural steels (s235 …) go by EN 10219-2, all else by A513.

    >>> limits = size_limits(38.1, 2.413)
    >>> [round(x, 3) for x in (*limits.od, limits.bore)]
    [38.1, 38.227, 33.147]
    """
    return _en_10219(od, wall) if steel.casefold().startswith("s") else _a513(od, wall)


def _a513(od: float, wall: float) -> SizeLimits:
    inches = od / INCH
    rows = [over for low, high, over in _A513_OD if low - 5e-4 <= inches <= high + 5e-4]
    over = INCH * (rows[0] if rows else _A513_OD[0 if inches < _A513_OD[0][0] else -1][2])
    _, thick, thin = min(_A513_WALL, key=lambda row: abs(row[0] - wall / INCH))
    high = wall + INCH * thick
    return SizeLimits(
        od=(od, od + over),
        wall=(wall - INCH * thin, high),
        bore=min(od - 2.0 * wall - over, od - 2.0 * high),
        source=A513,
    )


def _en_10219(od: float, wall: float) -> SizeLimits:
    """D ±1 %, at least 0.5 mm and at most 10 mm; T to 5 mm ±10 %, above ±0.5 mm."""
    off = min(max(0.01 * od, 0.5), 10.0)
    thick = 0.1 * wall if wall <= 5.0 else 0.5
    return SizeLimits(
        od=(od - off, od + off),
        wall=(wall - thick, wall + thick),
        bore=od - off - 2.0 * (wall + thick),
        source=EN_10219,
        out_of_round=0.02 if od / wall <= 100.0 else None,
        straightness=0.002,
    )
