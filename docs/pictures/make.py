# ruff: noqa: INP001 - a script of the manual, not a package
"""Draw the manual's pictures from real packs of the two examples. Needs poppler's pdftoppm.

    python docs/pictures/make.py

Every picture comes out of the code as it stands: nothing is retouched.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

from barwright.job.load import load
from barwright.pack.paper import Book, Sheet
from barwright.pack.picture import picture
from barwright.pack.scene import mark_labels, shapes
from barwright.pack.write import write
from barwright.route import Build, build

HERE = Path(__file__).parent
EXAMPLES = HERE.parent.parent / "examples"

PAPER = Sheet(name="picture", width=200.0, height=125.0)

# name of the picture, file of the pack, page, dots per inch
PAGES = (
    ("summary", "summary.pdf", 1, 80),
    ("bending", "sheets/bending.pdf", 2, 80),
    ("order", "sheets/order.pdf", 1, 80),
    ("tube-end", "templates/tube-ends.pdf", 1, 60),
    ("cutting", "sheets/cutting.pdf", 1, 60),
)


def drawn(made: Build, name: str, share: float, *, named: bool = False) -> None:
    """The whole seen from outside, its leaves opened by a share of their way."""
    labels = mark_labels(made) if named else []
    box = (4.0, 4.0, PAPER.width - 4.0, PAPER.height - 4.0)
    book = Book(PAPER, name)
    book.page(picture(shapes(made, share), box, labels=labels))
    with tempfile.TemporaryDirectory() as folder:
        pdf = Path(folder) / "picture.pdf"
        pdf.write_bytes(book.close())
        png(pdf, name, 1, 110)


def png(pdf: Path, name: str, page: int, dots: int) -> None:
    """One page as a picture beside this script."""
    at = ["-f", str(page), "-l", str(page), "-r", str(dots), "-singlefile", "-png"]
    subprocess.run(["pdftoppm", *at, pdf, HERE / name], check=True)  # noqa: S603, S607


def main() -> None:
    """All of them."""
    heron, gate = (build(load(EXAMPLES / name)) for name in ("heron", "gate"))
    drawn(heron, "heron-open", 1.0)
    drawn(heron, "heron-marks", 0.0, named=True)
    drawn(gate, "gate-open", 0.6)
    with tempfile.TemporaryDirectory() as folder:
        pack = Path(folder) / "pack"
        write(heron, pack)
        for name, file, page, dots in PAGES:
            png(pack / file, name, page, dots)


if __name__ == "__main__":
    main()
