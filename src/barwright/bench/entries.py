"""The entries of job.toml as written, one a line: what the page shows and edits them by."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from barwright.bench.edits import as_toml
from barwright.job.toml_lines import line_of, lines_of, too_deep

DEEPEST = 6
"""Tables inside one another that are taken apart; what lies deeper is shown as one value."""


def entries(text: str) -> list[dict[str, Any]]:
    r"""Every value of job.toml: its dotted entry, its TOML text, its line. Empty if it is broken.

    >>> entries('[bar.a]\npath = ["A", "B"]\n')
    [{'entry': 'bar.a.path', 'value': '["A", "B"]', 'line': 2}]
    >>> [e["entry"] for e in entries('[[trim]]\npart = "p"\ncorner = 1\n')]
    ['trim.1.part', 'trim.1.corner']
    """
    try:
        data = {} if too_deep(text) else tomllib.loads(text)
    except (ValueError, RecursionError):
        return []
    lines = lines_of(text)
    return [
        {"entry": ".".join(steps), "value": as_toml(value), "line": line_of(lines, steps)}
        for steps, value in _flat(data, ())
    ]


def _flat(
    table: Mapping[str, Any], above: tuple[str, ...]
) -> Iterator[tuple[tuple[str, ...], Any]]:
    for key, value in table.items():
        here = (*above, key)
        if isinstance(value, dict) and value and len(here) < DEEPEST:
            yield from _flat(value, here)
        elif _in_a_row(value) and len(here) < DEEPEST:
            for number, item in enumerate(value, start=1):
                yield from _flat(item, (*here, str(number)))
        else:
            yield here, value


def _in_a_row(value: Any) -> bool:  # noqa: ANN401 - any TOML value
    """Whether a value is tables one after another, as [[trim]] writes them."""
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) and v for v in value)
