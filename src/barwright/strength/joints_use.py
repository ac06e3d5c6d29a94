"""How much do welds, hinge bolt and striker bolt carry of what acts on them?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.plates.outline import region
from barwright.plates.part import Hardware, Part
from barwright.strength.frame import Answer
from barwright.strength.lugs import Lug, lug_strength
from barwright.strength.materials import BOLTS, WEAKEST, Material, material
from barwright.strength.members_use import EndForces
from barwright.strength.model import Model
from barwright.strength.pins import PinJoint, PinUse, pin_bending, pin_shear, pin_use
from barwright.strength.welds import ec3_fillet

STRIKER_ARM = 7.0
"""From the striker's plate to the middle of the latch, where its striker bolt does not say [mm]."""
BETA = 0.9
"""Correlation factor for welds taken for every steel: EN 1993-1-8 table 4.1, the safe S355 row
among those to 355 N/mm² (from memory)."""


class HasParts(Protocol):
    """What the plates stage hands on, as far as it is read here."""

    @property
    def parts(self) -> tuple[Part, ...]:
        """The plates."""

    @property
    def hardware(self) -> tuple[Hardware, ...]:
        """The bought and turned parts."""


def weld_use(model: Model, at: EndForces, bead: float | None) -> Floats:
    """Share of the seam's strength used at every member end (k, m, 2); 0 where there is no weld.

    The seam is taken as a thin ring of the tube's diameter, its forces added as vectors; a cope's
    own seam is longer. EN 1993-1-8 4.5.3.3 (from memory).

    Args:
        model: the frame.
        at: end forces.
        bead: leg of the fillet [mm]; None takes a throat as thick as each tube's wall, a full-size
            weld (common practice, no source).
    """
    bar_of = model.mesh.bar_of
    od = np.array([s.od for s in model.sections])[bar_of][:, None]
    throat = [math.sqrt(0.5) * bead if bead else s.wall for s in model.sections]
    carries = [
        ec3_fillet(throat=a, fu=steel.fu, beta=BETA)
        for a, steel in zip(throat, model.steels, strict=True)
    ]
    ring, modulus = math.pi * od, math.pi * od**2 / 4.0
    normal = np.abs(at.pull) / ring + at.bend / modulus
    along = 2.0 * at.shear / ring + at.twist / (2.0 * modulus)
    use = np.hypot(normal, along) / np.array(carries)[bar_of][:, None]
    return np.asarray(np.where(model.welded, use, 0.0))


def force_at(answer: Answer, nodes: tuple[int, ...], case: int) -> Floats:
    """The force [N] that a hinge or latch puts on the leaf, shape (3,)."""
    return np.asarray(answer.reactions[case, list(nodes), :3].sum(axis=0))


@dataclass(frozen=True, kw_only=True)
class Bolted:
    """A bolt that a leaf hangs on or is latched by.

    Attributes:
        leaf: the leaf.
        what: "hinge" or "latch".
        joint: the hinge's pin; None for a striker.
        d: its diameter [mm].
        arm: of a striker, from its plate to where the latch holds it [mm].
        fy, fu: its strength [N/mm²].
        cheek: what one of the hinge's cheeks carries as a lug [N]; 0 where that is not known.
    """

    leaf: str
    what: str
    joint: PinJoint | None
    d: float
    arm: float
    fy: float
    fu: float
    cheek: float = 0.0


def bolts_of(parts: HasParts, leaf: str, grade: str) -> tuple[Bolted, ...]:
    """The leaf's hinge and striker bolts, where its hardware gives their sizes."""
    sizes = {h.name: dict(h.dims) for h in parts.hardware}
    made = (_hinge_bolt(parts, sizes, leaf, grade), _striker_bolt(sizes, leaf, grade))
    return tuple(b for b in made if b is not None)


def _hinge_bolt(
    parts: HasParts, sizes: dict[str, dict[str, float]], leaf: str, grade: str
) -> Bolted | None:
    bolt, bushing = sizes.get(f"{leaf}.hinge.bolt"), sizes.get(f"{leaf}.hinge.bushing")
    cheek = next((p for p in parts.parts if p.name.startswith(f"{leaf}.hinge.cheek")), None)
    if not (bolt and bushing and cheek):
        return None
    (fy, fu), steel, d = BOLTS[grade], material(cheek.material) or WEAKEST, bolt["od"]
    joint = PinJoint(
        d=d,
        fyp=fy,
        fup=fu,
        middle=bushing["length"],
        outer=cheek.thickness,
        gap=0.25,
        fy=steel.fy,
    )
    lug = cheek_strength(cheek, d, steel)
    return Bolted(leaf=leaf, what="hinge", joint=joint, d=d, arm=0.0, fy=fy, fu=fu, cheek=lug)


def _striker_bolt(sizes: dict[str, dict[str, float]], leaf: str, grade: str) -> Bolted | None:
    bolt, (fy, fu) = sizes.get(f"{leaf}.striker.bolt"), BOLTS[grade]
    if bolt is None:
        return None
    arm = bolt.get("arm", STRIKER_ARM)
    return Bolted(leaf=leaf, what="latch", joint=None, d=bolt["od"], arm=arm, fy=fy, fu=fu)


def cheek_strength(cheek: Part, bolt: float, steel: Material) -> float:
    """What a hinge cheek carries on its pivot hole [N], AISC 360 D5, factored (LRFD).

    Taken as a lug as wide as twice the nearest edge is far from the hole's centre, whichever way
    the bolt pulls: on the safe side. 0 when no round hole of the cheek takes the bolt.
    """
    from shapely import Point as Dot

    holes = [
        (math.dist(a[:2], b[:2]), (0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])))
        for a, b in (h.vertices for h in cheek.holes if len(h.vertices) == 2)
    ]
    fit = [h for h in holes if h[0] >= bolt]
    if not fit:
        return 0.0
    hole, centre = min(fit)
    edge = region(cheek.outline).exterior.distance(Dot(centre))
    if edge <= 0.5 * hole:
        return 0.0
    lug = Lug(
        width=2.0 * edge, thickness=cheek.thickness, pin=bolt, hole=hole, ahead=edge - 0.5 * hole
    )
    return lug_strength(lug, steel.fy, steel.fu).lrfd


def bolt_use(bolt: Bolted, force: float) -> PinUse:
    """How much of a bolt a force across it [N] uses.

    A hinge pin by EN 1993-1-8 table 3.10, its middle plate the bushing's whole length; a striker
    as a cantilever of its arm, single shear, same formulas.
    """
    if bolt.joint is not None:
        return pin_use(bolt.joint, force)
    shear = force / pin_shear(bolt.d, bolt.fu)
    bend = force * bolt.arm / pin_bending(bolt.d, bolt.fy)
    return PinUse(shear=shear, bend=bend, both=shear**2 + bend**2, bearing=0.0)
