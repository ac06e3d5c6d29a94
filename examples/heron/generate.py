"""Invent the Heron: a hidden truth, and the readings a person with a tape would have taken.

Nothing here was measured on a real vehicle. The truth is a drawing-board frame whose right side
is a few millimetres out, as hand-made frames are; the readings are that truth with tape-like
noise, rounded to what a tape and an angle gauge show. Run it to write `readings.csv` and
`truth.csv` again; the same seed gives the same files.

    python examples/heron/generate.py
"""

from __future__ import annotations

import csv
import math
import random
from fractions import Fraction
from pathlib import Path

SEED = 1907
INCH = 25.4
HERE = Path(__file__).parent

Point = tuple[float, float, float]

# Left side as drawn [mm]: x forward of the main hoop's feet, y left of centre, z above the floor.
CORNERS: dict[str, Point] = {
    "A": (1560.0, 300.0, 300.0),  # sill, front end
    "B": (1150.0, 520.0, 280.0),  # sill, bend corner
    "D": (-760.0, 460.0, 330.0),  # sill, rear end
    "E": (1540.0, 290.0, 560.0),  # nose top
    "F": (880.0, 512.0, 800.0),  # pillar, bend corner at the dash
    "G": (450.0, 430.0, 1390.0),  # pillar top
    "J": (-110.0, 430.0, 1450.0),  # main hoop, bend corner
    "T": (-760.0, 380.0, 760.0),  # rear top
}

# Marks that lie on a bar: (from, to, share of the way). In this order: later ones use earlier.
ON_BARS: dict[str, tuple[str, str, float]] = {
    "P": ("B", "D", 0.150),  # pillar's foot on the sill
    "M": ("B", "D", 0.380),  # seat cross member on the sill
    "C": ("B", "D", 0.602),  # main hoop's foot on the sill
    "K": ("P", "F", 0.440),  # lower side bar on the pillar
    "Y": ("P", "F", 0.820),  # dash bar on the pillar
    "Q": ("C", "J", 0.190),  # lower side bar on the hoop
    "N": ("C", "J", 0.430),  # hoop, above the latch
    "W": ("C", "J", 0.610),  # harness bar on the hoop
    "S": ("C", "J", 0.850),  # roof rail and rear stay on the hoop
    "Z": ("E", "Y", 0.450),  # steering cross member on the nose rail
}

# Marks that stand off a bar [mm]: (bar from, to, height z) and how far from its centreline.
OFF_BARS: dict[str, tuple[str, str, float, float, float]] = {
    "H": ("P", "F", 690.0, -80.0, 14.0),  # hinge pin, rearward and outward of the pillar
    "L": ("C", "J", 690.0, 84.0, 10.0),  # end of the upper side bar, forward of the hoop
}

STATIONS = "A B P C D E G J T"
OFFSETS = "A B P C D E F G J T S H L Z"
HEIGHTS = "A B P C D E F G J T K Y Q N W S Z H L M"
TAPES = (
    "A-B B-P P-M M-C C-D A-E E-Z Z-Y Y-F P-K K-Y F-G C-Q Q-N N-W W-S S-J G-S S-T T-D C-T "
    "P-Q K-Q K-C Y-N F-W G-W G-N F-C P-N E-P A-P Z-F M-N M-K J-G J-T D-Q D-W "
    "H-Y H-K H-F H-P H-N L-N L-Q L-W L-K H-L H-Q L-Y"
)
CROSS = "A B P M C D E F G J T K Y Q W S Z H L"
DIAGONALS = "A-P P-C C-D G-S F-W E-Y T-C H-L Y-Q B-M"
INCLINES = "P-F F-G C-N K-Q S-T A-E E-Y"
OVERS = "C D G"
STRAIGHTS = ("P K Y F", "C Q N W S", "B P M C D", "E Z Y")


def truth(rng: random.Random) -> dict[str, Point]:
    """Both sides: the left as drawn, the right mirrored and a few millimetres out."""
    marks: dict[str, Point] = {}
    for side, sign in (("L", 1.0), ("R", -1.0)):
        for name, (x, y, z) in CORNERS.items():
            dx, dy, dz = (0.0, 0.0, 0.0) if side == "L" else (rng.gauss(0, 2.0) for _ in range(3))
            marks[name + side] = (x + dx, sign * (y + dy), z + dz)
        for name, (a, b, share) in ON_BARS.items():
            marks[name + side] = between(marks[a + side], marks[b + side], share)
        for name, (a, b, z, forward, outward) in OFF_BARS.items():
            start, end = marks[a + side], marks[b + side]
            x, y, _ = between(start, end, (z - start[2]) / (end[2] - start[2]))
            marks[name + side] = (x + forward, y + sign * outward, z)
    return marks


