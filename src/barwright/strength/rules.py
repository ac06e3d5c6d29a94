"""How hard do published rules push? Figures, with the edition and how well they are known.

None of these rules covers a home-built side bar. They are yardsticks of the size of load that a
closure is expected to stand, and nothing here is a homologation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

Where: TypeAlias = Literal["middle", "latch", "hinge"]
Way: TypeAlias = Literal["in", "out", "back"]

LBF = 4.4482216152605
"""Newtons in one pound-force (NIST SP 811, appendix B)."""
G = 9.80665
"""Standard gravity [m/s²]."""


@dataclass(frozen=True, kw_only=True)
class Rule:
    """A push that a published rule asks for.

    Attributes:
        force: how hard [N]; for a rule in g, the multiple of the leaf's weight is `times`.
        times: multiple of the leaf's weight; 0 for a plain force.
        where, way: where it acts on a leaf and which way.
        source: rule, edition, and whether it is from memory.
        beyond_yield: whether the rule itself lets the structure bend for good.
    """

    force: float = 0.0
    times: float = 0.0
    where: Where
    way: Way
    source: str
    beyond_yield: bool = True


_DOOR = "49 CFR 571.214 S6 static door test, from memory (ram 305 mm wide, far wider than a point)"
_R11 = "UN Regulation No. 11 (GTR 1)"

RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "214-initial": Rule(
            force=2250.0 * LBF,
            where="middle",
            way="in",
            source=f"{_DOOR}: initial resistance 2250 lbf over the first 152 mm",
        ),
        "214-intermediate": Rule(
            force=3500.0 * LBF,
            where="middle",
            way="in",
            source=f"{_DOOR}: intermediate resistance 3500 lbf over 305 mm, seats out",
        ),
        "214-peak": Rule(
            force=7000.0 * LBF,
            where="middle",
            way="in",
            source=f"{_DOOR}: peak resistance 7000 lbf (or twice the kerb weight, if less)",
        ),
        "r11-latch": Rule(
            force=11000.0,
            where="latch",
            way="back",
            source=f"{_R11} 6.1.1, load test one, fully latched, read in a public copy",
        ),
        "r11-latch-out": Rule(
            force=9000.0,
            where="latch",
            way="out",
            source=f"{_R11} 6.1.2, load test two, fully latched, read in a public copy",
        ),
        "r11-latch-secondary": Rule(
            force=4500.0,
            where="latch",
            way="out",
            source=f"{_R11} 6.1.1 and 6.1.2, secondary latched position, read in a public copy",
        ),
        "r11-hinge": Rule(
            force=11000.0,
            where="hinge",
            way="back",
            source=f"{_R11} 6.1.5, hinge system lengthwise, read in a public copy",
        ),
        "r11-hinge-out": Rule(
            force=9000.0,
            where="hinge",
            way="out",
            source=f"{_R11} 6.1.5, hinge system crosswise, read in a public copy",
        ),
        "inertia-30g": Rule(
            times=30.0,
            where="middle",
            way="out",
            source="GTR 1 and 49 CFR 571.206, door inertia 30 g, from memory",
        ),
    }
)
"""The rules, by the name a [load] table may give."""

USUAL = (
    "214-initial",
    "r11-latch",
    "r11-latch-out",
    "r11-hinge",
    "r11-hinge-out",
    "inertia-30g",
)
"""What a vehicle's side door is held against when the job does not say which: to look at, never
as a pass."""
