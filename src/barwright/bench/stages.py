"""The whole calculation for the page, in the worker: each operation is told when it is done.

The picture is handed to the helper, where one stands by, and told when it is ready.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from barwright.bench.card import OPERATIONS, card
from barwright.bench.plain import dumps
from barwright.helper import Handed, handed
from barwright.job.load import JOB_FILE, READINGS_FILE, parse
from barwright.job.told_lines import told_lines

if TYPE_CHECKING:
    from barwright.job.schema import Job
    from barwright.route import Build
    from barwright.survey.marks import Marks

CURVES, SCENE = "curves", "scene"
PARTS = (*(op.key for op in OPERATIONS), CURVES, SCENE)
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


NEXT = {
    "": Doing(what="where the marks are", share=0.02),
    "marks": Doing(what="tubes", share=0.1),
    "bars": Doing(what="plates", share=0.2),
    "parts": Doing(what="what the leaves meet on their way", share=0.35),
    "swings": Doing(what="how the hinges go together", share=0.5),
    "fits": Doing(what="the chance that it fits", share=0.5),
    "first_fit": Doing(what="strength", share=0.6),
    "strength": Doing(what="in what order it is built", share=0.75),
    "buildup": Doing(what="what is drawn", share=0.95),
}
"""What follows each stage of the route."""


@dataclass(kw_only=True)
class Last:
    """What one state of a job leaves for the next: where its marks stood."""

    marks: Marks | None = None


def stages(
    texts: Mapping[str, str], folder: Path | None = None, last: Last | None = None
) -> Iterator[Section | Doing]:
    """Everything the page shows of a job, the quick things first.

    Args:
        texts: its two files.
        folder: where the drawings lie that job.toml names; None leaves them unread.
        last: of the state of the job before, brought up to date here.

    Raises:
        BadInput: the job cannot be read, or cannot be worked out; what came before holds.
    """
    job = parse(texts[JOB_FILE], texts[READINGS_FILE], folder=folder)
    if not job.readings:
        return
    yield NEXT[""]
    with told_lines(texts[JOB_FILE]):
        yield from _worked_out(job, texts, last or Last())


def _worked_out(job: Job, texts: Mapping[str, str], last: Last) -> Iterator[Section | Doing]:
    """The route's stages, told one by one; what is drawn beside them is dropped if one fails."""
    from barwright.route import stages as route

    picture: Handed[Section] | None = None
    try:
        for known in route(job, before=last.marks):
            last.marks = known.marks
            yield from _operations(known, texts)
            if picture is not None and picture.ready:
                yield picture()
                picture = None
            if known.stage == "parts":
                shaped = known
            if known.stage == "strength":  # not before: what is checked comes first
                picture = handed(partial(_picture, shaped))
            yield NEXT[known.stage]
        yield _curves(known)
        if picture is not None:
            yield picture()
    finally:
        if picture is not None:
            picture.drop()


def _operations(known: Build, texts: Mapping[str, str]) -> Iterator[Section]:
    """The operations that the stage done last tells of."""
    for op in OPERATIONS:
        if op.stage == known.stage:
            yield _section(op.key, {"op": card(op, known), **_TOLD[op.key](known, texts)})


def _measure(known: Build, texts: Mapping[str, str]) -> dict[str, Any]:
    from barwright.bench.say_measure import measured

    return measured(known.job, known.marks, texts[READINGS_FILE])


def _tubes(known: Build, _texts: Mapping[str, str]) -> dict[str, Any]:
    from barwright.bench.say_tubes import tubes

    return tubes(known.job, known.bars)


def _swing(known: Build, _texts: Mapping[str, str]) -> dict[str, Any]:
    from barwright.bench.say_swing import swings

    return swings(known)


def _plates(known: Build, _texts: Mapping[str, str]) -> dict[str, Any]:
    from barwright.bench.say_plates import plates

    return plates(known.parts)


def _fit(known: Build, _texts: Mapping[str, str]) -> dict[str, Any]:
    from barwright.bench.say_fits import fitted

    return fitted(known.fits, known.first_fit, known.job.job.unit)


def _strength(known: Build, _texts: Mapping[str, str]) -> dict[str, Any]:
    from barwright.bench.say_strength import held

    return held(known.strength)


def _build(known: Build, _texts: Mapping[str, str]) -> dict[str, Any]:
    from barwright.bench.say_build import built_up

    return built_up(known.buildup, known.job.job.unit)


_TOLD: dict[str, Callable[[Build, Mapping[str, str]], dict[str, Any]]] = {
    "measure": _measure,
    "tubes": _tubes,
    "swing": _swing,
    "plates": _plates,
    "fit": _fit,
    "strength": _strength,
    "build": _build,
    "make": lambda _known, _texts: {},
}
"""What the page shows of each operation besides how it stands."""


def _picture(known: Build) -> Section:
    from barwright.bench.say_scene import scene

    return Section(name=SCENE, data=scene(known))


def _curves(known: Build) -> Section:
    """The clearance over each leaf's swing, which only draws what is already known."""
    from barwright.bench.say_swing import clearance

    return _section(CURVES, {m.leaf: clearance(known, m) for m in known.motions})


def _section(name: str, what: Any) -> Section:  # noqa: ANN401 - any plain data
    return Section(name=name, data=dumps(what))