def between(a: Point, b: Point, share: float) -> Point:
    """The point a share of the way from a to b."""
    x, y, z = (p + share * (q - p) for p, q in zip(a, b, strict=True))
    return (x, y, z)


def shop_inches(mm: float, denominator: int = 16) -> str:
    """A length as read off a tape in inches, rounded to its finest line."""
    sixteenths = round(abs(mm) / INCH * denominator)
    whole, rest = divmod(sixteenths, denominator)
    part = f"{Fraction(rest, denominator)}" if rest else ""
    text = " ".join(t for t in (str(whole) if whole or not part else "", part) if t)
    return f"-{text}" if mm < 0 and sixteenths else text


class Book:
    """The fabricator's notebook: rows of readings, each with the noise of taking it."""

    def __init__(self, marks: dict[str, Point], rng: random.Random) -> None:
        self.marks, self.rng = marks, rng
        self.rows: list[tuple[str, str, str, str, str]] = []

    def length(self, kind: str, names: str, value: float, note: str = "") -> None:
        """A tape's reading: 0.65 mm of hand and eye, then sixteenths: together about 1/32 in."""
        read = shop_inches(value + self.rng.gauss(0, 0.65))
        self.rows.append((kind, names, read, "", note))

    def tape(self, a: str, b: str, note: str = "") -> None:
        """From mark to mark."""
        self.length("tape", f"{a} {b}", math.dist(self.marks[a], self.marks[b]), note)

    def incline(self, a: str, b: str) -> None:
        """An angle gauge laid along a bar: 0.2 degrees of hand and eye."""
        p, q = self.marks[a], self.marks[b]
        degrees = math.degrees(math.atan2(q[2] - p[2], math.dist(p[:2], q[:2])))
        self.rows.append(("incline", f"{a} {b}", f"{degrees + self.rng.gauss(0, 0.2):.1f}", "", ""))

    def seen(self, kind: str, names: str, note: str) -> None:
        """Something seen to be so, without a value."""
        self.rows.append((kind, names, "", "", note))


def one_side(book: Book, side: str) -> None:
    """What is measured on one side of the vehicle alone."""
    for axis, kind, names, note in (
        (0, "station", STATIONS, "plumb bob"),
        (1, "offset", OFFSETS, ""),
        (2, "height", HEIGHTS, ""),
    ):
        for name in names.split():
            book.length(kind, name + side, book.marks[name + side][axis], note)
    for run in TAPES.split():
        book.tape(*(name + side for name in run.split("-")))
    for run in INCLINES.split():
        book.incline(*(name + side for name in run.split("-")))


def across(book: Book) -> None:
    """What ties the two sides together."""
    for name in CROSS.split():
        book.tape(name + "L", name + "R")
    for run in DIAGONALS.split():
        a, b = run.split("-")
        book.tape(a + "L", b + "R", "diagonal")
        book.tape(a + "R", b + "L", "diagonal")
    for name in OVERS.split():
        left, right = name + "L", name + "R"
        reach = math.dist(book.marks[left], book.marks[right]) + 1.75 * INCH
        book.length("over", f"{left} {right}", reach, "outside of tube to outside of tube")


def seen_so(book: Book) -> None:
    """What a straightedge and a spirit level show."""
    for side in "LR":
        for run in STRAIGHTS:
            book.seen("line", " ".join(name + side for name in run.split()), "straightedge")
        book.seen("level", f"H{side} L{side}", "spirit level")


def main() -> None:
    """Write readings.csv and truth.csv beside this file."""
    rng = random.Random(SEED)
    marks = truth(rng)
    book = Book(marks, rng)
    for side in "LR":
        one_side(book, side)
    across(book)
    seen_so(book)
    with (HERE / "readings.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("kind", "marks", "value", "plus_minus", "note"))
        writer.writerows(book.rows)
    with (HERE / "truth.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("mark", "x", "y", "z"))
        writer.writerows((n, *(f"{v:.6f}" for v in p)) for n, p in sorted(marks.items()))


if __name__ == "__main__":
    main()
