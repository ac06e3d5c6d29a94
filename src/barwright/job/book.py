"""What is written down, in the form in which names are looked up; and the faults of names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from barwright.job.errors import Fault
from barwright.job.names import nearest
from barwright.job.schema import Job
from barwright.job.schema_faults import written
from barwright.job.toml_lines import Entry, line_of

TWIN = "-twin"
"""What is added to the name of a thing for its mirrored twin."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Book:
    """What the checks look things up in."""

    job: Job
    marks: frozenset[str]
    broken: frozenset[Entry]
    lines: Mapping[Entry, int]

    def names(self, table: str) -> tuple[str, ...]:
        """The names in a table, those that could not be read included."""
        return (*getattr(self.job, table), *(e[1] for e in self.broken if e[0] == table and e[1:]))

    def lost(self, table: str) -> bool:
        """Whether the whole table could not be read, so that nothing can be said of it."""
        return (table,) in self.broken

    def fault(self, entry: Entry, *, read: object, expected: str, do: str) -> Fault:
        """A fault of job.toml, with the line its entry stands on."""
        return Fault(
            file="job.toml",
            entry=".".join(entry),
            line=line_of(self.lines, entry),
            read=read if isinstance(read, str) else written(read),
            expected=expected,
            do=do,
        )


def unknown_name(
    book: Book, entry: Entry, name: str, *, known: Iterable[str], what: str, add: str
) -> Iterator[Fault]:
    """A fault where the name is not among the known ones."""
    known = tuple(known)
    if name not in known:
        near = nearest(name, known)
        yield book.fault(
            entry,
            read=f'"{name}"',
            expected=f"{what}: {_some(known)}",
            do=f"did you mean {near}?" if near else add,
        )


def _some(names: tuple[str, ...]) -> str:
    if not names:
        return "there is none yet"
    return ", ".join(sorted(names)[:12]) + (" …" if len(names) > 12 else "")


def unknown_marks(book: Book, entry: Entry, names: Iterable[str]) -> Iterator[Fault]:
    """A fault for each mark that no reading names."""
    for name in dict.fromkeys(names):
        add = f"add a reading that has {name} to readings.csv"
        yield from unknown_name(
            book, entry, name, known=book.marks, what="a mark of readings.csv", add=add
        )


def bars_and_twins(book: Book) -> set[str]:
    """Every bar, and every twin that [twin] makes of one."""
    return {*book.names("bar"), *twins_of_bars(book)}


def twins_of_bars(book: Book) -> set[str]:
    """The names of the mirrored bars that [twin] makes."""
    twinned = set(book.job.twin.of) & set(book.job.bar)
    for leaf in set(book.job.twin.of) & set(book.job.leaf):
        twinned |= set(book.job.leaf[leaf].bars)
    return {name + TWIN for name in twinned}
