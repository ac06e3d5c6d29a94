"""On which line of a TOML text does each table and key stand?"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import TypeAlias

Entry: TypeAlias = tuple[str, ...]

_TOKEN = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+"""'
    r"|'''(?:[^']|'(?!''))*+'''"
    r'|"(?:[^"\\\n]|\\.)*+"'
    r"|'[^'\n]*+'"
    r"|\#[^\n]*+"
    r"|[\[\]{}\n]"
    r"|[^\"'\#\[\]{}\n]++",
    re.DOTALL,
)
_PART = r"(?:\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'|[A-Za-z0-9_-]+)"
_DOTTED = rf"{_PART}(?:[ \t]*\.[ \t]*{_PART})*"
_HEADER = re.compile(rf"[ \t]*\[\[?[ \t]*({_DOTTED})[ \t]*\]")
_KEY = re.compile(rf"[ \t]*({_DOTTED})[ \t]*=")
_CHAIN = re.compile(rf"(?<![A-Za-z0-9_-])(?:{_PART}[ \t]*+\.[ \t]*+){{17}}")


def too_deep(text: str) -> bool:
    """Whether a key has more than 16 dots, which no job needs and a TOML reader chokes on."""
    return _CHAIN.search(text) is not None


def lines_of(text: str) -> Mapping[Entry, int]:
    r"""The line, counted from 1, of each table and key of a text that is TOML already.

    Of arrays of tables and repeated headers the first is meant.

    >>> dict(lines_of("[bar.upper]\nstock = 'main'\n"))
    {('bar',): 1, ('bar', 'upper'): 1, ('bar', 'upper', 'stock'): 2}
    """
    found: dict[Entry, int] = {}
    table: Entry = ()
    for number, statement in _statements(text):
        if header := _HEADER.match(statement):
            table = _names(header[1])
            _note(found, table, number)
        elif key := _KEY.match(statement):
            _note(found, table + _names(key[1]), number)
    return found


def _note(found: dict[Entry, int], entry: Entry, number: int) -> None:
    """An entry's line, which is also that of tables round it that have no header of their own."""
    for n in range(1, len(entry) + 1):
        found.setdefault(entry[:n], number)


def line_of(lines: Mapping[Entry, int], entry: Entry) -> int | None:
    """The line of an entry, or of the nearest table round it."""
    return next((lines[entry[:n]] for n in range(len(entry), 0, -1) if entry[:n] in lines), None)


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """The first lines of each header and key, with its number: not what goes on over lines."""
    starts, depth, number = True, 0, 1
    lines = text.split("\n")
    for token in _TOKEN.finditer(text):
        if starts and depth == 0:
            yield number, lines[number - 1]
        starts = False
        depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(token[0], 0)
        breaks = token[0].count("\n")
        number += breaks
        starts = bool(breaks) and token[0] == "\n"


def _names(dotted: str) -> Entry:
    return tuple(part.strip("\"'") for part in re.findall(_PART, dotted))
