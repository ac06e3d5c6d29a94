"""What welding does to a latch, and in what order to weld so that it does least."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barwright.buildup.results import Pull, Seam
from barwright.buildup.shrink import leaning
from barwright.buildup.things import Things
from barwright.geometry.vectors import Floats, unit
from barwright.swing.motion import Motion


def pulls(all_: Things, seams: tuple[Seam, ...]) -> tuple[Pull, ...]:
    """For each leaf with a hinge and a latch: what drawing together does to the latch's gap."""
    return tuple(p for m in all_.motions if (p := _pull(all_, m, seams)) is not None)


def _pull(all_: Things, motion: Motion, seams: tuple[Seam, ...]) -> Pull | None:
    hinge, latch = _side(all_, motion, seams, near=True), _side(all_, motion, seams, near=False)
    if not hinge or not latch:
        return None
    at = np.mean([s.at for s in latch], axis=0)
    off = at - motion.through
    along = unit(motion.along)
    arm = off - (off @ along) * along
    closing = unit(-np.sign(motion.opens) * np.cross(along, arm))
    moved = _drawn(latch) - _drawn(hinge) + _between(all_, hinge, latch, seams)
    across = 2.0 * _radius(all_, latch[0].parts[1])
    lever = float(np.linalg.norm(np.subtract(_tip(all_, motion), at)))
    return Pull(
        leaf=motion.leaf,
        closer=float(-moved @ unit(arm)),
        gap=float(moved @ closing),
        aside=float(moved @ along),
        one_sided=leaning(shrink=latch[0].shrinks, across=across, arm=lever),
    )


def _side(all_: Things, motion: Motion, seams: Sequence[Seam], *, near: bool) -> list[Seam]:
    """Seams of standing plates to bars, at the hinge or at the far end."""
    prefix = motion.leaf.removesuffix("-twin") + "."
    twin = motion.leaf.endswith("-twin")
    mine = [
        s
        for s in seams
        if s.parts[0].startswith(prefix)
        and s.parts[0].endswith("-twin") == twin
        and all_.named(s.parts[1]).kind == "bar"
        and not all_.named(s.parts[0]).rides
    ]

    def away(s: Seam) -> float:
        off = np.subtract(s.at, motion.through)
        return float(np.linalg.norm(off - (off @ np.array(motion.along)) * np.array(motion.along)))

    reach = max((away(s) for s in mine), default=0.0)
    return [s for s in mine if (away(s) < 0.5 * reach) == near]


def _drawn(seams: Sequence[Seam]) -> Floats:
    """How far a group of plates is drawn, the mean of its seams, shape (3,) [mm]."""
    return np.asarray(np.mean([-s.shrinks * np.array(s.away) for s in seams], axis=0))


def _between(
    all_: Things, hinge: Sequence[Seam], latch: Sequence[Seam], seams: Sequence[Seam]
) -> Floats:
    """What bars from the hinge's tube to the latch's draw these together by, the most of any."""
    posts = {s.parts[1] for s in hinge}, {s.parts[1] for s in latch}
    best = np.zeros(3)
    for name in {s.parts[0] for s in seams if all_.named(s.parts[0]).kind == "bar"}:
        own = [s for s in seams if s.parts[0] == name]
        ends = [[s for s in own if s.parts[1] in p] for p in posts]
        if ends[0] and ends[1]:
            way = unit(np.subtract(ends[0][0].at, ends[1][0].at))
            drawn = (ends[0][0].shrinks + ends[1][0].shrinks) * way
            best = drawn if np.linalg.norm(drawn) > np.linalg.norm(best) else best
    return best


def _radius(all_: Things, bar: str) -> float:
    return float(getattr(all_.named(bar).made, "radius", 20.0))


def _tip(all_: Things, motion: Motion) -> Floats:
    """The striker's bolt, or the end of the leaf farthest from the axis."""
    rods = [
        t for t in all_.all if t.rides == motion.leaf and t.name.split(".")[-1].startswith("bolt")
    ]
    rows = all_.hulls.take(
        np.isin(all_.hulls.owner, [all_.index[t.name] for t in rods])
    ).corners.reshape(-1, 3)
    if len(rows) == 0:
        riding = [i for i, t in enumerate(all_.all) if t.rides == motion.leaf]
        rows = all_.hulls.take(np.isin(all_.hulls.owner, riding)).corners.reshape(-1, 3)
        return np.asarray(rows[np.linalg.norm(rows - motion.through, axis=1).argmax()])
    return np.asarray(rows.mean(axis=0))


def balanced(seams: Sequence[Seam]) -> tuple[Seam, ...]:
    """The seams in an order that keeps the sum of what they draw, and of its moment, small.

    Each next seam is the one that leaves least: |sum of S n|² + |sum of S (p - c) x n|² / R²,
    with c the middle of all and R their reach. Where a bar has both ends to weld, the two ends
    weigh against one another, and so do twins: this alternates sides by itself. Of those that
    leave as little, the first: the last digit has no say.
    """
    if not seams:
        return ()
    at = np.array([s.at for s in seams])
    pull = np.array([s.shrinks * s.length * np.array(s.away) for s in seams])
    off = at - at.mean(axis=0)
    reach = float(np.linalg.norm(off, axis=1).max()) or 1.0
    rows = np.hstack([pull, np.cross(off, pull) / reach])
    left, order, total = list(range(len(seams))), list[int](), np.zeros(6)
    while left:
        k = min(left, key=lambda i: round(float(((total + rows[i]) ** 2).sum()), 6))
        order.append(k)
        left.remove(k)
        total = total + rows[k]
    return tuple(seams[k] for k in order)
