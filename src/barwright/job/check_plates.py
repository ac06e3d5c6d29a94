"""Do the names in a plate lead somewhere?"""

from __future__ import annotations

from collections.abc import Iterator

from barwright.job.book import TWIN, Book, unknown_marks, unknown_name
from barwright.job.errors import Fault
from barwright.job.plate_schema import PlateTable
from barwright.job.toml_lines import Entry


def plate_faults(book: Book, name: str, plate: PlateTable) -> Iterator[Fault]:
    """Every name in a [plate] that leads nowhere."""
    here: Entry = ("plate", name)
    if plate.sheet is not None and not book.lost("sheet"):
        known = book.names("sheet")
        add = f"add a table [sheet.{plate.sheet}] with its thickness"
        yield from unknown_name(
            book, (*here, "sheet"), plate.sheet, known=known, what="a sheet of job.toml", add=add
        )
    yield from unknown_marks(book, (*here, "marks"), plate.marks or ())
    if plate.at is not None:
        at = (plate.at.origin, plate.at.along, plate.at.toward)
        yield from unknown_marks(book, (*here, "at"), at)
    yield from _beside(book, here, plate)


def _beside(book: Book, here: Entry, plate: PlateTable) -> Iterator[Fault]:
    """The bars its edges follow, and the leaf it rides."""
    if not book.lost("bar"):
        known = book.bars_and_twins
        for bar in dict.fromkeys(plate.against):
            yield from unknown_name(
                book,
                (*here, "against"),
                bar,
                known=known,
                what="a bar of job.toml",
                add=f"take {bar} out",
            )
    if plate.rides and not book.lost("leaf"):
        leaves = book.names("leaf")
        known = leaves | {n + TWIN for n in leaves & set(book.job.twin.of)}
        yield from unknown_name(
            book,
            (*here, "rides"),
            plate.rides,
            known=known,
            what="a leaf of job.toml",
            add="take rides out",
        )
