"""A yard where the same hinged side bar is hung a thousand times, each time somewhat differently.

Nothing here knows of the linear model that is put to the test: no slope, no covariance. The
frame is measured with noise and adjusted; the leaf is designed from that in closed form and made
with errors, by finite turns; it is hung on the true frame as the trade does it. The box is laid
on its tube where its saddles sit best, the far end toward its mark; hands and tacks set it off;
the leaf is slid to share the gaps of both ends, the carrier follows the striker. Every gap is a
true distance to a true tube.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from chance_yard import Array, Spots, adjusted, measured, turn

from barwright.job.schema import Job

TRUTH: Spots = {
    "P1": (0.0, 500.0, 0.0),
    "P2": (-60.0, 475.0, 900.0),
    "Q1": (900.0, 470.0, 0.0),
    "Q2": (930.0, 425.0, 900.0),
    "H": (45.0, 490.0, 450.0),
    "K": (330.0, 545.0, 450.0),
    "L": (850.0, 451.0, 450.0),
}
NAMES = tuple(TRUTH)
TAPES = (
    "P1 P2,Q1 Q2,P1 Q1,P2 Q2,P1 Q2,P2 Q1,H P1,H P2,H Q1,H Q2,L P1,L P2,L Q1,L Q2,H L,H K,K L,"
    "K P1,K Q2"
)
POST, CLR, BUSHING, FLOAT, PLATE, LATCH_GAP = 22.225, 110.0, 60.0, 0.508, 3.0, 14.0
REACH, CLEARANCE, GAP, FOLD = 18.0, 2.0, 0.8, PLATE
UP = np.array([0.0, 0.0, 1.0])
STATIONS = np.radians(np.arange(-75.0, 76.0, 15.0))
STEP = 0.02
SLIDES = np.arange(-4.0, 4.001, STEP)


def right_side(rng: np.random.Generator) -> tuple[Spots, Spots]:
    """A right side as a mirror shows it, and as it is: every mark off its own way.

    The frame is longer or shorter there by anything up to 8 mm, far more than a survey's doubt,
    so that what the survey of both sides says is all that is known of a build.
    """
    longer = rng.uniform(-8.0, 4.0)
    seen: Spots = {}
    for name, at in TRUTH.items():
        off = rng.uniform(-1.0, 1.0, 3)
        off[0] += longer * at[0] / 900.0
        seen[name] = (at[0] + off[0], at[1] + off[1], at[2] + off[2])
    return seen, {f"{name}-right": (at[0], -at[1], at[2]) for name, at in seen.items()}


def right_tapes() -> str:
    """The same tapes on the right side."""
    pairs = [pair.split() for pair in TAPES.split(",")]
    return ",".join(f"{a}-right {b}-right" for a, b in pairs)


def leaf_job(
    tolerance: dict[str, object] | None = None,
    *,
    adjust: float = 8.0,
    flange: float = 5.0,
    twin: bool = False,
) -> Job:
    """A bent bar hung on one post and latched to the other; lengths in mm."""
    plates: dict[str, object] = {"thickness": PLATE, "weld_gap": GAP}
    return Job.model_validate(
        {
            "stock": {"post": {"od": 44.45, "wall": 2.4}, "rail": {"od": 38.1, "wall": 2.4}},
            "bender": {"rail": {"clr": CLR}},
            "bar": {
                "post-one": {"stock": "post", "path": ["P1", "P2"]},
                "post-two": {"stock": "post", "path": ["Q1", "Q2"]},
                "side": {"stock": "rail", "path": ["H", "K", "L"]},
            },
            "leaf": {
                "door": {
                    "bars": ["side"],
                    "axis": {"through": "H", "along": "up"},
                    "opens": 95,
                    "hinge": {
                        "fitting": "boxed-hinge",
                        "on": "post-one",
                        "bushing": BUSHING,
                        **plates,
                    },
                    "latch": {
                        "fitting": "latch-carrier",
                        "on": "post-two",
                        "clearance": CLEARANCE,
                        **plates,
                    },
                    "striker": {
                        "fitting": "striker-gusset",
                        "thickness": PLATE,
                        "latch_gap": LATCH_GAP,
                        "reach": REACH,
                        "adjust": adjust,
                        "flange": flange,
                    },
                }
            },
            "tolerance": tolerance or {},
            "twin": {"of": ["door"] if twin else []},
        },
        context={"unit": "mm"},
    )


@dataclass
class Leaf:
    """A leaf as drawn, in its hinge's frame: out along the bar, the way it opens, up the axis.

    The cheeks' edges (2, n, 3), the far end (3,), its way in (3,), where the latch's tube passes
    the far end (2,), and the bend: its centre, axis and the way out of it (3, 3).
    """

    axes: Array
    edges: Array
    far: Array
    into: Array
    catch: Array
    bend: Array


def drawn(at: dict[str, Array]) -> Leaf:
    """The leaf designed from surveyed marks."""
    x = _flat(at["K"] - at["H"])
    axes = np.array([x, np.cross(UP, x), UP])
    local = {name: axes @ (p - at["H"]) for name, p in at.items()}
    post = (local["P1"], local["P2"])
    edges = np.array([_edge(post, sign * (BUSHING + FLOAT) / 2.0) for sign in (1.0, -1.0)])
    out = local["L"] * [1.0, 1.0, 0.0]
    ends = np.array([out / np.linalg.norm(out), np.cross(UP, out / np.linalg.norm(out))])
    across = _passes((local["Q1"], local["Q2"]), float(local["L"][2]))
    return Leaf(
        axes=axes,
        edges=edges,
        far=local["L"],
        into=_unit(local["K"] - local["L"]),
        catch=ends @ (across - local["L"]),
        bend=_bend(local["K"], local["L"]),
    )


def _bend(corner: Array, far: Array) -> Array:
    """The centre of the bend between the two straights, its axis, and the way out of it."""
    first, last = _unit(corner), _unit(far - corner)
    axis = _unit(np.cross(first, last))
    tangent = CLR * math.tan(0.5 * math.acos(float(first @ last)))
    return np.array([corner + tangent * last + CLR * np.cross(axis, last), axis, last])


def _edge(post: tuple[Array, Array], z: float) -> Array:
    """Places of a cheek's edge: in its plane, and everywhere a gap from the drawn tube."""
    middle = _passes(post, z)
    run = _unit(post[1] - post[0])
    back = math.atan2(-middle[1], -middle[0])
    ways = np.stack([np.cos(back + STATIONS), np.sin(back + STATIONS), 0.0 * STATIONS], axis=1)
    square = np.linalg.norm(ways - np.outer(ways @ run, run), axis=1)
    return np.asarray(middle + ways * ((POST + GAP) / square)[:, None])


