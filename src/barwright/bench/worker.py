"""The server's end of the worker process: ask, be told bit by bit, start it anew if it dies."""

from __future__ import annotations

import asyncio
import atexit
import multiprocessing
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, TypeAlias

from barwright.bench.plain import fault
from barwright.bench.work import work
from barwright.job.errors import Fault

Message: TypeAlias = tuple[Any, ...]
"""Its kind, and what goes with it. A run of messages ends with "done" or "faults"."""

LAST = ("done", "faults")


class Worker:
    """A process that answers one request after another.

    Everything but `_listen` runs on the server's own loop.
    """

    def __init__(self) -> None:
        self._asked = 0
        self._waiting: dict[int, Callable[[Message], None]] = {}
        self._line: Connection | None = None
        self._process: Any = None
        self._newest = multiprocessing.get_context("spawn").Value("Q", 0, lock=False)

    def ask(self, kind: str, heard: Callable[[Message], None], **payload: Any) -> None:  # noqa: ANN401
        """Ask for something; `heard` is called with each message, on the loop."""
        line = self._open()
        self._asked += 1
        if kind == "job":
            self._newest.value = self._asked
        self._waiting[self._asked] = heard
        try:
            line.send((self._asked, kind, payload))
        except OSError:
            self._died(line)

    async def all(self, kind: str, **payload: Any) -> list[Message]:  # noqa: ANN401
        """Ask, and wait for the whole answer."""
        loop = asyncio.get_running_loop()
        ready: asyncio.Future[list[Message]] = loop.create_future()
        got: list[Message] = []

        def heard(message: Message) -> None:
            got.append(message)
            if message[0] in LAST and not ready.done():
                ready.set_result(got)

        self.ask(kind, heard, **payload)
        return await ready

    def close(self) -> None:
        """Hang up; the process ends by itself, or is ended."""
        if self._line is not None:
            self._line.close()
            self._line = None
        if self._process is not None:
            self._process.join(timeout=0.5)
            self._process.kill()

    def _open(self) -> Connection:
        if self._line is not None:
            return self._line
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        self._process = context.Process(
            target=work, args=(theirs, self._newest), daemon=False
        )  # it may start its own
        self._process.start()
        atexit.register(self.close)
        theirs.close()
        self._line = ours
        loop = asyncio.get_running_loop()
        threading.Thread(target=self._listen, args=(ours, loop), daemon=True).start()
        return ours

    def _listen(self, line: Connection, loop: asyncio.AbstractEventLoop) -> None:
        """Read what the process says, in a thread of its own."""
        while True:
            try:
                message = line.recv()
            except (EOFError, OSError):
                _soon(loop, self._died, line)
                return
            _soon(loop, self._heard, message)

    def _heard(self, message: tuple[Any, ...]) -> None:
        number, *rest = message
        heard = self._waiting.get(number)
        if rest[0] in LAST:
            self._waiting.pop(number, None)
        if heard is not None:
            heard(tuple(rest))

    def _died(self, line: Connection) -> None:
        """The process is gone: everyone who waits is told, and the next request starts another."""
        if line is not self._line:
            return
        self._line = None
        waiting, self._waiting = self._waiting, {}
        for heard in waiting.values():
            heard(("faults", [fault(_STOPPED)]))


_STOPPED = Fault(
    file="",
    entry="",
    read="the calculation stopped",
    expected="an answer; most likely the machine ran out of memory",
    do="close other programs and change anything on the card to try again",
)


def _soon(loop: asyncio.AbstractEventLoop, call: Callable[..., None], *args: Any) -> None:  # noqa: ANN401
    try:
        loop.call_soon_threadsafe(call, *args)
    except RuntimeError:
        return  # the loop is closed: nobody is listening any more
