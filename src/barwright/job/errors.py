"""The one tree of errors for bad input: which file, which entry, what was read, what to do."""

from __future__ import annotations

from dataclasses import dataclass

MOST_FAULTS = 100
"""So many faults are described; a file with more is wrong as a whole."""


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One thing wrong in what was given.

    Attributes:
        file: the file as the user named it, e.g. "job.toml".
        entry: the table and field, or the column: "bar.upper.stock".
        line: line in the file, counted from 1; None where there is none.
        read: what stood there.
        expected: what belongs there.
        do: what to do about it.
    """

    file: str
    entry: str
    line: int | None = None
    read: str = ""
    expected: str = ""
    do: str = ""

    def __str__(self) -> str:
        where = f"{self.file}, line {self.line}" if self.line else self.file
        lines = [": ".join(p for p in (where, self.entry) if p)]
        said = (("read", self.read), ("expected", self.expected), ("do", self.do))
        lines += [f"    {label:<9} {text}" for label, text in said if text]
        return "\n".join(lines)


def said(message: str) -> tuple[str, str]:
    """What was expected, and what to do, from the message of a ValueError of the readers.

    >>> said("an angle in degrees was expected, such as 22.5; write degrees, not radians")
    ('an angle in degrees, such as 22.5', 'write degrees, not radians')
    >>> said("write a decimal point, not a comma: 23.5")
    ('a number with a decimal point', 'write a decimal point, not a comma: 23.5')
    """
    if message.startswith("write "):
        return "a number with a decimal point", message
    expected, _, do = message.partition("; ")
    return expected.replace(" was expected", "").replace(" were expected", ""), do


class BarwrightError(Exception):
    """Anything Barwright refuses with a message for people; the command ends with code 2."""


class BadInput(BarwrightError):  # noqa: N818 - it is what the user is told, not a class of bug
    """What was given cannot be used; every fault found is listed."""

    def __init__(self, *faults: Fault) -> None:
        super().__init__("\n".join(str(f) for f in faults))
        self.faults = faults
