"""Reading a job folder: job.toml and readings.csv, every fault found at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain, islice
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from barwright.job.check_refs import reference_faults
from barwright.job.errors import MOST_FAULTS, BadInput, Fault
from barwright.job.files import read_text
from barwright.job.readings import read_readings
from barwright.job.schema import Job
from barwright.job.schema_faults import entry_of, faults_of
from barwright.job.toml_lines import Entry, line_of, lines_of, too_deep

JOB_FILE = "job.toml"
READINGS_FILE = "readings.csv"
DEEPEST = 20
"""Tables and arrays inside one another; the schema needs six."""

_NESTED = "brackets nested too deep to read"


def load(folder: Path) -> Job:
    """The job in a folder.

    A folder holds job.toml, readings.csv, or both; with readings alone lengths are in mm.

    Args:
        folder: the job's folder, or the job.toml or readings.csv in it.

    Raises:
        BadInput: what was given cannot be used; every fault found is in it.
    """
    folder = _folder(Path(folder))
    text = _text_of(folder / JOB_FILE)
    return parse(text, _text_of(folder / READINGS_FILE), folder=folder)


def text_in(folder: Path) -> str:
    """The text of a job folder's job.toml; empty where there is none.

    Raises:
        BadInput: no job there, or it cannot be read.
    """
    return _text_of(_folder(Path(folder)) / JOB_FILE)


def parse(toml: str, readings: str = "", *, folder: Path | None = None) -> Job:
    r"""The job of two texts: job.toml and readings.csv.

    Args:
        toml: the one.
        readings: the other.
        folder: where the drawings lie that job.toml names; None leaves them unread.

    Raises:
        BadInput: as `load`.

    >>> parse("job.unit = 'in'", "kind,marks,value\nheight,A,10 1/2\n").readings[0].value
    266.7
    """
    said = _tables(toml)
    job, lines = said.job, said.lines
    rows = read_readings(readings, said.unit, job.default_plus_minus)
    loose = reference_faults(job, marks=rows.marks, broken=said.broken, lines=lines)
    drawn: tuple[Fault, ...] = ()
    if folder is not None and (job.bought or job.plate):
        from barwright.job.load_drawings import with_drawings

        job, drawn = with_drawings(job, folder, lines)
    found = list(islice(chain(said.faults, rows.faults, loose, drawn), MOST_FAULTS + 1))
    if found:
        raise BadInput(*_at_most(found))
    return job.model_copy(update={"readings": rows.readings})


@dataclass(frozen=True, kw_only=True)
class _Tables:
    """What job.toml alone says: the job of what is right in it, and what is wrong."""

    job: Job
    unit: str
    lines: Mapping[Entry, int]
    broken: frozenset[Entry]
    faults: tuple[Fault, ...]


@lru_cache(2)
def _tables(toml: str) -> _Tables:
    """Remembered: it stays the same while readings are edited. Raises BadInput."""
    data = _toml(toml)
    lines = lines_of(toml)
    foreign = _foreign(data, lines)
    unit = _unit(data)
    job, faults, broken = _validated(data, unit, lines)
    some = tuple(islice(chain(foreign, faults), MOST_FAULTS + 1))
    return _Tables(job=job, unit=unit, lines=lines, broken=broken, faults=some)


def _folder(path: Path) -> Path:
    """The folder itself, where job.toml or readings.csv in it was named."""
    folder = path.parent if path.name in {JOB_FILE, READINGS_FILE} else path
    if any((folder / name).exists() for name in (JOB_FILE, READINGS_FILE)):
        return folder
    read = "no such folder" if not folder.exists() else "a folder with neither"
    raise BadInput(
        Fault(
            file=str(path),
            entry="",
            read=read if folder.is_dir() or not folder.exists() else "a file",
            expected=f"a job folder: one that holds {JOB_FILE}, {READINGS_FILE} or both",
            do=f"check the path, or start one with: barwright new {path}",
        )
    )


def _text_of(path: Path) -> str:
    return read_text(path) if path.exists() else ""


def _toml(text: str) -> dict[str, Any]:
    """The tables of job.toml. Raises BadInput."""
    if too_deep(text):
        raise BadInput(_not_toml(text, "a key with more than 16 dots"))
    try:
        data = tomllib.loads(text)
    except RecursionError:
        raise BadInput(_not_toml(text, _NESTED)) from None
    except ValueError as wrong:  # TOMLDecodeError is one; a number of 5000 digits another
        raise BadInput(_not_toml(text, str(wrong))) from None
    if _depth(data) > DEEPEST:
        raise BadInput(_not_toml(text, _NESTED))
    return data


def _depth(data: Any) -> int:  # noqa: ANN401 - any TOML value
    """How deep tables and arrays are nested, found without recursion."""
    depth, level = 0, [data]
    while level:
        depth += 1
        level = [w for v in level for w in (v.values() if isinstance(v, dict) else v) if _holds(w)]
    return depth


def _holds(value: object) -> bool:
    return isinstance(value, dict | list)


def _not_toml(text: str, says: str) -> Fault:
    place = re.search(r"\(at line (\d+), column \d+\)", says)
    number = int(place[1]) if place else None
    lines = text.split("\n")
    return Fault(
        file=JOB_FILE,
        entry="",
        line=number,
        read=lines[number - 1].strip()[:80] if number and number <= len(lines) else says[:120],
        expected=f"TOML; {says[:200]}",
        do='put text such as "23 7/16" between quotes, and check brackets and commas near here',
    )


def _foreign(data: dict[str, Any], lines: Mapping[Entry, int]) -> list[Fault]:
    """Readings and drawings do not belong into job.toml: taken out of the data and reported."""
    belongs = {
        "readings": (f"readings in {READINGS_FILE}", f"move them to {READINGS_FILE}"),
        "drawings": ("drawings as files", "name the file: outline, or template"),
    }
    return [
        Fault(
            file=JOB_FILE,
            entry=name,
            line=line_of(lines, (name,)),
            read=name,
            expected=expected,
            do=do,
        )
        for name, (expected, do) in belongs.items()
        if data.pop(name, None) is not None
    ]


def _unit(data: Mapping[str, Any]) -> str:
    table = data.get("job")
    unit = table.get("unit") if isinstance(table, dict) else None
    return "in" if unit == "in" else "mm"


def _validated(
    data: dict[str, Any], unit: str, lines: Mapping[Entry, int]
) -> tuple[Job, Iterable[Fault], frozenset[Entry]]:
    """The job of what is right in the data, the faults, and the tables left out for them."""
    try:
        return Job.model_validate(data, context={"unit": unit}), (), frozenset()
    except ValidationError as wrong:
        problems = wrong.errors(include_url=False)
    broken = {entry_of(p["loc"], data)[:2] or (str(p["loc"][0]),) for p in problems}
    right = {
        table: _without(inner, {e[1] for e in broken if len(e) > 1 and e[0] == table})
        for table, inner in data.items()
        if (table,) not in broken
    }
    try:
        job = Job.model_validate(right, context={"unit": unit})
    except ValidationError:
        job = Job()
    return job, faults_of(problems, data, lines), frozenset(broken)


def _without(table: Any, names: set[str]) -> Any:  # noqa: ANN401 - any TOML value
    if not isinstance(table, dict):
        return table
    return {name: value for name, value in table.items() if name not in names}


def _at_most(faults: list[Fault]) -> list[Fault]:
    """The first hundred; the last of them says that there are more."""
    if len(faults) <= MOST_FAULTS:
        return faults
    more = Fault(
        file=faults[MOST_FAULTS - 1].file,
        entry="",
        read="more faults than are told at once",
        expected="none",
        do="correct those above first",
    )
    return [*faults[: MOST_FAULTS - 1], more]
