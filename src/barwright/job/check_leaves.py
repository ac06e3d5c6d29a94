"""Does each leaf have bars of its own, an axis and an opening?"""

from __future__ import annotations

from collections.abc import Iterator

from barwright.job.book import Book, unknown_marks, unknown_name
from barwright.job.errors import Fault
from barwright.job.schema import Axis, Leaf
from barwright.job.toml_lines import Entry


def leaf_faults(book: Book, name: str, leaf: Leaf) -> Iterator[Fault]:
    """Everything about one leaf that leads nowhere or does not move."""
    here: Entry = ("leaf", name)
    if not book.lost("bar"):
        for bar in dict.fromkeys(leaf.bars):
            add = f"add a table [bar.{bar}]"
            known = book.names("bar")
            yield from unknown_name(
                book, (*here, "bars"), bar, known=known, what="a bar of job.toml", add=add
            )
            yield from _shared(book, name, bar)
    if not leaf.bars:
        yield book.fault(
            (*here, "bars"),
            read="no bar",
            expected="at least one bar",
            do="name the bars that swing",
        )
    if leaf.opens == 0.0:
        yield book.fault(
            (*here, "opens"),
            read="0",
            expected="an angle other than 0",
            do="say how far it opens in degrees; negative turns it the other way",
        )
    yield from _axis(book, (*here, "axis"), leaf.axis)
    yield from _room(book, here, leaf)


def _room(book: Book, here: Entry, leaf: Leaf) -> Iterator[Fault]:
    """The marks of its opening and its cable."""
    if leaf.opening is not None:
        corners = leaf.opening.corners
        yield from unknown_marks(book, (*here, "opening", "corners"), corners)
        if len(set(corners)) < len(corners):
            yield book.fault(
                (*here, "opening", "corners"),
                read=list(corners),
                expected="each mark once, in order round the opening",
                do="take out the one that comes twice",
            )
    if leaf.cable is not None:
        for field in ("fixed", "riding"):
            place = getattr(leaf.cable, field)
            if isinstance(place, str):
                yield from unknown_marks(book, (*here, "cable", field), [place])


def _shared(book: Book, name: str, bar: str) -> Iterator[Fault]:
    """A bar swings with one leaf: the second that claims it is reported."""
    first = book.leaf_of[bar]
    if first != name:
        yield book.fault(
            ("leaf", name, "bars"),
            read=f'"{bar}"',
            expected=f"a bar of this leaf alone; it swings with {first} already",
            do="take it out of one of the two",
        )


def _axis(book: Book, entry: Entry, axis: Axis | tuple[str, str]) -> Iterator[Fault]:
    if isinstance(axis, Axis) and (axis.along is None) == (axis.toward is None):
        yield book.fault(
            entry,
            read="both along and toward" if axis.along else "neither along nor toward",
            expected="a mark it goes through, and either along or toward",
            do='write axis = { through = "A", along = "up" }, or two marks: axis = ["A", "B"]',
        )
    ends = (axis.through, axis.toward) if isinstance(axis, Axis) else axis
    yield from unknown_marks(book, entry, [m for m in ends if m is not None])
    if ends[0] == ends[1]:
        yield book.fault(
            entry, read=list(ends), expected="two marks that differ", do="correct one of them"
        )
