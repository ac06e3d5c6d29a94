"""What the page asks for becomes new text of the job's files: never over what it did not see."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from barwright.bench.rows import CELLS, rows_of, same
from barwright.job.edit_readings import add_reading, change_reading, delete_reading
from barwright.job.edit_toml import set_value
from barwright.job.errors import BadInput, BarwrightError, Fault
from barwright.job.load import JOB_FILE, READINGS_FILE, parse
from barwright.job.row import Row

Texts: TypeAlias = Mapping[str, str]
"""The job's two files by name."""

FILES = (JOB_FILE, READINGS_FILE)
_Text = Annotated[str, Field(max_length=2000)]


class Asked(BaseModel):
    """What every request shares: nothing unknown is let through."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Cells(Asked):
    """A row's cells as typed."""

    kind: _Text = ""
    marks: _Text = ""
    value: _Text = ""
    plus_minus: _Text = ""
    note: _Text = ""


class Add(Asked):
    """One more reading."""

    do: Literal["add"]
    row: Cells


class Alter(Asked):
    """A reading written anew; `old` is what the page saw there."""

    do: Literal["alter"]
    line: int
    old: Cells
    row: Cells


class Drop(Asked):
    """A reading taken out."""

    do: Literal["drop"]
    line: int
    old: Cells


class One(Asked):
    """One entry of job.toml, both values as TOML text; empty where there is none."""

    entry: _Text
    old: _Text = ""
    value: _Text = ""


class Set(Asked):
    """Entries of job.toml set, added or taken out together."""

    do: Literal["set"]
    sets: Annotated[tuple[One, ...], Field(min_length=1, max_length=20)]


Edit: TypeAlias = Annotated[Add | Alter | Drop | Set, Field(discriminator="do")]
EDIT: TypeAdapter[Add | Alter | Drop | Set] = TypeAdapter(Edit)


class Conflict(BarwrightError):  # noqa: N818 - it is what the user is told
    """What the page saw is no longer what stands in the file.

    Attributes:
        file, where: the file, and the row or entry in it.
        seen, theirs, yours: what the page saw, what stands there now, and what was to stand there.
    """

    def __init__(self, *, file: str, where: str, seen: str, theirs: str, yours: str) -> None:
        super().__init__(f"{file}: {where} was changed meanwhile")
        self.file, self.where, self.seen = file, where, seen
        self.theirs, self.yours = theirs, yours


@dataclass(frozen=True, kw_only=True)
class Edited:
    """The file that changes, its new text, and what was done in words."""

    file: str
    text: str
    what: str


def edited(texts: Texts, edit: Add | Alter | Drop | Set) -> Edited:
    """The new text of the file an edit is about.

    Raises:
        Conflict: the row or entry is not what the page saw.
        BadInput: what was typed cannot be read; nothing that was right before is made wrong.
    """
    done = _done(texts, edit)
    _check(texts, {**texts, done.file: done.text})
    return done


def _done(texts: Texts, edit: Add | Alter | Drop | Set) -> Edited:
    if isinstance(edit, Set):
        return _set(texts[JOB_FILE], edit)
    text = texts[READINGS_FILE]
    if isinstance(edit, Add):
        new, what = add_reading(text, _row(0, edit.row)), f"added {told(edit.row)}"
    elif isinstance(edit, Alter):
        line = _line(text, edit.line, edit.old, told(edit.row))
        new, what = change_reading(text, line, _row(line, edit.row)), f"changed {told(edit.old)}"
    else:
        line = _line(text, edit.line, edit.old, "")
        new, what = delete_reading(text, line), f"took out {told(edit.old)}"
    return Edited(file=READINGS_FILE, text=new, what=what)


def told(cells: Cells | Row) -> str:
    """A reading in words: its kind, its marks, its value."""
    return " ".join(p for p in (cells.kind, cells.marks, cells.value) if p)


def _row(line: int, cells: Cells) -> Row:
    return Row(line=line, **{c: getattr(cells, c) for c in CELLS})


