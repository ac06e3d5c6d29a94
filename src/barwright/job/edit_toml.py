"""Changing one value of job.toml: comments, order and line ends of everything else stay."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, MutableMapping
from typing import Any, TypeAlias

from barwright.job.errors import BadInput, Fault
from barwright.job.toml_lines import too_deep

Value: TypeAlias = str | int | float | bool | list[Any] | tuple[Any, ...] | dict[str, Any]


def set_value(text: str, entry: str, value: Value | None) -> str:
    r"""The text of job.toml with one entry set, added, or taken out.

    Args:
        text: of job.toml.
        entry: dotted, such as "bar.upper.clr"; tables that are missing are made.
        value: what is to stand there, as written in the file; None takes the entry out.

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
        kept = tomllib.loads(after) == _wanted(before, steps, value)
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


def _set(table: MutableMapping[str, Any], steps: list[str], value: Value | None) -> None:
    """Set, add or take out one entry of a document."""
    import tomlkit

    *tables, key = steps
    for depth, step in enumerate(tables):
        if step not in table:
            if value is None:
                return
            table[step] = tomlkit.table(is_super_table=depth < len(tables) - 1)
        table = table[step]
    if value is None:
        table.pop(key, None)
    else:
        table[key] = list(value) if isinstance(value, tuple) else value


def _wanted(data: dict[str, Any], steps: list[str], value: Value | None) -> dict[str, Any]:
    """What the file must say afterwards."""
    step, *rest = steps
    if not rest:
        without = {k: v for k, v in data.items() if k != step}
        return without if value is None else {**data, step: _listed(value)}
    inner = data.get(step)
    if inner is None and value is None:
        return data
    if inner is not None and not isinstance(inner, Mapping):
        raise TypeError(f"{step} is no table")
    return {**data, step: _wanted(dict(inner or {}), rest, value)}


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
