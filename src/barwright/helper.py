"""A second process that stands by, for work whose result is wanted soon.

It is started once by who wants it, keeps what it has loaded, and is sent what it needs: unlike a
copy of a process made for one task it has no memory to take over first. Without one, work handed
over is done where its result is asked for.
"""

from __future__ import annotations

import ctypes
import gc
import multiprocessing
import os
import pickle
import queue
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from importlib import import_module
from multiprocessing.connection import Connection
from typing import Any, Generic, TypeVar

T = TypeVar("T")

PR_SET_PDEATHSIG = 1
"""prctl(2)."""


class Helper:
    """The process, asked from one thread; it answers in the order it was asked.

    Args:
        loads: a module it loads at once, so that the first work does not wait for it.
    """

    def __init__(self, loads: str) -> None:
        context = multiprocessing.get_context("spawn")
        self._line, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, loads), daemon=True)
        self._process.start()
        theirs.close()
        self._asked = 0
        self._came: dict[int, Any] = {}

    def ask(self, work: Callable[[], object]) -> int | None:
        """Send some work; its number, None where it cannot be sent."""
        try:
            data = pickle.dumps(work, pickle.HIGHEST_PROTOCOL)
            self._line.send((self._asked + 1, data))
        except (OSError, pickle.PicklingError, TypeError, AttributeError):
            return None
        self._asked += 1
        return self._asked

    def answered(self, number: int) -> bool:
        """Whether a result has come."""
        with suppress(OSError, EOFError):
            while number not in self._came and self._line.poll():
                self._take()
        return number in self._came

    def answer(self, number: int) -> tuple[Any] | None:
        """Wait for a result; None where the work failed or the process is gone."""
        try:
            while number not in self._came:
                self._take()
        except (OSError, EOFError):
            return None
        heard: tuple[Any] | None = self._came.pop(number)
        return heard

    def drop(self, number: int) -> None:
        """Let a result go: work that is not begun yet is passed over."""
        if self._came.pop(number, None) is None:
            with suppress(OSError):
                self._line.send((number, None))

    def close(self) -> None:
        """End the process."""
        self._line.close()
        self._process.kill()
        self._process.join()

    def _take(self) -> None:
        number, heard = self._line.recv()
        self._came = {n: h for n, h in self._came.items() if n > number - KEPT}
        self._came[number] = heard


KEPT = 16
"""Results that nobody fetched are let go once so many more have come."""

_standing: list[Helper] = []
"""The one that stands by, if any: whoever hands work over need not know of it."""


def stand_by(loads: str) -> None:
    """Have a helper from now on; one processor alone gains nothing by it.

    Args:
        loads: a module it loads at once.
    """
    if not _standing and (os.cpu_count() or 1) > 1:
        _standing.append(Helper(loads))


def stand_down() -> None:
    """Have none any more."""
    while _standing:
        _standing.pop().close()


class Handed(Generic[T]):
    """Some work that was handed over; call it for the result, which is then kept."""

    def __init__(self, work: Callable[[], T]) -> None:
        self._work = work
        self._answer: tuple[T] | None = None
        self._helper = _standing[0] if _standing else None
        self._number = self._helper.ask(work) if self._helper else None

    def __call__(self) -> T:
        """Wait for the result. Raises what the work raises."""
        if self._answer is None:
            self._answer = self._heard() or (self._work(),)
        return self._answer[0]

    @property
    def ready(self) -> bool:
        """Whether nothing is gained by waiting: it is there, or is made when asked for."""
        if self._helper is None or self._number is None:
            return True
        return self._helper.answered(self._number)

    def drop(self) -> None:
        """Nobody waits for it any more."""
        if self._helper is not None and self._number is not None:
            self._helper.drop(self._number)
            self._number = None

    def _heard(self) -> tuple[T] | None:
        """The helper's result; None without one, or if it failed."""
        if self._helper is None or self._number is None:
            return None
        number, self._number = self._number, None
        return self._helper.answer(number)


def handed(work: Callable[[], T]) -> Handed[T]:
    """Hand some work over; what comes back waits for its result.

    Where no helper stands by, or it fails, the work is done here when its result is asked for:
    then it fails here too, with its own error.

    Args:
        work: a pure function that can be pickled, as its result can.

    >>> handed(int)()
    0
    """
    return Handed(work)


def end_with_parent() -> None:
    """Ask the system to end this process when the one that started it is gone (Linux)."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, int(signal.SIGKILL))


def sweep_seldom() -> None:
    """Look seldom for rubbish in rings, and not among what is there: there is next to none.

    A sweep of everything loaded took a tenth of a second, in the midst of somebody's edit.
    """
    gc.set_threshold(200_000, 50, 50)
    gc.freeze()


def _serve(line: Connection, loads: str) -> None:
    """The process's whole life: a thread takes in what is asked, so that no one waits to ask."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    end_with_parent()
    asked: queue.SimpleQueue[tuple[int, bytes] | None] = queue.SimpleQueue()
    dropped: set[int] = set()
    threading.Thread(target=_listen, args=(line, asked, dropped), daemon=True).start()
    import_module(loads)
    sweep_seldom()
    while (one := asked.get()) is not None:
        number, data = one
        with suppress(OSError):
            line.send((number, None if number in dropped else _done(data)))
        dropped.discard(number)


def _listen(
    line: Connection, asked: queue.SimpleQueue[tuple[int, bytes] | None], dropped: set[int]
) -> None:
    while True:
        try:
            number, data = line.recv()
        except (EOFError, OSError):
            asked.put(None)
            return
        if data is None:
            dropped.add(number)
        else:
            asked.put((number, data))


def _done(data: bytes) -> tuple[object] | None:
    """The work's result; whatever goes wrong is left to be found again by the one who asks."""
    with suppress(Exception):
        return (pickle.loads(data)(),)  # noqa: S301 - sent by the process that started this one
    return None
