"""The Heron's near side, as it is and shaken: other places, plates and clearances."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from barwright import route
from barwright.geometry.pose import pose_of
from barwright.job.load import load
from barwright.plates.make import parts as make_parts
from barwright.plates.outline import rectangle
from barwright.plates.part import Part, Parts
from barwright.swing.make import motions as make_motions
from barwright.tubes.make import make as make_bars

HERON = Path(__file__).parents[2] / "examples" / "heron"


@lru_cache(1)
def surveyed():
    """The Heron's job without its twins, and its marks."""
    job = load(HERON)
    job = job.model_copy(update={"twin": type(job.twin)()})
    return job, route.solve(job)


@lru_cache(1)
def side(seed=0):
    """Job, bars, parts, motions; every seed but 0 is another buggy."""
    job, marks = surveyed()
    if seed:
        rng = np.random.default_rng(seed)
        job, marks = _shaken(job, marks, rng)
    bars, moves = make_bars(job, marks), make_motions(job, marks)
    return job, bars, make_parts(job, marks, bars, moves), moves


def _shaken(job, marks, rng):
    """Another buggy: frame a little out of its marks, leaf elsewhere, other sheet and opening."""
    xyz = marks.xyz.copy()
    at = {name: k for k, name in enumerate(marks.names)}
    for name in ("PL", "FL", "GL", "CL", "JL", "YL", "KL", "QL"):
        xyz[at[name]] += rng.uniform(-4.0, 4.0, 3)
    shift = np.array([rng.uniform(-6.0, 0.0), rng.uniform(0.0, 6.0), rng.uniform(-25.0, 25.0)])
    for name in ("HL", "LL"):
        xyz[at[name]] += shift
    leaf = job.leaf["side"]
    thick = {"thickness": f"{rng.choice([2.5, 3.0, 3.175, 4.0])} mm"}
    hinge = {
        **thick,
        "clearance": f"{rng.uniform(1.0, 4.0):.2f} mm",
        "bushing_od": f"{rng.choice([35.0, 38.1, 40.0])} mm",
    }
    changed = leaf.model_copy(
        update={
            "hinge": leaf.hinge.model_copy(update=hinge),
            "latch": leaf.latch.model_copy(update=thick),
            "striker": leaf.striker.model_copy(update=thick),
            "opens": float(rng.uniform(1.2, 1.8)),
        }
    )
    return job.model_copy(update={"leaf": {**job.leaf, "side": changed}}), replace(marks, xyz=xyz)


def planted(parts, name, middle, normal, half, *, rides="", to="hoop", thick=3.0):
    """The parts with one more square plate, its near face through `middle`, welded to a bar."""
    n = np.asarray(normal, dtype=float) / np.linalg.norm(normal)
    x = np.cross(n, [0.36, 0.48, 0.8])
    x /= np.linalg.norm(x)
    placed = pose_of(np.column_stack([x, np.cross(n, x), n]), middle)
    plate = Part(
        name=name,
        thickness=thick,
        material="a36",
        outline=rectangle(-half, -half, half, half),
        placed=placed,
        rides=rides,
    )
    return Parts(
        parts=(*parts.parts, plate),
        hardware=parts.hardware,
        intended=parts.intended,
        joins=parts.joins | {(name, to)},
    )
