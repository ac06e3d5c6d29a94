"""The job's folder as the page edits it: the same text files as an editor, with a way back."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from pathlib import Path

from barwright.bench.change import Step, between
from barwright.bench.edits import FILES, Add, Alter, Drop, Set, Texts, edited
from barwright.bench.history import History
from barwright.job.errors import BadInput, Fault
from barwright.job.save import ChangedMeanwhile, mark_of, read_exact, write_text


def plain(text: str) -> str:
    """A file's text without byte order mark, in composed characters."""
    return unicodedata.normalize("NFC", text.removeprefix("\ufeff"))


DRAWN_IN = ("bought", "templates")
"""The folders of a job that hold drawings."""

TRIES = 5
"""How often an edit is made anew on what somebody else has just saved."""


class JobFolder:
    """A job's files, what is known of them, and what was done to them.

    Attributes:
        path: the folder.
        texts: the two files as last seen or written; a missing file is empty.
        history: what was done since the page was opened.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.texts: dict[str, str] = {name: read_exact(path / name) for name in FILES}
        self.history = History()

    def look(self) -> Step | None:
        """Take in what an editor saved meanwhile; it counts as a step that can be taken back.

        Raises:
            BadInput: a file cannot be read.
        """
        now = {name: read_exact(self.path / name) for name in FILES}
        changed = [name for name in FILES if now[name] != self.texts[name]]
        if not changed:
            return None
        changes = tuple(between(name, self.texts[name], now[name]) for name in changed)
        step = Step(what=f"{' and '.join(changed)} saved outside", by="editor", changes=changes)
        self.texts = now
        self.history.push(step)
        return step

    def edit(self, asked: Add | Alter | Drop | Set) -> Step:
        """Make one edit.

        Raises:
            Conflict: the row or entry is not what the page saw; nothing was written.
            BadInput: what was typed is wrong, or the folder cannot be written.
            ChangedMeanwhile: somebody else keeps saving the file.
        """
        for left in reversed(range(TRIES)):
            self.look()
            done = edited(self.texts, asked)
            try:
                return self.put({done.file: done.text}, done.what)
            except ChangedMeanwhile:
                if not left:
                    raise
        raise AssertionError("unreachable")

    def put(self, new: Texts, what: str) -> Step:
        """Write new texts and note the step.

        Raises:
            ChangedMeanwhile: a file is no longer as last seen.
            BadInput: the folder cannot be written.
        """
        changes = tuple(
            between(name, self.texts[name], text)
            for name, text in new.items()
            if text != self.texts[name]
        )
        self._write(new)
        step = Step(what=what, by="page", changes=changes)
        if changes:
            self.history.push(step)
        return step

    def undo(self) -> Step | None:
        """Take the last step back; None when there is none.

        Raises:
            ChangedMeanwhile, BadInput: as `put`.
        """
        self.look()
        if not self.history.done:
            return None
        self._write(self.history.before(self.texts))
        self.history.stepped_back()
        return self.history.back[-1]

    def redo(self) -> Step | None:
        """Do again what was taken back last; None when there is nothing.

        Raises:
            ChangedMeanwhile, BadInput: as `put`.
        """
        self.look()
        if not self.history.back:
            return None
        self._write(self.history.again(self.texts))
        self.history.stepped_again()
        return self.history.done[-1]

    def drawings(self) -> tuple[Path, ...]:
        """The drawings in the folders that job.toml may name some from."""
        return tuple(p for name in DRAWN_IN for p in sorted((self.path / name).glob("*.dxf")))

    def add_drawings(self, drawn: Mapping[str, bytes]) -> None:
        """Put drawings beside the job's files; what is there already stays as it is.

        Raises:
            BadInput: the folder cannot be written.
        """
        try:
            for name, data in drawn.items():
                path = self.path / name
                path.parent.mkdir(exist_ok=True)
                if not path.exists():
                    path.write_bytes(data)
        except OSError as wrong:
            raise BadInput(
                Fault(
                    file=str(self.path),
                    entry="",
                    read=wrong.strerror or str(wrong),
                    expected="a folder that can be written, with room on the disk",
                    do="make room or check the permissions",
                )
            ) from None

    def plain(self) -> dict[str, str]:
        """The texts as a job is read from: no byte order mark, composed characters (NFC)."""
        return {name: plain(text) for name, text in self.texts.items()}

    def marks(self) -> dict[str, str]:
        """A fingerprint of each file, to tell whether it changed."""
        return {name: mark_of(text) for name, text in self.texts.items()}

    def _write(self, new: Mapping[str, str]) -> None:
        for name, text in new.items():
            if text != self.texts[name]:
                write_text(self.path / name, text, was=mark_of(self.texts[name]))
                self.texts[name] = text
