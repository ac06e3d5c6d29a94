"""Changing one value of job.toml: comments, order and line ends of everything else stay."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from copy import copy
from typing import Any, TypeAlias

from barwright.job.errors import BadInput, Fault
from barwright.job.toml_lines import too_deep

Value: TypeAlias = str | int | float | bool | list[Any] | tuple[Any, ...] | dict[str, Any]


def set_value(text: str, entry: str, value: Value | None) -> str:
    r"""The text of job.toml with one entry set, added, or taken out.

    Args:
        text: of job.toml.
        entry: dotted, such as "bar.upper.clr"; tables that are missing are made. Tables in a row
            go by their number from 1, "trim.2.back"; one past the last is added at the end.
        value: what is to stand there, as written in the file; None takes the entry out, and with
            the last of them the row's table.

    Raises:
        BadInput: the text is not TOML, or the entry leads through something that is no table.

    >>> set_value("[job]  # mine\nunit = 'in'  # inches\n", "job.unit", "mm")
    '[job]  # mine\nunit = "mm"  # inches\n'
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    plain, lines_end = _plain(text)
    before = _read(plain)
    steps = entry.split(".")
    try:
        document = tomlkit.parse(plain)
        _set(document, steps, value)
        after = tomlkit.dumps(document)
        kept = _filled(tomllib.loads(after), steps) == _filled(_wanted(before, steps, value), steps)
    except (TOMLKitError, ValueError, TypeError, AttributeError, KeyError) as wrong:
        raise BadInput(_cannot(entry, str(wrong))) from None
    if not kept:
        raise BadInput(_cannot(entry, "the edit would have changed something else too"))
    return after.replace("\n", lines_end)


def _plain(text: str) -> tuple[str, str]:
    """The text with simple line ends, and the line end it had."""
    end = "\r\n" if "\r\n" in text else "\n"
    return text.replace("\r\n", "\n"), end


def _read(text: str) -> dict[str, Any]:
    try:
        return {} if too_deep(text) else tomllib.loads(text)
    except (ValueError, RecursionError) as wrong:
        raise BadInput(_cannot("", str(wrong))) from None


def _set(table: Any, steps: list[str], value: Value | None) -> None:  # noqa: ANN401 - tomlkit's
    """Set, add or take out one entry of a document."""
    step, *rest = steps
    key: Any = _key(table, step)
    there = _there(table, key)
    if not rest:
        if value is not None:
            table[key] = list(value) if isinstance(value, tuple) else value
        elif there:
            del table[key]
        return
    if not there and value is None:
        return
    if not there:
        _make(table, key, rest)
    _set(table[key], rest, value)
    if len(table[key]) == 0 and (isinstance(table, list) or isinstance(table[key], list)):
        del table[key]


def _key(table: Any, step: str) -> str | int:  # noqa: ANN401 - any TOML value
    """What a step is called where it leads to: tables in a row go by number."""
    return int(step) - 1 if isinstance(table, list) else step


def _there(table: Any, key: str | int) -> bool:  # noqa: ANN401 - any TOML value
    """Whether there is such an entry; a row has one place past its last that may be filled."""
    if not isinstance(key, int):
        return key in table
    if not 0 <= key <= len(table):
        raise KeyError(f"there are {len(table)} of these")
    return key < len(table)


def _make(table: Any, key: str | int, rest: list[str]) -> None:  # noqa: ANN401 - tomlkit's
    """A new table where there is none, or a new row of tables."""
    import tomlkit

    if isinstance(key, int):
        table.append(tomlkit.table())
    elif rest[0].isdigit():
        table[key] = tomlkit.aot()
    else:
        table[key] = tomlkit.table(is_super_table=len(rest) > 1)


def _wanted(data: Any, steps: list[str], value: Value | None) -> Any:  # noqa: ANN401 - any TOML value
    """What the file must say afterwards."""
    if not isinstance(data, list | Mapping):
        raise TypeError(f"what {steps[0]} is to stand in is no table")
    step, *rest = steps
    key: Any = _key(data, step)
    after: Any = copy(data)
    there = _there(data, key)
    if not rest and value is None:
        if there:
            del after[key]
    elif there or value is not None:
        new = _listed(value) if not rest else _inner(data[key] if there else None, rest, value)
        if isinstance(after, list):
            after[key : key + 1] = [new] if new else []
        else:
            after[key] = new
    return after


def _inner(data: Any, rest: list[str], value: Value | None) -> Any:  # noqa: ANN401 - any TOML value
    empty: list[Any] | dict[str, Any] = [] if rest[0].isdigit() else {}
    return _wanted(empty if data is None else data, rest, value)


def _filled(data: Any, steps: list[str]) -> Any:  # noqa: ANN401 - any TOML value
    """The same without tables on the way to an entry in which nothing stands: a heading is none."""
    if not steps or not isinstance(data, Mapping) or steps[0] not in data:
        return data
    inner = _filled(data[steps[0]], steps[1:])
    rest = {k: v for k, v in data.items() if k != steps[0]}
    return rest if inner in ({}, []) else {**rest, steps[0]: inner}


def _listed(value: Any) -> Any:  # noqa: ANN401 - any TOML value
    if isinstance(value, list | tuple):
        return [_listed(v) for v in value]
    return value


def _cannot(entry: str, says: str) -> Fault:
    return Fault(
        file="job.toml",
        entry=entry,
        read=says[:200],
        expected="an entry that can be changed by itself",
        do="change it in an editor",
    )
