"""Slow work done beside the rest, in a process of its own where that can safely be started."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import TypeVar

from barwright.helper import end_with_parent

T = TypeVar("T")


def beside(work: Callable[[], T]) -> Callable[[], T]:
    """Start some work; what is handed back waits for its result.

    The work runs in a copy of this process, made by forking: that costs nothing and needs nothing
    sent over. It is done here, when it is asked for, where there is one processor alone, where
    other threads run (a fork would hold their locks for ever), where the system cannot fork, and
    where the copy fails: then it fails here too, with its own error.

    Args:
        work: a pure function, whose result can be pickled.

    >>> beside(lambda: 6 * 7)()
    42
    """
    if not can_fork():
        return work
    context = multiprocessing.get_context("fork")
    ours, theirs = context.Pipe(duplex=False)
    copy = context.Process(target=_do, args=(work, theirs), daemon=True)
    copy.start()
    theirs.close()

    def result() -> T:
        try:
            done, value = ours.recv()
        except (EOFError, OSError):
            done, value = False, None
        finally:
            ours.close()
            copy.kill()
            copy.join()
        answer: T = value if done else work()
        return answer

    return result


def can_fork() -> bool:
    """Whether a copy of this process may be made, and would be of use."""
    several = (os.cpu_count() or 1) > 1
    return several and hasattr(os, "fork") and threading.active_count() == 1


def _do(work: Callable[[], T], to: Connection) -> None:
    """The copy's whole life; whatever goes wrong is left to be found again by the one who asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    end_with_parent()
    try:
        answer: tuple[bool, T | None] = (True, work())
    except Exception:  # noqa: BLE001 - done again where it is asked for, and raised there
        answer = (False, None)
    to.send(answer)
    to.close()
