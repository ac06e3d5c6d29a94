"""What is written down, in the form in which names are looked up; and the faults of names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from heapq import nsmallest

from barwright.job.errors import Fault
from barwright.job.names import nearest
from barwright.job.schema import Job
from barwright.job.schema_faults import written
from barwright.job.toml_lines import Entry, line_of

TABLES = ("stock", "bender", "bar", "leaf", "sheet", "plate", "fitting")
"""Those whose names are looked up."""

TWIN = "-twin"
"""What is added to the name of a thing for its mirrored twin."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Book:
    """What the checks look things up in."""

    job: Job
    marks: frozenset[str]
    broken: frozenset[Entry]
    lines: Mapping[Entry, int]

    def names(self, table: str) -> frozenset[str]:
        """The names in a table, those that could not be read included."""
        return self._names[table]

    @cached_property
    def _names(self) -> dict[str, frozenset[str]]:
        right = {t: set(getattr(self.job, t)) for t in TABLES}
        for table, *names in self.broken:
            right.get(table, set()).update(names)
        return {table: frozenset(names) for table, names in right.items()}

    @cached_property
    def twins(self) -> frozenset[str]:
        """The names of the mirrored bars that [twin] makes."""
        twinned = self.names("bar") & set(self.job.twin.of)
        leaves = [self.job.leaf[n] for n in self.job.twin.of if n in self.job.leaf]
        return frozenset(n + TWIN for n in twinned.union(*(leaf.bars for leaf in leaves)))

    @cached_property
    def bars_and_twins(self) -> frozenset[str]:
        """Every bar, and every twin that [twin] makes of one."""
        return self.names("bar") | self.twins

    @cached_property
    def leaf_of(self) -> dict[str, str]:
        """Bar -> the first leaf that claims it."""
        claims = [(bar, name) for name, leaf in self.job.leaf.items() for bar in leaf.bars]
        return dict(reversed(claims))

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
    book: Book, entry: Entry, name: str, *, known: frozenset[str], what: str, add: str
) -> Iterator[Fault]:
    """A fault where the name is not among the known ones."""
    if name not in known:
        near = nearest(name, known)
        yield book.fault(
            entry,
            read=f'"{name}"',
            expected=f"{what}: {_some(known)}",
            do=f"did you mean {near}?" if near else add,
        )


def _some(names: frozenset[str]) -> str:
    if not names:
        return "there is none yet"
    return ", ".join(nsmallest(12, names)) + (" …" if len(names) > 12 else "")


def unknown_marks(book: Book, entry: Entry, names: Iterable[str]) -> Iterator[Fault]:
    """A fault for each mark that no reading names."""
    for name in dict.fromkeys(names):
        add = f"add a reading that has {name} to readings.csv"
        yield from unknown_name(
            book, entry, name, known=book.marks, what="a mark of readings.csv", add=add
        )
