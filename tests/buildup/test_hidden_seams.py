"""What hides a seam is named in an order that no rounding decides."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from barwright import route
from barwright.buildup.seams import seams
from barwright.buildup.things import things
from barwright.job.load import load
from barwright.plates.make import parts as make_parts
from barwright.swing.make import motions as make_motions
from barwright.tubes.make import make as make_bars

GATE = Path(__file__).parents[2] / "examples" / "gate"


@lru_cache(1)
def gate():
    """The gate's bars, parts and motions."""
    job = load(GATE)
    marks = route.solve(job)
    bars, moves = make_bars(job, marks), make_motions(job, marks)
    return bars, make_parts(job, marks, bars, moves), moves


def hidden(parts):
    """What hides the seam that two cheeks, one like the other, hide as much of."""
    bars, _, moves = gate()
    whole = things(bars, parts, moves)
    (seam,) = (s for s in seams(whole) if s.parts == ("gate", "gate.hinge.bushing"))
    return seam.before


@pytest.mark.parametrize("step", [1, -1])
def test_what_hides_as_much_is_named_in_the_order_of_the_jobs_parts(step):
    _, parts, _ = gate()
    cheeks = [p.name for p in parts.parts if ".cheek-" in p.name][::step]
    assert len(cheeks) == 2
    assert hidden(replace(parts, parts=parts.parts[::step])) == tuple(cheeks)


def test_what_stands_elsewhere_is_not_named():
    _, parts, _ = gate()
    upper = next(p for p in parts.parts if p.name.endswith(".cheek-upper"))
    away = replace(upper.placed, shift=tuple(np.add(upper.placed.shift, 500.0)))
    moved = tuple(replace(p, placed=away) if p is upper else p for p in parts.parts)
    assert hidden(replace(parts, parts=moved)) == ("gate.hinge.cheek-lower",)