def _line(text: str, line: int, old: Cells, yours: str) -> int:
    """Where the row that the page saw stands now; lines above it may have come and gone."""
    rows, seen = rows_of(text), _row(line, old)
    if any(r.line == line and same(r, seen) for r in rows):
        return line
    alike = [r.line for r in rows if same(r, seen)]
    if len(alike) == 1:
        return alike[0]
    now = next((told(r) for r in rows if r.line == line), "")
    raise Conflict(
        file=READINGS_FILE, where=f"line {line}", seen=told(old), theirs=now, yours=yours
    )


def _set(text: str, edit: Set) -> Edited:
    for one in edit.sets:
        now = _now(text, one.entry)
        if now != _meant(one.old):
            raise Conflict(
                file=JOB_FILE,
                where=one.entry,
                seen=one.old,
                theirs="" if now is None else as_toml(now),
                yours=one.value,
            )
    for one in _in_order(edit.sets):
        text = set_value(text, one.entry, _meant(one.value))
    first = edit.sets[0]
    more = f" and {len(edit.sets) - 1} more" if len(edit.sets) > 1 else ""
    verb = "set" if first.value.strip() else "took out"
    return Edited(file=JOB_FILE, text=text, what=f"{verb} {first.entry}{more}")


def _in_order(sets: tuple[One, ...]) -> list[One]:
    """What is set first, in its order; then what is taken out, tables in a row from the last."""
    return [s for s in sets if s.value.strip()] + [s for s in reversed(sets) if not s.value.strip()]


def _meant(typed: str) -> Any:  # noqa: ANN401 - any TOML value
    """What was typed into a field: a TOML value, or else text as it stands; None for nothing."""
    typed = typed.strip()
    if not typed:
        return None
    try:
        read = tomllib.loads(f"v = {typed}")
    except ValueError:
        return typed
    return read["v"] if set(read) == {"v"} else typed


def as_toml(value: Any) -> str:  # noqa: ANN401 - any TOML value
    """A value as it is written in job.toml, on one line.

    >>> as_toml([1.5, "A"]), as_toml({"through": "H"}), as_toml(True)
    ('[1.5, "A"]', '{through = "H"}', 'true')
    """
    import tomlkit

    return (
        tomlkit.item(value, _sort_keys=False).as_string()
        if not isinstance(value, dict)
        else _inline(value)
    )


def _inline(table: dict[str, Any]) -> str:
    inner = ", ".join(f"{k} = {as_toml(v)}" for k, v in table.items())
    return f"{{{inner}}}"


def _now(text: str, entry: str) -> Any:  # noqa: ANN401 - any TOML value
    """What an entry holds; None where there is none, or the file cannot be read."""
    try:
        found: Any = tomllib.loads(text)
    except ValueError:
        return None
    for step in entry.split("."):
        key: str | int = int(step) - 1 if isinstance(found, list) and step.isdigit() else step
        try:
            found = found[key] if key != -1 else None
        except (LookupError, TypeError):
            return None
    return found


def _check(before: Texts, after: Texts) -> None:
    """Refuse an edit that makes something wrong; what was wrong before may stay wrong.

    Raises:
        BadInput: with the new faults.
    """
    was = {_key(f) for f in faults_in(before)}
    new = [f for f in faults_in(after) if _key(f) not in was]
    if new:
        raise BadInput(*new)


def faults_in(texts: Texts) -> tuple[Fault, ...]:
    """Everything wrong in the two files."""
    return _faults(texts[JOB_FILE], texts[READINGS_FILE])


@lru_cache(8)
def _faults(toml: str, readings: str) -> tuple[Fault, ...]:
    """Remembered: what stands after one edit stands before the next."""
    try:
        parse(toml, readings)
    except BadInput as wrong:
        return wrong.faults
    return ()


def _key(fault: Fault) -> tuple[str, str, str]:
    """What a fault is about, without its line, which moves."""
    return fault.file, fault.entry, fault.read
