"""Slow work done beside the rest, in a process of its own where that can safely be started."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Generic, TypeVar

T = TypeVar("T")

PR_SET_PDEATHSIG = 1
"""prctl(2)."""


class Beside(Generic[T]):
    """Some work that was begun; call it for the result, which is then kept.

    A dropped one does the work when it is called.
    """

    def __init__(self, work: Callable[[], T]) -> None:
        self._work = work
        self._answer: tuple[T] | None = None
        self._copy = _copy_of(work) if can_fork() else None

    def __call__(self) -> T:
        """Wait for the result. Raises what the work raises."""
        if self._answer is None:
            self._answer = self._heard() or (self._work(),)
        return self._answer[0]

    @property
    def ready(self) -> bool:
        """Whether nothing is gained by waiting: the copy has answered, or there is none."""
        return self._copy is None or self._copy[0].poll()

    def drop(self) -> None:
        """Nobody waits for it any more: end the copy, if it is still at work."""
        if self._copy is not None:
            line, copy = self._copy
            self._copy = None
            line.close()
            copy.kill()
            copy.join()

    def _heard(self) -> tuple[T] | None:
        """The copy's result; None without a copy, or if it failed."""
        if self._copy is None:
            return None
        try:
            heard: tuple[T] | None = self._copy[0].recv()
        except (EOFError, OSError):
            heard = None
        finally:
            self.drop()
        return heard


def beside(work: Callable[[], T]) -> Beside[T]:
    """Start some work; what is handed back waits for its result.

    The work runs in a copy of this process, made by forking: that costs little and needs nothing
    sent over. It is done here, when it is asked for, where there is one processor alone, where
    other threads run (a fork would hold their locks for ever), where the system cannot fork, and
    where the copy fails: then it fails here too, with its own error.

    Args:
        work: a pure function, whose result can be pickled.

    >>> beside(lambda: 6 * 7)()
    42
    """
    return Beside(work)


def can_fork() -> bool:
    """Whether a copy of this process may be made, and would be of use."""
    several = (os.cpu_count() or 1) > 1
    alone = threading.active_count() == 1 and not multiprocessing.current_process().daemon
    return several and alone and hasattr(os, "fork")


def _copy_of(work: Callable[[], T]) -> tuple[Connection, BaseProcess]:
    """A copy of this process that does the work, and the line it answers on."""
    context = multiprocessing.get_context("fork")
    ours, theirs = context.Pipe(duplex=False)
    copy = context.Process(target=_do, args=(work, theirs), daemon=True)
    copy.start()
    theirs.close()
    return ours, copy


def _do(work: Callable[[], T], to: Connection) -> None:
    """The copy's whole life; whatever goes wrong is left to be found again by the one who asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _end_with_parent()
    answer: tuple[T] | None = None
    with suppress(Exception):  # done again where it is asked for, and raised there
        answer = (work(),)
    to.send(answer)
    to.close()


def _end_with_parent() -> None:
    """Ask the system to end this copy when the one who wants its answer is gone (Linux)."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, int(signal.SIGKILL))
