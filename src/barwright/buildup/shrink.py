"""How much a weld draws two parts together: published formulas, with their limits.

All are estimates for carbon steel, welded free of restraint; in a frame less comes of it. They
say which weld pulls most and which way, not where a latch will end up to a tenth.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """A shrinkage.

    Attributes:
        value: [mm].
        source: the formula and where it holds.
        holds: whether the case lies within its limits.
    """

    value: float
    source: str
    holds: bool


def transverse(*, area: float, thickness: float, gap: float) -> Estimate:
    """Shrinkage across a butt weld: S = 0.2 A/t + 0.05 d.

    W. Spraragen, W. G. Ettinger, "Shrinkage distortion in welding", Welding Journal 29 (1950),
    from memory. For single-pass and multi-pass butt welds in plain carbon and low-alloy steel,
    plate up to about 25 mm, unrestrained.

    Args:
        area: the weld's cross-section A [mm²].
        thickness: of the plate t [mm].
        gap: root opening d [mm].

    Raises:
        ValueError: no thickness.

    >>> round(transverse(area=20.0, thickness=6.0, gap=2.0).value, 3)
    0.767
    """
    if thickness <= 0.0:
        raise ValueError("a plate has a thickness")
    return Estimate(
        value=0.2 * area / thickness + 0.05 * gap,
        source="Spraragen and Ettinger 1950: 0.2 A/t + 0.05 d (from memory)",
        holds=thickness <= 25.4,
    )


def leaning(*, shrink: float, across: float, arm: float) -> float:
    """How far a point leans when one side of a joint draws and the other does not: S arm/across.

    The joint turns about its unwelded side: plane geometry.

    Args:
        shrink: of the side welded first [mm].
        across: distance between the two sides [mm].
        arm: from the joint to the point [mm].

    >>> leaning(shrink=0.3, across=40.0, arm=80.0)
    0.6
    """
    return shrink * arm / across
