"""Scenes to take apart: the examples' near sides, and pockets with known ways out."""

from functools import lru_cache
from pathlib import Path

from barwright import route
from barwright.buildup.things import things
from barwright.geometry.solids import Block, Body
from barwright.job.load import load
from barwright.plates.make import parts as make_parts
from barwright.swing.make import motions as make_motions
from barwright.tubes.make import make as make_bars

EXAMPLES = Path(__file__).parents[2] / "examples"


@lru_cache(2)
def job_scene(name):
    """An example job without its twins, ready to be taken apart."""
    job = load(EXAMPLES / name)
    job = job.model_copy(update={"twin": type(job.twin)()})
    marks = route.solve(job)
    bars, moves = make_bars(job, marks), make_motions(job, marks)
    return things(bars, make_parts(job, marks, bars, moves), moves)


def box(x0, y0, z0, x1, y1, z1):  # noqa: PLR0917 - two corners
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    return Block(corners=tuple((x, y, z) for z in (z0, z1) for x, y in corners))


def body(name, *blocks):
    return Body(name=name, solids=blocks)


SHELL = (
    box(-10, -10, -10, 100, 60, 0),
    box(-10, -10, 50, 100, 60, 60),
    box(-10, -10, 0, 100, 0, 50),
    box(-10, 50, 0, 100, 60, 50),
    box(-10, 0, 0, 0, 50, 50),
)
"""A box 100 deep with one open end at x = 100."""

BRICK = body("brick", box(2, 2, 2, 90, 48, 48))

CASES = {
    "drawer": (BRICK, [body("shell", *SHELL)], 1),
    "round the corner": (
        body("brick", box(2, 2, 2, 40, 48, 48)),
        [
            body("shell", *SHELL),
            body("stop", box(150, -40, -300, 160, 400, 300)),
            body("roof", box(100, -10, 60, 150, 400, 70)),
            body("floor", box(100, -10, -10, 150, 400, 0)),
            body("side", box(100, -10, 0, 150, 0, 60)),
        ],
        2,
    ),
    "shut in": (
        body("brick", box(2, 2, 2, 40, 48, 48)),
        [body("shell", *SHELL, box(100, -10, -10, 110, 60, 60))],
        0,
    ),
    "tilt out": (
        body("bar", box(0, -5, 0, 200, 5, 10)),
        [
            body(
                "lips",
                box(-20, -40, -20, 220, 40, -2),
                box(-20, -40, 12, 20, 40, 20),
                box(-20, -40, -2, -4, 40, 12),
                box(204, -40, -2, 220, 40, 12),
                box(-20, -40, -2, 220, -7, 400),
                box(-20, 7, -2, 220, 40, 400),
            )
        ],
        2,
    ),
}
"""Piece, what stands, and how many moves a way out takes; 0 where there is none."""
