"""Where a command's answer goes: tables for people, or one JSON object and nothing else."""

from __future__ import annotations

import io
import json
import math
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

if TYPE_CHECKING:
    from rich.console import Console

WIDTH = 120
"""Columns where the output is not a terminal."""


class AnswerLostError(Exception):
    """Standard output cannot be written, so there is no way to answer."""


@dataclass(frozen=True, kw_only=True)
class Output:
    """Where a command writes.

    Attributes:
        stream: the real standard output.
        as_json: whether one object is wanted.
    """

    stream: TextIO
    as_json: bool

    def answer(self, for_programs: Callable[[], Mapping[str, Any]], for_people: Show) -> None:
        """Write one of the two: what is not wanted is not worked out.

        Raises:
            AnswerLostError: standard output cannot be written, such as a file on a full disk.
        """
        text = dumps(for_programs()) + "\n" if self.as_json else printed(for_people, self.stream)
        try:
            self.stream.write(text)
            self.stream.flush()
        except BrokenPipeError:
            raise
        except OSError as wrong:
            raise AnswerLostError(wrong.strerror) from wrong


Show = Callable[["Console"], None]


def dumps(value: Mapping[str, Any]) -> str:
    """Strict JSON: what is not finite becomes null, minus zero becomes zero.

    >>> dumps({"sd": [float("inf"), -0.0, 1]})
    '{"sd": [null, 0.0, 1]}'
    """
    return json.dumps(_plain(value), allow_nan=False)


def _plain(value: Any) -> Any:  # noqa: ANN401 - any JSON
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    if isinstance(value, float):
        return value + 0.0 if math.isfinite(value) else None
    return value


def printed(show: Show, stream: TextIO) -> str:
    """What a console for people on this stream would print: plain text for no terminal."""
    from rich.console import Console

    terminal, text = stream.isatty(), io.StringIO()
    width = Console(file=stream).width if terminal else WIDTH
    show(Console(file=text, width=width, highlight=False, force_terminal=terminal))
    return text.getvalue()


@contextmanager
def kept_clean(as_json: bool) -> Iterator[Output]:
    """Standard output, with everything else that anyone prints meanwhile on standard error.

    With `as_json` that holds for libraries in C++ too, which write past Python.
    """
    sys.stdout, sys.stderr = sys.stdout or _nowhere(), sys.stderr or _nowhere()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    if not as_json:
        yield Output(stream=sys.stdout, as_json=False)
        return
    out, was = _own_copy(sys.stdout), sys.stdout
    sys.stdout = sys.stderr
    try:
        yield Output(stream=out, as_json=True)
    finally:
        sys.stdout = was
        if out is not was:
            _give_back(out, was)


def _nowhere() -> TextIO:
    """In place of a stream that was closed before we started."""
    return Path(os.devnull).open("w", encoding="utf-8")


def _own_copy(stream: TextIO) -> TextIO:
    """The stream on a descriptor of its own, its old one turned to standard error."""
    try:
        number, error = stream.fileno(), sys.stderr.fileno()
    except (OSError, ValueError, AttributeError):
        return stream  # a stream in memory, as in tests: nothing writes past Python there
    stream.flush()
    copy = os.fdopen(os.dup(number), "w", encoding="utf-8")
    os.dup2(error, number)
    return copy


def _give_back(copy: TextIO, stream: TextIO) -> None:
    with suppress(OSError):
        copy.flush()
    os.dup2(copy.fileno(), stream.fileno())
    with suppress(OSError):
        copy.close()
