"""What each command does: read the job, run the route, say what came out."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from barwright.cli import as_json, tables
from barwright.cli.output import Output
from barwright.findings import Finding, Level, worst
from barwright.job.errors import BadInput, Fault
from barwright.job.load import load, text_in
from barwright.job.schema import Job
from barwright.job.told_lines import told_lines

if TYPE_CHECKING:
    from barwright.route import Build


def solve_job(folder: Path, output: Output) -> int:
    """`barwright solve`."""
    job = _measured(folder)

    from barwright.survey.check import check
    from barwright.survey.radii import radius_of, spans_of
    from barwright.survey.sides import check_sides
    from barwright.survey.solve import solve

    marks = solve(job.readings, radius_of=radius_of(job), spans=spans_of(job))
    findings = (*check(marks), *check_sides(job, marks))
    output.answer(
        lambda: as_json.solved(marks, findings),
        lambda c: tables.show_solved(c, job, marks, findings),
    )
    return _code(findings)


def check_job(folder: Path, output: Output) -> int:
    """`barwright check`."""
    made = built_in(folder)
    output.answer(lambda: as_json.checked(made), lambda c: tables.show_checked(c, made))
    return _code(made.findings)


def pack_job(folder: Path, out: Path, stage: str, output: Output) -> int:
    """`barwright pack`."""
    made = built_in(folder)

    from barwright.pack.hashing import job_hash
    from barwright.pack.write import write

    with _progress("writing the pack") as tell:
        pack = write(made, out, stage=stage, progress=tell, current=lambda: job_hash(load(folder)))
    findings = (*made.findings, *pack.findings)
    output.answer(
        lambda: as_json.packed(pack, findings),
        lambda c: tables.show_packed(c, made, pack, findings),
    )
    return _code(findings)


def new_job(folder: Path, output: Output) -> int:
    """`barwright new`."""
    from barwright.job.new import start

    files = start(folder)
    output.answer(
        lambda: {"folder": str(folder), "files": [f.name for f in files]},
        lambda c: tables.show_new(c, folder, files),
    )
    return 0


def print_schema(output: Output) -> int:
    """`barwright schema`: JSON either way, laid out for people without --json."""
    from barwright.job.json_schema import schema

    text = json.dumps(schema(), indent=2, ensure_ascii=False)
    output.answer(schema, lambda c: c.print(text, markup=False, soft_wrap=True))
    return 0


def _measured(folder: Path) -> Job:
    """The job, which must have readings: without them there is nothing to work from."""
    job = load(folder)
    if job.readings:
        return job
    raise BadInput(
        Fault(
            file="readings.csv",
            entry="",
            read="no readings",
            expected="readings: one line each, under kind,marks,value,plus_minus,note",
            do="measure first: heights, stations and offsets of the marks, then tape between them",
        )
    )


def built_in(folder: Path) -> Build:
    """The whole route; its libraries are loaded only once the job has been read."""
    job = _measured(folder)
    with _busy("working the job through"), told_lines(text_in(folder)):
        from barwright.route import build

        return build(job)


def _code(findings: tuple[Finding, ...]) -> int:
    return 1 if worst(findings) is Level.MUST else 0


@contextmanager
def _busy(what: str) -> Iterator[None]:
    """A sign of life on standard error, where a person is watching."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(what):
        yield


@contextmanager
def _progress(what: str) -> Iterator[Callable[[str, float], None] | None]:
    """A bar on standard error where a person is watching: told what is being made, and 0..1."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=1.0)
        yield lambda step, share: bar.update(task, description=step, completed=share)
