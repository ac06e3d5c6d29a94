"""What pydantic found wrong, said the way a fabricator needs it: entry, line, expected, do."""

from __future__ import annotations

import json
import reprlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, TypeAlias

from barwright.job.errors import Fault, said
from barwright.job.names import nearest
from barwright.job.toml_lines import Entry, line_of

Problem: TypeAlias = Mapping[str, Any]
"""One of pydantic's error records: type, loc, msg, input, ctx."""

_TYPES = {
    "tuple_type": "a list in square brackets",
    "string_type": "text between quotes",
    "model_type": "a table",
    "dict_type": "a table of tables",
    "float_parsing": "a number",
    "float_type": "a number",
    "finite_number": "a finite number",
    "string_pattern_mismatch": "a name without blanks, dots, slashes, commas or quotes",
    "string_too_long": "a shorter name",
}
_HINTS: dict[str, str] = {
    "tuple_type": 'write it as ["A", "B"]',
    "string_type": "put quotes round it",
    "missing": "add it",
}
_REPR = reprlib.Repr()
_REPR.maxstring = _REPR.maxother = 60
_REPR.maxlevel = 2


def faults_of(
    problems: Iterable[Problem], data: Mapping[str, Any], lines: Mapping[Entry, int]
) -> Iterator[Fault]:
    """The faults of job.toml.

    Args:
        problems: pydantic's error records.
        data: what the TOML reader made of the file.
        lines: where each entry stands.
    """
    by_entry: dict[tuple[Entry, bool], list[Problem]] = {}
    for problem in problems:
        unknown = problem["type"] == "extra_forbidden"
        by_entry.setdefault((_entry(problem, data), unknown), []).append(problem)
    return (_fault(entry, some, lines) for (entry, _), some in by_entry.items())


def _entry(problem: Problem, data: Mapping[str, Any]) -> Entry:
    """What a problem is about; a missing field is named though it is not there."""
    if problem["type"] == "missing":
        return (*entry_of(problem["loc"][:-1], data), str(problem["loc"][-1]))
    return entry_of(problem["loc"], data)


def _fault(entry: Entry, problems: list[Problem], lines: Mapping[Entry, int]) -> Fault:
    """The fault of an entry; where it could be one thing or another, what each would have to be."""
    first = problems[0]
    unknown = first["type"] == "extra_forbidden"
    expected = dict.fromkeys(said(_expected(p))[0] for p in problems)
    return Fault(
        file="job.toml",
        entry=".".join(entry)[:200],
        line=line_of(lines, entry),
        read="nothing" if first["type"] == "missing" else written(first["input"]),
        expected=_unknown(entry) if unknown else "; or ".join(expected),
        do=_suggest(entry) if unknown else _do(first, entry),
    )


def wording(problem: Problem, entry: Entry) -> tuple[str, str]:
    """What an entry should have been, and what to do, where only one thing was possible."""
    return said(_expected(problem))[0], _do(problem, entry)


def _do(problem: Problem, entry: Entry) -> str:
    hint = _HINTS.get(problem["type"]) or said(_expected(problem))[1]
    return hint or f"correct {_what(entry)}"


def written(value: object) -> str:
    """A value as it stood in the file, cut short."""
    if isinstance(value, str):
        return json.dumps(value if len(value) <= 60 else f"{value[:57]}…", ensure_ascii=False)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return _cut(json.dumps(value, ensure_ascii=False, default=str))
    return _REPR.repr(value)[:120]


def _cut(text: str) -> str:
    return text if len(text) <= 120 else f"{text[:117]}…"


def entry_of(loc: tuple[Any, ...], data: Any) -> Entry:  # noqa: ANN401 - any TOML value
    """The part of pydantic's location that stands in the file: its own tags are left out."""
    entry, here = [], data
    for step in loc:
        if isinstance(here, Mapping) and step in here:
            entry.append(str(step))
            here = here[step]
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            entry.append(str(step + 1))
            here = here[step]
    return tuple(entry)


def _expected(problem: Problem) -> str:
    kind, ctx = str(problem["type"]), problem.get("ctx") or {}
    by_context: dict[str, Callable[[], str]] = {
        "greater_than": lambda: "more than 0",
        "greater_than_equal": lambda: "0 or more" if not ctx["ge"] else "a larger number",
        "too_long": lambda: f"at most {ctx['max_length']} values",
        "too_short": lambda: f"at least {ctx['min_length']} values",
        "missing": lambda: f"the field {problem['loc'][-1]}",
        "literal_error": lambda: str(ctx["expected"]).replace("'", '"'),
        "value_error": lambda: str(ctx["error"]),
    }
    if kind in by_context:
        return by_context[kind]()
    return _TYPES.get(kind, str(problem["msg"]))


def _unknown(entry: Entry) -> str:
    known = _fields_of(entry[:-1])
    return f"one of {', '.join(known)}" if known else "nothing of this name"


def _what(entry: Entry) -> str:
    """The field a fault is about; of a list, which of its values."""
    return f"value {entry[-1]} of {entry[-2]}" if entry[-1].isdigit() else entry[-1]


def _suggest(entry: Entry) -> str:
    near = nearest(entry[-1], _fields_of(entry[:-1]))
    return f"did you mean {near}?" if near else f"take {entry[-1]} out"


def _fields_of(entry: Entry) -> tuple[str, ...]:
    """The names the schema knows in a table."""
    from barwright.job.json_schema import schema  # only when something is wrong

    whole = schema()
    here: Any = whole
    for step in entry:
        here = _inside(_resolved(here, whole), step)
    return tuple(_resolved(here, whole).get("properties", {}))


def _inside(node: dict[str, Any], step: str) -> dict[str, Any]:
    named = node.get("properties", {}).get(step)
    any_name = next(iter(node.get("patternProperties", {}).values()), None)
    inner = named or any_name or node.get("items")
    return inner if isinstance(inner, dict) else {}


def _resolved(node: dict[str, Any], whole: dict[str, Any]) -> dict[str, Any]:
    """A node with its reference followed; of alternatives, the table."""
    for option in (node, *node.get("anyOf", ()), *node.get("oneOf", ())):
        if "$ref" in option:
            found: dict[str, Any] = whole["$defs"][option["$ref"].rpartition("/")[2]]
            return found
    return node
