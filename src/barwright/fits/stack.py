"""How much can a gap vary? Tolerance stacks by worst case, root sum of squares and Monte Carlo.

A gap is a sum of contributors, each times its sensitivity (+1 opens the gap, -1 closes it).
Source: Scholz, Tolerance Stack Analysis Methods (Boeing / University of Washington, 1995).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Literal, TypeAlias

import numpy as np

from barwright.geometry.vectors import Floats

REMEMBERED = 8
"""Stacks whose drawn sizes are kept."""

Shape: TypeAlias = Literal["normal", "uniform", "triangle"]
"""How a size spreads between its limits."""


@dataclass(frozen=True, kw_only=True)
class Contributor:
    """One size in a stack.

    Attributes:
        name: what it is.
        nominal: as drawn [mm].
        plus, minus: limits above and below nominal [mm], minus as a positive number.
        sensitivity: how the gap moves with it; +1 opens, -1 closes.
        shape: normal (limits at three standard deviations), uniform, or triangle.
    """

    name: str
    nominal: float
    plus: float
    minus: float
    sensitivity: float = 1.0
    shape: Shape = "normal"

    @property
    def middle(self) -> float:
        """Halfway between its limits [mm]."""
        return self.nominal + 0.5 * (self.plus - self.minus)

    @property
    def half(self) -> float:
        """Half the distance between its limits [mm]."""
        return 0.5 * (self.plus + self.minus)

    @property
    def sd(self) -> float:
        """One standard deviation [mm] by its shape."""
        return (
            self.half
            / {"normal": 3.0, "uniform": math.sqrt(3.0), "triangle": math.sqrt(6.0)}[self.shape]
        )


@dataclass(frozen=True, kw_only=True)
class Range:
    """A gap's nominal size and how far it can go [mm]."""

    nominal: float
    least: float
    most: float


@dataclass(frozen=True, kw_only=True)
class Simulated:
    """A gap by Monte Carlo.

    Attributes:
        mean, sd: of the gap [mm].
        low, high: 0.135 % and 99.865 % of all gaps lie below [mm] (three standard deviations
            each way, were it normal).
        chance: share of gaps within the bounds asked for.
        chance_low, chance_high: 95 % interval of that chance from the sampling alone (Wilson).
        shares: (name, share of the variance) of each contributor, largest first.
        samples: how many were drawn.
    """

    mean: float
    sd: float
    low: float
    high: float
    chance: float
    chance_low: float
    chance_high: float
    shares: tuple[tuple[str, float], ...]
    samples: int


def nominal(stack: tuple[Contributor, ...]) -> float:
    """The gap with every size as drawn [mm]."""
    return math.fsum(c.sensitivity * c.nominal for c in stack)


def worst_case(stack: tuple[Contributor, ...]) -> Range:
    """The gap with every size at the limit that hurts.

    >>> parts = tuple(Contributor(name=str(i), nominal=1, plus=0.1, minus=0.1) for i in range(10))
    >>> r = worst_case(parts)
    >>> round(r.least, 9), round(r.most, 9)
    (9.0, 11.0)
    """
    middle = math.fsum(c.sensitivity * c.middle for c in stack)
    reach = math.fsum(abs(c.sensitivity) * c.half for c in stack)
    return Range(nominal=nominal(stack), least=middle - reach, most=middle + reach)


def rss(stack: tuple[Contributor, ...], *, inflate: float = 1.0) -> Range:
    """The gap by root sum of squares of the half-widths, about the middle of the limits.

    Args:
        stack: the contributors, taken as independent.
        inflate: factor for processes that wander (1.5 is a common rule of thumb).

    >>> parts = tuple(Contributor(name=str(i), nominal=1, plus=0.1, minus=0.1) for i in range(10))
    >>> round(rss(parts).most - 10, 4)
    0.3162
    """
    middle = math.fsum(c.sensitivity * c.middle for c in stack)
    reach = inflate * math.sqrt(math.fsum((c.sensitivity * c.half) ** 2 for c in stack))
    return Range(nominal=nominal(stack), least=middle - reach, most=middle + reach)


