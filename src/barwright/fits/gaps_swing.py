"""Does the leaf still swing clear when everything is a little off? Its narrowest place as a row.

The leaf turns about its axis as it will, so what counts is how the axis and the standing part
are off to one another along the line between the two nearest places. That line's direction is
found by setting the moving part aside each way and seeing how the gap changes. Inside the
leaf's own hinge and latch the survey does not matter: there the cut and the fold of plates do.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from barwright.fits.gaps import SLIDES, Doubt, GapOf
from barwright.fits.gaps_leaf import cut_sd
from barwright.fits.gaps_made import doubt_of
from barwright.fits.gaps_rows import Row, fellow
from barwright.fits.gaps_surface import carried
from barwright.geometry.broad import start
from barwright.geometry.least import least_gap
from barwright.geometry.pieces import pieces
from barwright.geometry.pose import UNMOVED, pose_of
from barwright.geometry.solids import Body
from barwright.geometry.turning import Scene
from barwright.geometry.vectors import Floats
from barwright.job.schema import Axis, Job
from barwright.plates.part import Part, Parts
from barwright.plates.solids import body_of as body_of_part
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion, Swing
from barwright.tubes.bars import Bars
from barwright.tubes.bodies import body_of as body_of_bar

BLOCKED = -1.0
"""What stands for the clearance of a leaf that meets something as drawn [mm]: never enough."""
ASIDE = 0.5
"""How far the moving part is set aside to see how the gap changes [mm]."""
FOLD = 30.0
"""How far a fold's error reaches within a fitting [mm]: about half a hinge's height."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Built:
    """What a swing is read from."""

    job: Job
    marks: Marks
    bars: Bars
    parts: Parts


def swing_row(built: Built, motion: Motion, whole: Swing, axes: Floats) -> Row | None:
    """The narrowest place of a swing; None where nothing stands near.

    What comes to rest on purpose when the leaf is closed is set where the leaf brings it, so it
    is not a gap that could come out wrong.

    Args:
        built: what is there.
        motion: how the leaf moves.
        whole: what it meets.
        axes: (2, 3) out along the leaf, and the way it opens.
    """
    swing = whole if whole.first_contact is not None else whole.under_way or whole
    pair = swing.touches or swing.least_pair
    if pair is None:
        return None
    blocked = swing.first_contact is not None
    moving, standing = pair
    own = standing.startswith(f"{motion.twin_of or motion.leaf}.")
    way = None if own or blocked else _way_of(built, motion, swing, pair)
    along = np.zeros(2) if way is None else axes @ way
    return Row(
        gap=GapOf(
            name=f"{motion.leaf} swinging: {moving} past {standing}",
            subject=f"leaf.{motion.leaf}",
            low=0.0,
            high=np.inf,
            source="nothing may touch",
            opens_by=_opens_by(motion, standing) if own else "",
        ),
        nominal=BLOCKED if blocked else swing.least_clearance,
        low=0.0,
        high=np.inf,
        slide=float(along[0]) if abs(along[0]) >= SLIDES else 0.0,
        aside=float(along[1]),
        on_marks={} if way is None else _from_marks(built, motion, standing, way),
        on_doubts={} if blocked else _made(built, motion, standing, own=own),
    )


def _opens_by(motion: Motion, standing: str) -> str:
    leaf = motion.twin_of or motion.leaf
    hinge = standing.startswith(f"{leaf}.hinge")
    return f"leaf.{leaf}.hinge stop_gap and clearance" if hinge else f"leaf.{leaf}.latch clearance"


def _made(built: Built, motion: Motion, standing: str, *, own: bool) -> Mapping[Doubt, float]:
    """Errors of making between the two nearest places, one sd of each."""
    t = built.job.tolerance
    what = f"{motion.leaf}, swing"
    part = _part(built.parts, standing)
    cut = cut_sd(built.job, part.thickness if part else 3.0, 100.0)
    found = {doubt_of("cut", what, t, cut): cut}
    if own:
        for kind in ("bend_angle", "weld_turn"):
            found[doubt_of(kind, what, t)] = getattr(t, kind) * FOLD
    else:
        for kind in ("placing", "tack", "weld", "bend_length"):
            found[doubt_of(kind, what, t)] = getattr(t, kind)
    return found


def _part(parts: Parts, name: str) -> Part | None:
    return next((p for p in parts.parts if p.name == name), None)


def _way_of(built: Built, motion: Motion, swing: Swing, pair: tuple[str, str]) -> Floats | None:
    """Which way moving the leaf opens its narrowest place; None where a part is not found."""
    mover, still = (_body(built, name) for name in pair)
    return None if mover is None or still is None else _way(motion, swing, mover, still)


def _from_marks(built: Built, motion: Motion, standing: str, way: Floats) -> dict[int, Floats]:
    """The axis' mark against those that carry the standing part."""
    found = {_axis_mark(built, motion): way}
    if standing in built.job.bar:
        near = np.array(motion.through)[None]
        carriers, weights = carried(built.job.bar[standing], built.marks, near)
        for m, w in zip(carriers[0], weights[0], strict=True):
            found[int(m)] = found.get(int(m), np.zeros(3)) - w * way
    return found


def _axis_mark(built: Built, motion: Motion) -> int:
    """The mark the axis goes through, on the side the leaf is on."""
    axis = built.job.leaf[motion.twin_of or motion.leaf].axis
    name = axis.through if isinstance(axis, Axis) else axis[0]
    number = built.marks.names.index(name)
    other = fellow(built.marks, number) if motion.twin_of else None
    return number if other is None else other


def _body(built: Built, name: str) -> Body | None:
    for bar in built.bars.bars:
        if bar.name == name:
            return body_of_bar(bar)
    part = _part(built.parts, name)
    if part is not None:
        return body_of_part(part)
    return next((h.body for h in built.parts.hardware if h.name == name), None)


def _way(motion: Motion, swing: Swing, mover: Body, still: Body) -> Floats:
    """The direction in which moving the mover opens the gap, a unit vector (3,)."""
    stand, pose = pieces((still,), UNMOVED), motion.pose(swing.at)

    def gap(aside: Floats) -> float:
        moved = pose_of(np.eye(3), aside).after(pose)
        scene = Scene(moving=pieces((mover,), moved), standing=stand)
        found = least_gap(scene, start(scene, 0.0, np.ones((1, 1), dtype=bool)), within=0.001)
        return found.high if found else 0.0

    slope = np.array([gap(ASIDE * e) - gap(-ASIDE * e) for e in np.eye(3)])
    size = float(np.linalg.norm(slope))
    return slope / size if size > 0.0 else slope