def _passes(tube: tuple[Array, Array], z: float) -> Array:
    """Where a tube's line passes a height."""
    share = (z - tube[0][2]) / (tube[1][2] - tube[0][2])
    return np.asarray(tube[0] + share * (tube[1] - tube[0]))


def _unit(v: Array) -> Array:
    return np.asarray(v / np.linalg.norm(v))


def _flat(v: Array) -> Array:
    return _unit(v * [1.0, 1.0, 0.0])


@dataclass
class Hung:
    """One build at every slide: gaps at the hinge (slides, edges), at the latch and crosswise
    there (slides,); how far the stop is lifted, and the hinge's end float."""

    hinge: Array
    latch: Array
    across: Array
    lifted: float
    end_float: float


def surveyed(rng: np.random.Generator) -> Array:
    """The left side's marks (7, 3), measured and adjusted once more."""
    return adjusted(measured(rng, TRUTH, TAPES), NAMES, TRUTH)


def hung(rng: np.random.Generator, t: dict[str, float], spots: Array, side: Spots = TRUTH) -> Hung:
    """Draw a leaf for surveyed marks (7, 3), make it, hang it on a side as it truly is."""
    leaf = drawn(dict(zip(NAMES, spots, strict=True)))
    true = {name: np.array(at) for name, at in side.items()}
    far = _made_end(leaf, t, rng)
    edges = leaf.edges + _cut(leaf, t, rng)
    seat = _seat(leaf, far, edges, true)
    hands = rng.standard_normal((2, 2, 2)) * np.array([t["placing"], t["tack"]])[:, None, None]
    pulls = np.array([t["placing"], t["tack"], t["weld"]]) @ rng.standard_normal((3, 3))
    axis = true["H"] + seat
    spin = _spin(leaf, far, axis, true["L"])
    moved = edges.copy()
    moved[..., :2] += hands.sum(axis=0)[:, None]
    placed = axis + moved.reshape(-1, 3) @ leaf.axes @ spin.T
    slides = SLIDES[:, None] * leaf.axes[0]
    latch, across = _at_latch(axis + spin @ leaf.axes.T @ far, axis, slides, true)
    return Hung(
        hinge=_from_tube(placed + slides[:, None], true),
        latch=latch - leaf.catch[0] + GAP + pulls[0] + t["latch_cut"] * rng.standard_normal(),
        across=across - leaf.catch[1] + pulls[1],
        lifted=_lifted(far, t, rng) + float(pulls[2]),
        end_float=FLOAT + t["turned"] * float(np.array([-1.0, 1.0, 1.0]) @ rng.standard_normal(3)),
    )


