"""A yard where the same small frame is built a thousand times, each time somewhat differently.

Nothing here knows of the linear model that is put to the test. A truth is measured with noise,
the readings are adjusted and the bars designed as the route does; each bar is then made with
errors of its own, by finite turns and pushes of its points, set on the true frame as one rigid
piece, slid and rolled by search, and its gaps measured as true distances to the true posts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.path import Arc
from barwright.job.schema import Job, Reading
from barwright.tubes.bars import BuiltBar, End

Array = NDArray[np.float64]

TRUTH = {
    "P1": (0.0, 0.0, 0.0),
    "P2": (10.0, 0.0, 900.0),
    "Q1": (1000.0, 100.0, 0.0),
    "Q2": (1000.0, 150.0, 900.0),
    "A": (5.0, 0.0, 450.0),
    "B": (1000.0, 125.0, 450.0),
    "C": (10.0 / 6.0, 0.0, 150.0),
    "K": (480.0, 190.0, 260.0),
    "D": (1000.0, 100.0 + 50.0 * 750.0 / 900.0, 750.0),
}
TAPES = (
    "P1 P2,Q1 Q2,P1 Q1,P2 Q2,P1 Q2,P2 Q1,A B,A P1,A P2,B Q1,B Q2,A Q1,A Q2,B P1,B P2,"
    "C P1,C P2,C Q1,D Q1,D Q2,D P1,D P2,C D,K C,K D,K P1,K Q2"
)
SD = 0.7


def frame_job(tolerance: dict[str, object] | None = None) -> Job:
    """Two posts, a straight rail and a bent brace between them; lengths in mm."""
    return Job.model_validate(
        {
            "stock": {"post": {"od": 44.45, "wall": 2.4}, "rail": {"od": 38.1, "wall": 2.4}},
            "bender": {"rail": {"clr": 110.0}},
            "bar": {
                "post-one": {"stock": "post", "path": ["P1", "P2"]},
                "post-two": {"stock": "post", "path": ["Q1", "Q2"]},
                "rail": {"stock": "rail", "path": ["A", "B"]},
                "brace": {"stock": "rail", "path": ["C", "K", "D"]},
            },
            "tolerance": tolerance or {},
        },
        context={"unit": "mm"},
    )


Spots = dict[str, tuple[float, float, float]]
"""Where the marks of a yard truly are [mm]."""


def measured(
    rng: np.random.Generator, truth: Spots = TRUTH, tapes: str = TAPES
) -> tuple[Reading, ...]:
    """One person's readings of the truth."""
    at = {name: np.array(xyz) for name, xyz in truth.items()}
    rows: list[tuple[str, tuple[str, ...], float]] = []
    for axis, kind in enumerate(("station", "offset", "height")):
        rows += [(kind, (name,), xyz[axis]) for name, xyz in truth.items()]
    for pair in tapes.split(","):
        a, b = pair.split()
        rows.append(("tape", (a, b), float(np.linalg.norm(at[a] - at[b]))))
    return tuple(
        Reading(
            line=i + 2,
            kind=kind,  # type: ignore[arg-type]
            marks=marks,
            value=value + SD * float(rng.standard_normal()),
            plus_minus=SD,
        )
        for i, (kind, marks, value) in enumerate(rows)
    )


def adjusted(readings: tuple[Reading, ...], names: tuple[str, ...], truth: Spots = TRUTH) -> Array:
    """Least squares in its plainest form, (n, 3): every reading here has one plus/minus.

    Gauss and Newton from the truth; the survey's own solver is held against it in the tests.
    """
    x = np.array([truth[name] for name in names])
    for _ in range(4):
        rows, off = np.zeros((len(readings), x.size)), np.zeros(len(readings))
        for i, r in enumerate(readings):
            at = [names.index(m) for m in r.marks]
            value = float(r.value or 0.0)
            if r.kind == "tape":
                run = x[at[0]] - x[at[1]]
                way = run / np.linalg.norm(run)
                rows[i, 3 * at[0] : 3 * at[0] + 3] = way
                rows[i, 3 * at[1] : 3 * at[1] + 3] = -way
                off[i] = value - np.linalg.norm(run)
            else:
                axis = ("station", "offset", "height").index(r.kind)
                rows[i, 3 * at[0] + axis] = 1.0
                off[i] = value - x[at[0], axis]
        x = x + np.linalg.lstsq(rows, off, rcond=None)[0].reshape(-1, 3)
    return np.asarray(x)


def turn(axis: Array, angle: float) -> Array:
    """A finite turn: the quaternion's matrix, so that nothing is shared with what is tested."""
    x, y, z = np.asarray(axis) / np.linalg.norm(axis) * math.sin(angle / 2.0)
    w = math.cos(angle / 2.0)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


@dataclass
class Piece:
    """A made bar: two end centres (2, 3), two rims of (n, 3), and its ends' ways into it."""

    tips: Array
    rims: list[Array]
    posts: list[str]
    ways: list[Array]


POSTS = {"post-one": ("P1", "P2"), "post-two": ("Q1", "Q2")}


def made(bar: BuiltBar, t: dict[str, float], rng: np.random.Generator) -> Piece:
    """A bar as drawn, with errors: cut long or short, cope turned, bends off."""
    rims = [_rim(bar, e, t, rng) for e in (bar.start, bar.finish)]
    tip = np.array(bar.finish.origin)
    for piece in reversed([p for p in bar.centreline.pieces if isinstance(p, Arc)]):
        about, axis = np.array(piece.centre), np.array(piece.axis)
        spin = turn(axis, piece.angle)
        out = np.cross(axis, spin @ (np.array(piece.start) - about))
        push = out / np.linalg.norm(out) * t["bend_length"] * rng.standard_normal()
        off = turn(axis, t["bend_angle"] * rng.standard_normal())
        tip, rims[1] = (about + (p + push - about) @ off.T for p in (tip, rims[1]))
    tips = np.array([np.array(bar.start.origin), tip])
    return Piece(
        tips=tips,
        rims=rims,
        posts=[e.against[0] for e in (bar.start, bar.finish)],
        ways=[np.array(e.along) for e in (bar.start, bar.finish)],
    )


