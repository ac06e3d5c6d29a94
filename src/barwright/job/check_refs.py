"""Does the job hold together: does each name lead somewhere, does each bar have one shape?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from barwright.job.book import Book, unknown_name
from barwright.job.check_bars import bar_faults, stock_faults
from barwright.job.check_leaves import leaf_faults
from barwright.job.check_loads import fit_faults, load_faults, strength_faults
from barwright.job.check_plates import plate_faults
from barwright.job.errors import Fault
from barwright.job.schema import Job
from barwright.job.toml_lines import Entry


def reference_faults(
    job: Job,
    *,
    marks: frozenset[str],
    broken: frozenset[Entry] = frozenset(),
    lines: Mapping[Entry, int] | None = None,
) -> Iterator[Fault]:
    """Every name that leads nowhere, and every bar without one clear shape, one after another.

    Args:
        job: the tables that could be read.
        marks: the marks that readings.csv knows.
        broken: (table, name) of what could not be read, so that it is not missed twice.
        lines: where each entry of job.toml stands.
    """
    book = Book(job=job, marks=marks, broken=broken, lines=lines or {})
    for name, stock in job.stock.items():
        yield from stock_faults(book, name, stock)
    for name, bar in job.bar.items():
        yield from bar_faults(book, name, bar)
    for name, leaf in job.leaf.items():
        yield from leaf_faults(book, name, leaf)
    for name, plate in job.plate.items():
        yield from plate_faults(book, name, plate)
    for name, load in job.load.items():
        yield from load_faults(book, name, load)
    for name in job.fit:
        yield from fit_faults(book, name)
    yield from strength_faults(book)
    yield from _standing(book)
    yield from _twin(book)
    yield from _trims(book)


def _standing(book: Book) -> Iterator[Fault]:
    """The bars that are there already; a twin that is there goes by its own name."""
    if any(book.lost(t) for t in ("bar", "leaf")):
        return
    for name in dict.fromkeys(book.job.standing.bars):
        yield from unknown_name(
            book,
            ("standing", "bars"),
            name,
            known=book.bars_and_twins,
            what="a bar of job.toml",
            add=f"take {name} out",
        )


def _trims(book: Book) -> Iterator[Fault]:
    """The bars that are trimmed; plates have their names from fittings, which are not made yet."""
    if book.lost("bar"):
        return
    for i, trim in enumerate(book.job.trim):
        if trim.bar is not None:
            yield from unknown_name(
                book,
                ("trim", str(i + 1), "bar"),
                trim.bar,
                known=book.bars_and_twins,
                what="a bar of job.toml",
                add="take this trim out",
            )


def _twin(book: Book) -> Iterator[Fault]:
    entry: Entry = ("twin", "of")
    tables = ("leaf", "bar", "fitting", "plate")
    if any(book.lost(t) for t in tables):
        return
    holding = {t: book.names(t) for t in tables}
    known = frozenset().union(*holding.values())
    for name in dict.fromkeys(book.job.twin.of):
        yield from unknown_name(
            book,
            entry,
            name,
            known=known,
            what="a leaf, bar, fitting or plate of job.toml",
            add=f"take {name} out",
        )
        both = [t for t in tables if name in holding[t]]
        if len(both) > 1:
            yield book.fault(
                entry,
                read=f'"{name}"',
                expected=f"one thing of that name; there is a {' and a '.join(both)}",
                do=f"rename one of [{both[0]}.{name}] and [{both[1]}.{name}]",
            )
    for clash in _claimed(book):
        yield book.fault(
            ("bar", clash), read=clash, expected="a name no twin will take", do="rename this bar"
        )


def _claimed(book: Book) -> list[str]:
    """Bars with the name that the twin of another bar will take."""
    return [name for name in book.names("bar") if name in book.twins]
