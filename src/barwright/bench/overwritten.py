"""Did an editor save over what was just done on the page? Both versions are told apart by lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from barwright.bench.change import Step, undone


@dataclass(frozen=True, kw_only=True)
class Overwritten:
    """An editor's file that does not hold what the page wrote.

    Attributes:
        file: which.
        yours: lines the page had written that are gone.
        theirs: lines the page had changed that are back.
    """

    file: str
    yours: tuple[str, ...]
    theirs: tuple[str, ...]


def overwritten(done: Sequence[Step], file: str, before: str, now: str) -> Overwritten | None:
    """What an outside save took back of the page's own steps; None when nothing was lost.

    Args:
        done: the session's steps before the save, oldest first.
        file: the file saved.
        before: its text before the save, with all those steps made.
        now: its text after it.
    """
    base = before
    for step in reversed(done):
        mine = [c for c in step.changes if c.file == file]
        if step.by != "page":
            if mine:
                break
            continue
        for change in mine:
            base = undone(base, change)
    was, had, has = (text.splitlines() for text in (base, before, now))
    yours = tuple(line for line in had if line not in was and line not in has)
    theirs = tuple(line for line in was if line not in had and line in has)
    wiped = yours and (theirs or len(has) <= len(was))
    return Overwritten(file=file, yours=yours, theirs=theirs) if wiped else None
