"""The whole calculation for the page, in the worker: each part is handed over as it is done."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from barwright.bench.plain import dumps
from barwright.job.load import JOB_FILE, READINGS_FILE, parse

CARD, MEASURE, TUBES, SWING, PLATES = "card", "measure", "tubes", "swing", "plates"
FITS, STRENGTH, BUILDUP = "fits", "strength", "buildup"
CURVES, SCENE = "curves", "scene"
"""The parts of the answer, by the names the page asks for them."""


@dataclass(frozen=True, kw_only=True)
class Section:
    """A part of the answer: its name and its bytes."""

    name: str
    data: bytes


@dataclass(frozen=True, kw_only=True)
class Doing:
    """What is being worked out now, and what share of the whole is done (0..1)."""

    what: str
    share: float


def stages(texts: Mapping[str, str], folder: Path | None = None) -> Iterator[Section | Doing]:
    """Everything the page shows of a job.

    Args:
        texts: its two files.
        folder: where the drawings lie that job.toml names; None leaves them unread.

    Raises:
        BadInput: the job cannot be read, or cannot be worked out; what came before holds.
    """
    job = parse(texts[JOB_FILE], texts[READINGS_FILE], folder=folder)
    if not job.readings:
        return
    yield Doing(what="where the marks are", share=0.1)
    from barwright.bench.card import card
    from barwright.bench.say_measure import measured
    from barwright.route import build, solve

    marks = solve(job)
    yield _section(MEASURE, measured(job, marks, texts[READINGS_FILE]))
    yield Doing(what="tubes, swing, plates, fit, strength and build", share=0.3)
    made = build(job)
    yield _section(CARD, card(made))
    yield from _parts(made)
    yield Doing(what="the picture", share=0.8)
    from barwright.bench.say_scene import scene

    yield Section(name=SCENE, data=scene(made))
    yield from _curves(made)


def _curves(made: Any) -> Iterator[Section | Doing]:  # noqa: ANN401 - a Build
    """The clearance over each leaf's swing, which takes longest and comes last."""
    from barwright.bench.say_swing import clearance

    found = {}
    for motion in made.motions:
        yield Doing(what=f"the clearance of {motion.leaf} at every angle", share=0.9)
        found[motion.leaf] = clearance(made, motion)
    yield _section(CURVES, found)


def _parts(made: Any) -> Iterator[Section]:  # noqa: ANN401 - a Build, imported only when it is made
    from barwright.bench.say_build import built_up
    from barwright.bench.say_fits import fitted
    from barwright.bench.say_plates import plates
    from barwright.bench.say_strength import held
    from barwright.bench.say_swing import swings
    from barwright.bench.say_tubes import tubes

    yield _section(TUBES, tubes(made.job, made.bars))
    yield _section(SWING, swings(made))
    yield _section(PLATES, plates(made.parts))
    yield _section(FITS, fitted(made.fits, made.first_fit))
    yield _section(STRENGTH, held(made.strength))
    yield _section(BUILDUP, built_up(made.buildup))


def _section(name: str, what: Any) -> Section:  # noqa: ANN401 - any plain data
    return Section(name=name, data=dumps(what))