@lru_cache(REMEMBERED)
def draw(stack: tuple[Contributor, ...], samples: int, seed: int) -> Floats:
    """Sizes drawn at random, shape (samples, len(stack)) [mm]; the same for the same seed.

    A normal size is cut off at its limits only by its own three standard deviations: 0.27 % of
    parts are out of tolerance, as in a shop that works to them. Remembered, so not to be written
    to: most changes to a job leave a hinge's sizes as they are.
    """
    rng = np.random.default_rng(seed)
    out = np.empty((len(stack), samples))
    for i, c in enumerate(stack):
        if c.shape == "normal":
            spread = rng.standard_normal(samples) / 3.0
        elif c.shape == "uniform":
            spread = rng.uniform(-1.0, 1.0, samples)
        else:
            spread = rng.triangular(-1.0, 0.0, 1.0, samples)
        out[i] = c.middle + c.half * spread
    out.flags.writeable = False
    return out.T


@lru_cache(REMEMBERED)
def _about_mean(stack: tuple[Contributor, ...], samples: int, seed: int) -> tuple[Floats, Floats]:
    """Sizes drawn, less their means, shape (samples, n) [mm], and their products' sums (n, n)."""
    sizes = draw(stack, samples, seed)
    x = sizes - sizes.mean(axis=0)
    return x, x.T @ x


def monte_carlo(
    stack: tuple[Contributor, ...],
    *,
    least: float = -math.inf,
    most: float = math.inf,
    samples: int = 100_000,
    seed: int = 1,
    gap: Callable[[Mapping[str, Floats]], Floats] | None = None,
) -> Simulated:
    """The gap by Monte Carlo, with each contributor's share and the sampling error.

    Args:
        stack: the contributors, independent, names that differ.
        least: least gap that fits [mm].
        most: largest gap that fits [mm].
        samples: how many builds.
        seed: of the random numbers; the same seed gives the same answer.
        gap: what makes the gap of the sizes by name, arrays in, array out; None takes the sum of
            size times sensitivity.

    Raises:
        ValueError: no contributors, or two of one name.

    >>> parts = (Contributor(name="a", nominal=10, plus=0.1, minus=0.1),
    ...          Contributor(name="b", nominal=9, plus=0.2, minus=0.2, sensitivity=-1))
    >>> s = monte_carlo(parts, least=0.8, samples=20000)
    >>> [(n, round(v, 1)) for n, v in s.shares], 0.99 < s.chance < 1
    ([('b', 0.8), ('a', 0.2)], True)
    """
    names = [c.name for c in stack]
    if not stack or len(set(names)) != len(names):
        raise ValueError("a stack needs contributors, each with a name of its own")
    sizes = draw(stack, samples, seed)
    if gap is None:
        gaps = sizes @ np.array([c.sensitivity for c in stack])
    else:
        gaps = np.asarray(gap({c.name: sizes[:, i] for i, c in enumerate(stack)}), dtype=float)
    fits = int(np.count_nonzero((gaps >= least) & (gaps <= most)))
    low, high = np.quantile(gaps, [0.00135, 0.99865])
    chance_low, chance_high = wilson(fits, samples)
    return Simulated(
        mean=float(gaps.mean()),
        sd=float(gaps.std(ddof=1)),
        low=float(low),
        high=float(high),
        chance=fits / samples,
        chance_low=chance_low,
        chance_high=chance_high,
        shares=_shares(names, *_about_mean(stack, samples, seed), gaps),
        samples=samples,
    )


def _shares(
    names: list[str], x: Floats, products: Floats, gaps: Floats
) -> tuple[tuple[str, float], ...]:
    """Each contributor's part of the gap's variance, largest first.

    By straight-line regression of the gap on the sizes: share_i = cov(x_i b_i, gap) / var(gap).
    What no line explains (a gap far from linear) is left out, so the shares then add to less
    than one.
    """
    y = gaps - gaps.mean()
    total = float(y @ y)
    if total == 0.0:
        return tuple((n, 0.0) for n in names)
    with_gap = x.T @ y
    slope = np.linalg.lstsq(products, with_gap, rcond=None)[0]
    part = slope * with_gap / total
    order = np.argsort(-part, kind="stable")
    return tuple((names[i], float(part[i])) for i in order)


def wilson(hits: int, samples: int, confidence: float = 0.95) -> tuple[float, float]:
    """Interval in which a chance lies, from hits in a number of samples (Wilson 1927; from memory).

    >>> [round(x, 4) for x in wilson(90, 100)]
    [0.8256, 0.9448]
    """
    z = NormalDist().inv_cdf(0.5 + confidence / 2.0)
    p, n = hits / samples, float(samples)
    middle = (p + z * z / (2 * n)) / (1 + z * z / n)
    reach = z / (1 + z * z / n) * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return max(0.0, middle - reach), min(1.0, middle + reach)
