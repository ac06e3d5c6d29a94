"""What changed in a file: where, what stood there, what stands there now. It can be taken back."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Change:
    """One run of characters put in another's place.

    Attributes:
        file: its name in the job's folder.
        at: where the run begins, in characters.
        old, new: what stood there and what stands there now.
        tail: how many characters follow the run: with `at` it tells whether the text still fits.
    """

    file: str
    at: int
    old: str
    new: str
    tail: int


@dataclass(frozen=True, kw_only=True)
class Step:
    """What one edit did, in one file or several.

    Attributes:
        what: in words, for the undo button.
        by: "page" or "editor".
        changes: one a file.
    """

    what: str
    by: str
    changes: tuple[Change, ...]


def between(file: str, before: str, after: str) -> Change:
    """The change that leads from one text to the other: what both have in common is left out.

    >>> between("a", "one two three", "one 2 three")
    Change(file='a', at=4, old='two', new='2', tail=6)
    """
    least = min(len(before), len(after))
    at = _alike(before, after, least)
    tail = _alike(before[at:][::-1], after[at:][::-1], least - at)
    end = len(before) - tail
    return Change(
        file=file, at=at, old=before[at:end], new=after[at : len(after) - tail], tail=tail
    )


def redone(text: str, change: Change) -> str:
    """The text with the change made.

    Raises:
        ValueError: the text is not the one that was changed.
    """
    return _swapped(text, change, change.old, change.new)


def undone(text: str, change: Change) -> str:
    """The text as it was before the change.

    >>> undone("one 2 three", between("a", "one two three", "one 2 three"))
    'one two three'

    Raises:
        ValueError: the text is not the one the change made.
    """
    return _swapped(text, change, change.new, change.old)


def _swapped(text: str, change: Change, out: str, into: str) -> str:
    end = change.at + len(out)
    if text[change.at : end] != out or len(text) != end + change.tail:
        raise ValueError(f"{change.file} is not the text that was changed")
    return text[: change.at] + into + text[end:]


def _alike(a: str, b: str, most: int) -> int:
    """How many characters two texts begin with in common, found by halving."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if a[low:middle] == b[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low
