"""What the worker process does: one request at a time, each answered by a run of messages.

It is a process of its own so that the page stays quick while it works, and so that whatever a
photo or a job file may do to a library stays out of the server.
"""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Mapping
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

from barwright.bench.plain import fault
from barwright.bench.stages import Doing, Last, stages
from barwright.helper import stand_by, sweep_seldom
from barwright.job.errors import BadInput, BarwrightError, Fault

if TYPE_CHECKING:
    from barwright.route import Build

Tell: TypeAlias = Callable[..., None]
"""Sends one message back: its kind and what goes with it."""


class Newest(Protocol):
    """The number of the latest request to work the job out, shared with the server."""

    value: int


def work(line: Connection, newest: Newest) -> None:
    """Answer requests until the other end hangs up.

    A job that was edited again meanwhile is not worked out to its end: `newest` tells.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    kinds: dict[str, Callable[..., None]] = {**_KINDS, "job": partial(_job, last=Last())}
    swept = False
    while True:
        try:
            number, kind, payload = line.recv()
        except (EOFError, OSError):
            return
        if kind == "job":
            stand_by("barwright.bench.say_scene")
        _answer(line, number, kind, partial(kinds[kind], **payload), newest)
        if not swept:  # by now nearly all is loaded
            sweep_seldom()
            swept = True


class Overtaken(Exception):  # noqa: N818 - nothing went wrong
    """The job was edited again while it was being worked out."""


def _answer(
    line: Connection, number: int, kind: str, do: Callable[[Tell], None], newest: Newest
) -> None:
    def tell(what: str, *rest: Any) -> None:  # noqa: ANN401 - plain data
        if kind == "job" and newest.value > number:
            raise Overtaken
        line.send((number, what, *rest))

    try:
        do(tell)
        tell("done")
    except Overtaken:
        line.send((number, "done"))
    except BadInput as wrong:
        line.send((number, "faults", [fault(f) for f in wrong.faults]))
    except BarwrightError as wrong:
        line.send((number, "faults", [fault(Fault(file="", entry="", expected=str(wrong)))]))
    except Exception as ours:  # noqa: BLE001 - the page says it; the worker lives on
        line.send((number, "faults", [fault(_our_fault(ours))]))


def _our_fault(ours: Exception) -> Fault:
    import traceback

    traceback.print_exception(ours, file=sys.stderr)
    return Fault(
        file="",
        entry="",
        read=f"{type(ours).__name__}: {str(ours)[:200]}",
        expected="a result; this is a fault in Barwright, not in your job",
        do="please report it with your job folder; the last good result stays on the card",
    )


def _job(tell: Tell, *, texts: Mapping[str, str], folder: Path, last: Last) -> None:
    for item in stages(texts, folder, last):
        if isinstance(item, Doing):
            tell("doing", item.what, item.share)
        else:
            tell("section", item.name, item.data)


def _built(texts: Mapping[str, str], folder: Path) -> Build:
    """The job worked through. Raises BadInput; what is wrong in job.toml is told with its line."""
    from barwright.job.load import JOB_FILE, READINGS_FILE, parse
    from barwright.job.told_lines import told_lines
    from barwright.route import build

    job = parse(texts[JOB_FILE], texts[READINGS_FILE], folder=folder)
    with told_lines(texts[JOB_FILE]):
        return build(job)


def _pack(tell: Tell, *, texts: Mapping[str, str], folder: Path, stage: str) -> None:
    from barwright.pack.write import make

    tell("doing", "working the job through", 0.0)
    made = _built(texts, folder)
    pack = make(made, stage=stage, progress=lambda what, share: tell("doing", what, share))
    tell("pack", pack.files, pack.job_hash, [f.says for f in pack.findings])


def _wrap(tell: Tell, *, texts: Mapping[str, str], folder: Path, bar: str, end: str) -> None:
    from barwright.pack.svg import svg_text
    from barwright.pack.wrap import template, wraps_of

    made = _built(texts, folder)
    bars = [b for b in made.bars.bars if b.name == bar]
    wraps = [w for b in bars for w in wraps_of(b) if w.end == end]
    if wraps:
        tell("drawing", svg_text(template(wraps[0], made.job.job.unit)).encode("utf-8"))


def _look(tell: Tell, *, photo: bytes, name: str) -> None:
    """Open a photo as the tracer would and hand it back plain: no metadata, upright, of one kind.

    Raises:
        BadInput: it is not a photo, or too large.
    """
    from barwright.survey.template_photo import library, opened

    picture = opened(photo, name)
    cv2 = library()
    _, plain = cv2.imencode(".jpg", picture.encoded, [cv2.IMWRITE_JPEG_QUALITY, 85])
    tell("photo", bytes(plain), picture.size)


def _trace(tell: Tell, *, photo: str, out: str, ask: dict[str, Any]) -> None:
    from barwright.pack.svg import svg_text
    from barwright.pack.template_files import drawing, summary, trace_to
    from barwright.survey.template_types import Pick

    picks = tuple(Pick(name=p["name"], a=tuple(p["a"]), b=tuple(p["b"])) for p in ask.pop("picks"))
    template, files = trace_to(Path(photo), Path(out), picks=picks, **ask)
    drawn = svg_text(drawing(template)).encode("utf-8")
    lines = [{"name": x.name, "a": x.a, "b": x.b, "sd": x.sd} for x in template.lines]
    tell("traced", drawn, list(summary(template)), lines, [f.name for f in files])


_KINDS: dict[str, Callable[..., None]] = {
    "pack": _pack,
    "wrap": _wrap,
    "look": _look,
    "trace": _trace,
}
