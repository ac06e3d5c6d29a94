# ruff: noqa: ARG001 - see app.py: run.py looks for --json and --debug itself.
"""The commands around the route: sheets for the shop, templates from photos, what changed."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from barwright.cli.app import AsJson, Debug, JobPath, app, output_of

__all__ = ["app"]


class Paper(StrEnum):
    """What a sheet is printed on."""

    A4 = "a4"
    LETTER = "letter"


OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="The folder to write into.")]
HERE = Path()


@app.command()
def sheet(  # noqa: PLR0917 - typer wants its options as arguments
    context: typer.Context,
    job: JobPath,
    out: OutFolder = HERE,
    paper: Annotated[Paper, typer.Option(help="What it is printed on.")] = Paper.A4,
    json: AsJson = False,
    debug: Debug = False,
) -> int:
    """A reading sheet to fill in at the vehicle, and the same as a CSV to type it into."""
    from barwright.cli.shop import sheet_job

    return sheet_job(job, out, paper.value, output_of(context))


@app.command()
def board(
    context: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="a4, a3, letter, or sheets taped: a4-3x2.")
    ] = "a4",
    out: OutFolder = HERE,
    json: AsJson = False,
    debug: Debug = False,
) -> int:
    """The printed board that a cardboard template is photographed on."""
    from barwright.cli.shop import print_board

    return print_board(name, out, output_of(context))


@app.command()
def trace(  # noqa: PLR0917 - typer wants its options as arguments
    context: typer.Context,
    photo: Annotated[Path, typer.Argument(metavar="PHOTO", help="A JPEG or PNG file.")],
    board_name: Annotated[str, typer.Option("--board", help="The board it lies on.")] = "a4",
    thickness: Annotated[str, typer.Option(help="Of the cardboard: 1.5 mm, 1/16 in.")] = "1.5 mm",
    tolerance: Annotated[str, typer.Option(help="Of the straights and arcs.")] = "0.25 mm",
    printed_bar: Annotated[
        str | None, typer.Option(help="The 100 mm bar as measured on the print.")
    ] = None,
    camera: Annotated[
        str | None, typer.Option(help="The camera's height above the board, if measured.")
    ] = None,
    line: Annotated[
        list[str] | None,
        typer.Option(help="A drawn line by two points in the photo: NAME:x1,y1:x2,y2 [px]."),
    ] = None,
    out: OutFolder = HERE,
    json: AsJson = False,
    debug: Debug = False,
) -> int:
    """A photo of a cardboard template as a true-size outline: DXF, SVG and JSON."""
    from barwright.cli.shop import Asked, trace_photo

    asked = Asked(
        board=board_name,
        thickness=thickness,
        tolerance=tolerance,
        printed_bar=printed_bar,
        camera=camera,
        lines=tuple(line or ()),
    )
    return trace_photo(photo, out, asked, output_of(context))


@app.command()
def compare(  # noqa: PLR0917 - typer wants its options as arguments
    context: typer.Context,
    old: Annotated[Path, typer.Argument(metavar="OLD", help="A pack or a job, before.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="A pack or a job, now.")],
    out: Annotated[
        Path | None, typer.Option(metavar="FILE.pdf", help="Both drawn over each other.")
    ] = None,
    json: AsJson = False,
    debug: Debug = False,
) -> int:
    """What changed between two versions, by how much, and what must be made again."""
    from barwright.cli.shop import compare_versions

    return compare_versions(old, new, out, output_of(context))
