"""Do the names in the tables about fits and strength lead somewhere?"""

from __future__ import annotations

from collections.abc import Iterator

from barwright.job.book import Book, unknown_marks, unknown_name
from barwright.job.errors import Fault
from barwright.job.load_cases import LoadTable
from barwright.job.toml_lines import Entry


def load_faults(book: Book, name: str, load: LoadTable) -> Iterator[Fault]:
    """Whether a push acts on a bar or a mark that is there."""
    here: Entry = ("load", name)
    if load.on is not None and not book.lost("bar"):
        known, add = book.bars_and_twins, f"take {load.on} out"
        yield from unknown_name(
            book, (*here, "on"), load.on, known=known, what="a bar of job.toml", add=add
        )
    if load.at is not None:
        yield from unknown_marks(book, (*here, "at"), [load.at])


def fit_faults(book: Book, name: str) -> Iterator[Fault]:
    """Whether a hinge stack is that of a leaf that is there."""
    if not book.lost("leaf"):
        yield from unknown_name(
            book,
            ("fit", name),
            name,
            known=book.names("leaf"),
            what="a leaf of job.toml",
            add=f"add a table [leaf.{name}], or take this one out",
        )


def strength_faults(book: Book) -> Iterator[Fault]:
    """Whether the frame is held at marks that are there, and the doors named are leaves."""
    yield from unknown_marks(book, ("strength", "held"), book.job.strength.held)
    if book.lost("leaf"):
        return
    for name in book.job.strength.doors:
        yield from unknown_name(
            book,
            ("strength", "doors"),
            name,
            known=book.names("leaf"),
            what="a leaf of job.toml",
            add=f"take {name} out",
        )
