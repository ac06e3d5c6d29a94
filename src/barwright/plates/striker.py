"""Where a leaf's striker and stop come to be: what the latch and its carrier go by."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Striker:
    """Where the striker and the stop come to be: what the latch's carrier goes by.

    Everything in the frame at the leaf's end: u outward, v the way it opens, w the axis [mm].

    Attributes:
        reach: u of the striker's bolt; its v is 0.
        bolt, adjust: its diameter, and how far it can be moved along v in all.
        far: sign along w of the side the latch lies on.
        near_face: |w| of the carrier's face toward the gusset.
        stop_v: v of the stop flange's inner face.
        stop_u: from and to, along u.
        stop_gap: to the carrier's front edge when closed.
        flange: how far the stop flange reaches past the carrier's far face.
        thickness: of the gusset.
        name: of the gusset.
    """

    reach: float
    bolt: float
    adjust: float
    far: float
    near_face: float
    stop_v: float
    stop_u: tuple[float, float]
    stop_gap: float
    flange: float
    thickness: float
    name: str
