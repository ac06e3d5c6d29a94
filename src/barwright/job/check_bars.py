"""Has each bar one clear shape, and do its names lead somewhere?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from barwright.job.book import Book, unknown_marks, unknown_name
from barwright.job.errors import Fault
from barwright.job.schema import Bar, Stock
from barwright.job.toml_lines import Entry


def stock_faults(book: Book, name: str, stock: Stock) -> Iterator[Fault]:
    """Whether a tube has room inside its wall."""
    if not stock.wall < stock.od / 2:
        yield book.fault(
            ("stock", name, "wall"),
            read=f"{stock.wall:g} mm",
            expected=f"less than half the outside diameter, {stock.od / 2:g} mm",
            do="correct od or wall; mind the unit",
        )


def bar_faults(book: Book, name: str, bar: Bar) -> Iterator[Fault]:
    """Everything about one bar that leads nowhere or says two things at once."""
    here: Entry = ("bar", name)
    if not book.lost("stock"):
        add = f"add a table [stock.{bar.stock}] with od and wall"
        known = book.names("stock")
        yield from unknown_name(
            book, (*here, "stock"), bar.stock, known=known, what="a stock of job.toml", add=add
        )
    yield from _one_shape(book, here, bar)
    yield from _path(book, here, bar) if bar.path is not None else _bent(book, here, bar)
    for field in ("from", "to"):
        yield from _cope(book, (*here, "cope", field), name, getattr(bar.cope, _attribute(field)))


def _attribute(field: str) -> str:
    return "from_" if field == "from" else field


def _one_shape(book: Book, here: Entry, bar: Bar) -> Iterator[Fault]:
    given = [f for f in ("path", "prebent", "table") if getattr(bar, f) is not None]
    if len(given) != 1:
        yield book.fault(
            here,
            read=" and ".join(given) or "no path, prebent or table",
            expected="one of them: path, or prebent or table with from and to",
            do='give the marks it runs through, such as path = ["A", "B"]',
        )


def _path(book: Book, here: Entry, bar: Bar) -> Iterator[Fault]:
    path, entry = bar.path or (), (*here, "path")
    if len(path) < 2:
        yield book.fault(
            entry, read=list(path), expected="two marks or more", do="name both ends of the bar"
        )
    if any(a == b for a, b in pairwise(path)):
        yield book.fault(
            entry, read=list(path), expected="each mark once in a row", do="correct one of them"
        )
    yield from unknown_marks(book, entry, path)
    if len(path) > 2:
        yield from _radius(book, here, bar)
    for field in ("from", "to"):
        if not (bar.prebent or bar.table) and getattr(bar, _attribute(field)) is not None:
            yield book.fault(
                (*here, field),
                read=f'"{getattr(bar, _attribute(field))}"',
                expected="nothing: a bar by path ends on the ends of its path",
                do=f"take {field} out",
            )


def _bent(book: Book, here: Entry, bar: Bar) -> Iterator[Fault]:
    if not (bar.prebent or bar.table):
        return
    for field in ("from", "to"):
        mark = getattr(bar, _attribute(field))
        if mark is None:
            yield book.fault(
                here,
                read=f"no {field}",
                expected="from and to: the marks its two ends lie on",
                do=f'add {field} = "…"',
            )
        else:
            yield from unknown_marks(book, (*here, field), [mark])
    if bar.from_ is not None and bar.from_ == bar.to:
        yield book.fault(
            (*here, "to"), read=f'"{bar.to}"', expected="a mark other than from", do="correct to"
        )
    yield from _bend_counts(book, here, bar)
    if isinstance(bar.spin, str) and bar.spin != "level":
        yield from unknown_marks(book, (*here, "spin"), [bar.spin])


def _bend_counts(book: Book, here: Entry, bar: Bar) -> Iterator[Fault]:
    """So many bends lie between one more straight, with one less turn between them."""
    shape = bar.prebent or bar.table
    if shape is None:
        return
    bends = len(shape.bends)
    if bends:
        yield from _radius(book, here, bar)
    for field, wanted in (("straights", bends + 1), ("turns", max(bends - 1, 0))):
        have = len(getattr(shape, field))
        if have != wanted:
            yield book.fault(
                (*here, "prebent" if bar.prebent else "table", field),
                read=f"{_count(have, field)} with {_count(bends, 'bends')}",
                expected=f"{_count(wanted, field)}: one more straight, one less turn than bends",
                do=f"give {_count(wanted, field)}, or correct bends",
            )


def _count(number: int, things: str) -> str:
    return f"{number} {things.removesuffix('s') if number == 1 else things}"


def _radius(book: Book, here: Entry, bar: Bar) -> Iterator[Fault]:
    if bar.clr is None and bar.stock not in book.names("bender") and not book.lost("bender"):
        yield book.fault(
            here,
            read=f"no clr, and no [bender.{bar.stock}]",
            expected="the centreline radius of its bends",
            do=f"add [bender.{bar.stock}] with clr, or clr to this bar",
        )


def _cope(book: Book, entry: Entry, own: str, names: tuple[str, ...] | None) -> Iterator[Fault]:
    if book.lost("bar"):
        return
    known = book.bars_and_twins - {own}
    for name in names or ():
        yield from unknown_name(
            book, entry, name, known=known, what="another bar of job.toml", add=f"take {name} out"
        )
