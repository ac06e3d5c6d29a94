"""One job open on the bench: its files, the last good answer, and everyone who looks on."""

from __future__ import annotations

import asyncio
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

from barwright.bench.edits import Add, Alter, Drop, Set
from barwright.bench.entries import entries
from barwright.bench.folder import JobFolder
from barwright.bench.overwritten import overwritten
from barwright.bench.plain import dumps, fault
from barwright.bench.say_measure import kinds, written
from barwright.bench.stages import PARTS
from barwright.bench.worker import Message, Worker
from barwright.job.errors import BadInput
from barwright.job.load import JOB_FILE, READINGS_FILE

SETTLE = 0.02
"""Seconds without another edit before a calculation under way is begun anew."""

MOST_WAITING = 400
"""Messages one looker-on may be behind; then it is cut off and comes back."""


@dataclass(frozen=True, kw_only=True)
class Held:
    """A part of the last good answer: its bytes and their fingerprint."""

    data: bytes
    tag: str


class Session:
    """A job, edited and worked out as it changes.

    Attributes:
        folder: its files.
        sections: the last good answer, part by part.
        status: what is going on, as the page is told: which state of the job is being worked out,
            and which parts of the answer are still those of an older one.
        shop: a second worker, for packs and photos, which take longer.
    """

    def __init__(self, path: Path) -> None:
        self.folder = JobFolder(path)
        self.worker, self.shop = Worker(), Worker()
        self.sections: dict[str, Held] = {}
        self.status: dict[str, Any] = {
            "busy": False,
            "what": "",
            "share": 0.0,
            "faults": [],
            "version": 0,
            "waiting": [],
        }
        self._lookers: set[asyncio.Queue[bytes | None]] = set()
        self._timer: asyncio.TimerHandle | None = None

    def start(self) -> None:
        """Work the job out for the first time."""
        self._begun()
        self._now()

    def close(self) -> None:
        """End the workers."""
        self.worker.close()
        self.shop.close()

    # ---- lookers-on ----------------------------------------------------------------------------

    def join(self) -> asyncio.Queue[bytes | None]:
        """A queue of messages, the whole present state first."""
        queue: asyncio.Queue[bytes | None] = asyncio.Queue(MOST_WAITING)
        self._lookers.add(queue)
        for message in (self._said_history(), self._said_sections(self.sections), self._said()):
            queue.put_nowait(dumps(message))
        return queue

    def leave(self, queue: asyncio.Queue[bytes | None]) -> None:
        """Stop telling one of them."""
        self._lookers.discard(queue)

    def tell(self, message: Mapping[str, Any]) -> None:
        """Tell everyone."""
        data = dumps(message)
        for queue in tuple(self._lookers):
            if queue.full():
                self.leave(queue)
                queue.get_nowait()
                queue.put_nowait(None)
            else:
                queue.put_nowait(data)

    def _said(self) -> dict[str, Any]:
        return {"t": "status", **self.status}

    def _said_history(self) -> dict[str, Any]:
        done, back = self.folder.history.done, self.folder.history.back
        return {
            "t": "history",
            "undo": done[-1].what if done else None,
            "redo": back[-1].what if back else None,
            "depth": len(done),
        }

    def _said_sections(self, some: Mapping[str, Held]) -> dict[str, Any]:
        return {"t": "sections", "sections": {name: held.tag for name, held in some.items()}}

    # ---- edits ---------------------------------------------------------------------------------

    def edit(self, asked: Add | Alter | Drop | Set) -> str:
        """Make an edit and say what was done. Raises as `JobFolder.edit`."""
        step = self.folder.edit(asked)
        self.changed()
        return step.what

    def undo(self) -> str | None:
        """Take the last step back. Raises as `JobFolder.undo`."""
        step = self.folder.undo()
        self.changed()
        return step.what if step else None

    def redo(self) -> str | None:
        """Do it again. Raises as `JobFolder.redo`."""
        step = self.folder.redo()
        self.changed()
        return step.what if step else None

    def put(self, texts: Mapping[str, str], what: str) -> None:
        """Put whole texts in place as one step. Raises as `JobFolder.put`."""
        self.folder.look()
        self.folder.put(texts, what)
        self.changed()

    def look(self) -> None:
        """A file was saved outside: take it in, and say so if it took back what was done here."""
        before, done = dict(self.folder.texts), list(self.folder.history.done)
        try:
            step = self.folder.look()
        except BadInput as wrong:
            self._set(faults=[fault(f) for f in wrong.faults])
            return
        if step is None:
            return
        self.changed()
        for change in step.changes:
            lost = overwritten(
                done, change.file, before[change.file], self.folder.texts[change.file]
            )
            if lost:
                self.tell({"t": "overwritten", **lost.__dict__})

    def drawn(self) -> None:
        """A drawing that job.toml may name was saved: work the job out again."""
        self.changed()

    # ---- working it out --------------------------------------------------------------------------

    @property
    def version(self) -> int:
        """The number of the state of the job that is being worked out, or was last."""
        return int(self.status["version"])

    def changed(self) -> None:
        """The texts changed: show them and work them out, at once unless that is under way."""
        wait = SETTLE if self.status["busy"] else 0.0
        self._begun()
        self.tell(self._said_history())
        if self._timer is not None:
            self._timer.cancel()
        self._timer = asyncio.get_running_loop().call_later(wait, self._now)

    def _begun(self) -> None:
        """What stands on the card is old from now on, and is said to be."""
        self._texts_changed()
        self._set(
            busy=True,
            what="what was written",
            share=0.0,
            version=self.version + 1,
            waiting=list(PARTS),
        )

    def asked(self) -> dict[str, Any]:
        """The job as a worker is told of it."""
        return {"texts": self.folder.plain(), "folder": self.folder.path}

    def _texts_changed(self) -> None:
        texts = self.folder.plain()
        self._hold("rows", dumps({"rows": written(texts[READINGS_FILE]), "kinds": kinds()}))
        self._hold("entries", _entries(texts[JOB_FILE]))

    def _now(self) -> None:
        self._timer = None
        self.worker.ask("job", partial(self._heard, self.version), **self.asked())

    def _heard(self, version: int, message: Message) -> None:
        """One message of the worker; what it says of an older state of the job is let go."""
        kind, *rest = message
        if version != self.version:
            return
        if kind == "doing":
            self._set(what=rest[0], share=rest[1])
        elif kind == "section":
            self._hold(*rest)
            self._set(waiting=[name for name in self.status["waiting"] if name != rest[0]])
        elif kind == "faults":
            self._set(busy=False, what="", share=1.0, faults=rest[0])
        else:
            self._drop(self.status["waiting"])
            self._set(busy=False, what="", share=1.0, faults=[], waiting=[])

    def _drop(self, names: list[str]) -> None:
        """Let go of the parts of the answer that there are none of any more."""
        gone = [name for name in names if self.sections.pop(name, None)]
        if gone:
            self.tell({"t": "gone", "sections": gone})

    def _hold(self, name: str, data: bytes) -> None:
        """Keep a part of the answer, and tell everyone if it is not what it was."""
        tag = hashlib.sha256(data).hexdigest()[:16]
        if name not in self.sections or self.sections[name].tag != tag:
            self.sections[name] = held = Held(data=data, tag=tag)
            self.tell(self._said_sections({name: held}))

    def _set(self, **status: Any) -> None:  # noqa: ANN401 - plain data
        self.status |= status
        self.tell(self._said())


@lru_cache(2)
def _entries(toml: str) -> bytes:
    """The entries of job.toml for the page; they stay while readings are edited."""
    return dumps({"entries": entries(toml)})