def _made_end(leaf: Leaf, t: dict[str, float], rng: np.random.Generator) -> Array:
    """Where the far end comes to be on the made bar, in the hinge's frame."""
    about, axis, way = leaf.bend
    off = turn(axis, t["bend_angle"] * float(rng.standard_normal()))
    end = leaf.far + t["bend_length"] * rng.standard_normal() * way
    end = end + t["saw"] * rng.standard_normal() * leaf.into
    return np.asarray(about + off @ (end - about))


def _cut(leaf: Leaf, t: dict[str, float], rng: np.random.Generator) -> Array:
    """Each cheek's whole edge cut a little large or small (2, n, 3)."""
    centre = np.array([_circle(edge) for edge in leaf.edges])[:, None]
    away = (leaf.edges - centre) * [1.0, 1.0, 0.0]
    away = away / np.linalg.norm(away, axis=2, keepdims=True)
    return np.asarray(away * (t["cheek_cut"] * rng.standard_normal((2, 1, 1))))


def _circle(edge: Array) -> Array:
    """The middle of the circle that an edge is nearly an arc of: from its two ends and middle."""
    a, b, c = edge[0], edge[len(edge) // 2], edge[-1]
    left = 2.0 * np.array([b - a, c - a])[:, :2]
    right = np.array([b @ b - a @ a, c @ c - a @ a])
    return np.array([*np.linalg.solve(left, right), a[2]])


def _spin(leaf: Leaf, far: Array, axis: Array, toward: Array) -> Array:
    """The turn about the axis that points the made far end at a place, in the world."""
    have, want = leaf.axes.T @ far, toward - axis
    angle = math.atan2(want[1], want[0]) - math.atan2(have[1], have[0])
    return turn(UP, angle)


def _seat(leaf: Leaf, far: Array, edges: Array, true: dict[str, Array]) -> Array:
    """How far the axis goes off its mark so that the saddles' gaps are as drawn, least squares."""
    gone = np.zeros(3)

    def gaps(move: Array) -> Array:
        axis = true["H"] + move
        spin = _spin(leaf, far, axis, true["L"])
        return _from_tube(axis + edges.reshape(-1, 3) @ leaf.axes @ spin.T, true) - GAP

    for _ in range(3):
        now = gaps(gone)
        slope = np.stack([(gaps(gone + 1e-3 * e) - now) / 1e-3 for e in np.eye(3)[:2]], axis=1)
        gone = gone - np.append(np.linalg.lstsq(slope, now, rcond=None)[0], 0.0)
    return gone


def _from_tube(points: Array, true: dict[str, Array]) -> Array:
    """Points' (..., 3) distances from the hinge's true tube."""
    run = _unit(true["P2"] - true["P1"])
    off = points - true["P1"]
    return np.asarray(np.linalg.norm(off - (off @ run)[..., None] * run, axis=-1) - POST)


def _at_latch(
    end: Array, axis: Array, slides: Array, true: dict[str, Array]
) -> tuple[Array, Array]:
    """The latch's true tube seen from the leaf's end at each slide: outward, way of opening."""
    out = _flat(end - axis)
    off = _passes((true["Q1"], true["Q2"]), float(end[2])) - (end + slides)
    return off @ out, off @ np.cross(UP, out)


def _lifted(far: Array, t: dict[str, float], rng: np.random.Generator) -> float:
    """How far the stop comes to lie above or below its place: the hinge leaned over by welding."""
    arm = math.hypot(far[0], far[1]) + REACH
    return arm * math.sin(t["weld_turn"] * float(rng.standard_normal()))


def droop(play: float) -> float:
    """How far the leaf hangs down on its pin: the float, and the lean that the play allows."""
    arm = math.dist(TRUTH["H"], TRUTH["L"]) + REACH
    return FLOAT + play * arm / BUSHING


def fits(build: Hung, limits: dict[str, float], play: float, rng: np.random.Generator) -> bool:
    """Whether there is a slide at which everything is within its limits at once."""
    low, high = -limits["file"] - 0.25 * STEP, limits["weld_gap"] + 0.25 * STEP
    follows = CLEARANCE - limits["hinge_play"]
    good = (build.hinge.min(axis=1) >= low) & (build.hinge.max(axis=1) <= high)
    good &= (build.latch >= low - follows) & (build.latch <= high + follows)
    good &= np.abs(build.across) <= limits["adjust"] / 2.0
    beyond, above = limits["flange"], LATCH_GAP - FOLD
    hangs = droop(play + play / 3.0 * float(rng.standard_normal()))
    overlap = min(beyond + build.lifted, above - build.lifted) - hangs
    return bool(np.any(good)) and overlap >= 1.0 and build.end_float >= 0.0