def _rim(bar: BuiltBar, end: End, t: dict[str, float], rng: np.random.Generator) -> Array:
    at = np.arange(0, 360, 10)
    along, zero = np.array(end.along), np.array(end.zero)
    twist = t["cope_turn"] * rng.standard_normal() / bar.radius
    phi = np.radians(at) + twist
    spokes = np.outer(np.cos(phi), zero) + np.outer(np.sin(phi), np.cross(along, zero))
    cut = end.cope[at] + t["saw"] * rng.standard_normal()
    wall = np.linspace(bar.radius - bar.wall, bar.radius, 3)
    flat = np.array(end.origin) + np.outer(cut, along)
    return np.stack([flat + r * spokes for r in wall])


@dataclass
class Site:
    """Where a piece is set: the true marks, the posts' radius, how deep binding is filed."""

    truth: dict[str, Array]
    radius: float
    file: float


def least_weld_gap(piece: Piece, wanted: Array, aside: Array, site: Site) -> float:
    """The widest gap that is left when a piece is set as well as it goes; inf where it binds.

    Laid with its tips on the line wanted (2, 3); moved as one rigid piece to where the gaps are
    least squares; then its ends are set aside by `aside` (2, 3), and it is slid to where the
    widest gap is least without binding deeper than the file goes.
    """
    seated = _seat(_set(piece, wanted), piece, wanted, site)
    tips = wanted  # the line it lies on, near enough for the setting aside
    placed = _set(replace(piece, tips=tips, rims=seated), tips + aside)
    way = piece.ways[0] - piece.ways[1]
    way = way / np.linalg.norm(way)

    def bad(t: float) -> float:
        gaps = _gaps([rim + t * way for rim in placed], piece, site)
        binds = -site.file - float(gaps.min())
        return 1e6 * (1.0 + binds) if binds > 1e-6 else float(gaps.max())

    low, high, best = -5.0, 5.0, math.inf
    for _ in range(28):
        a, b = low + 0.382 * (high - low), low + 0.618 * (high - low)
        left, right = bad(a), bad(b)
        best = min(best, left, right)  # the least gap often lies where it just does not bind
        low, high = (low, b) if left < right else (a, high)
    return best if best < 1e5 else math.inf


OFF_MARKS = 0.1
"""What leaving its marks by a millimetre counts, as gap all round [mm]: the fitter's habit."""


def _seat(rims: list[Array], piece: Piece, line: Array, site: Site) -> list[Array]:
    """The rims moved as one rigid piece to where gaps, and leaving the marks, are least squares."""
    way = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    side = np.cross(way, [0.3, 0.5, 0.8])
    axes = np.array([way, side / np.linalg.norm(side), np.cross(way, side / np.linalg.norm(side))])
    levers = (19.05, *2 * (0.5 * float(np.linalg.norm(line[1] - line[0])),))
    middle, gone, step = line.mean(axis=0), np.zeros(6), 1e-3

    def at(q: Array) -> list[Array]:
        spin = np.eye(3)
        for axis, angle in zip(axes, q[3:] / levers, strict=True):
            spin = turn(axis, float(angle)) @ spin
        return [middle + q[:3] @ axes + (rim - middle) @ spin.T for rim in rims]

    for _ in range(3):
        now = _gaps(at(gone), piece, site)
        slope = [(_gaps(at(gone + step * e), piece, site) - now) / step for e in np.eye(6)]
        habit = OFF_MARKS * math.sqrt(len(now))
        left = np.vstack([np.stack(slope, axis=1), habit * np.eye(6)])
        right = -np.concatenate([now, habit * gone])
        gone = gone + np.linalg.lstsq(left, right, rcond=None)[0]
    return at(gone)


def _set(piece: Piece, wanted: Array) -> list[Array]:
    """The rims moved as one rigid piece: tip to tip along the line wanted, midway on it."""
    have, want = piece.tips[1] - piece.tips[0], wanted[1] - wanted[0]
    axis = np.cross(have, want)
    size = float(np.linalg.norm(axis))
    angle = math.atan2(size, float(have @ want))
    spin = turn(axis, angle) if size > 1e-12 else np.eye(3)
    middle = piece.tips.mean(axis=0)
    return [wanted.mean(axis=0) + (rim - middle) @ spin.T for rim in piece.rims]


def _gaps(rims: list[Array], piece: Piece, site: Site) -> Array:
    """Each station's distance from the wall's nearest place to the post's surface [mm]."""
    out = []
    for rim, post in zip(rims, piece.posts, strict=True):
        a, b = (site.truth[m] for m in POSTS[post])
        run = (b - a) / np.linalg.norm(b - a)
        off = rim - a
        square = np.einsum("...k,...k", off, off) - (off @ run) ** 2
        out.append(np.sqrt(square.min(axis=0)) - site.radius)
    return np.concatenate(out)


def line_wanted(bar: BuiltBar, truth: dict[str, Array]) -> Array:
    """The true marks that the bar's ends belong to."""
    return np.array([truth[bar.start.mark], truth[bar.finish.mark]])


def set_aside(line: Array, t: dict[str, float], rng: np.random.Generator) -> Array:
    """How hands and tacks set each end off, crosswise (2, 3)."""
    way = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    aside = math.hypot(t["placing"], t["tack"]) * rng.standard_normal((2, 3))
    return np.asarray(aside - np.outer(aside @ way, way))
