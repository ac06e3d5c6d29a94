# ruff: noqa: ARG001 - run.py looks for --json and --debug itself, so that wrong usage is
# answered in kind too; here they are declared for --help.
"""The commands. Each imports what it needs when it runs, so that --help answers at once."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from barwright.cli.output import Output

app = typer.Typer(
    name="barwright",
    help="From tape readings on a tube-framed vehicle to parts that fit the first time.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


class Stage(StrEnum):
    """What the parts are cut from."""

    BOARD = "board"
    METAL = "metal"


JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object for programs.")]
Debug = Annotated[bool, typer.Option("--debug", help="Show where a fault in Barwright happened.")]


def _version(wanted: bool) -> None:
    if wanted:
        from barwright import __version__

        typer.echo(f"barwright {__version__}")
        raise typer.Exit


@app.callback()
def whole(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """From tape readings on a tube-framed vehicle to parts that fit the first time."""


@app.command()
def solve(context: typer.Context, job: JobPath, json: AsJson = False, debug: Debug = False) -> int:
    """Where the marks are, how sure that is, and what to measure next."""
    from barwright.cli.commands import solve_job

    return solve_job(job, output_of(context))


@app.command()
def check(context: typer.Context, job: JobPath, json: AsJson = False, debug: Debug = False) -> int:
    """Check the whole job: tubes, swing and plates, with what to do about each finding."""
    from barwright.cli.commands import check_job

    return check_job(job, output_of(context))


@app.command()
def pack(  # noqa: PLR0917 - typer wants its options as arguments
    context: typer.Context,
    job: JobPath,
    out: Annotated[Path, typer.Option(metavar="DIR", help="The folder to write.")],
    stage: Annotated[
        Stage, typer.Option(help="board for the mock-up, metal for the real thing.")
    ] = Stage.METAL,
    json: AsJson = False,
    debug: Debug = False,
) -> int:
    """Write everything that is needed to make the parts."""
    from barwright.cli.commands import pack_job

    return pack_job(job, out, stage.value, output_of(context))


@app.command()
def bench(  # noqa: PLR0917 - typer wants its options as arguments
    context: typer.Context,
    job: JobPath,
    port: Annotated[
        int | None, typer.Option(min=0, max=65535, help="The port; else the first free one.")
    ] = None,
    lan: Annotated[
        bool, typer.Option("--lan", help="Open it to phones on the workshop's network too.")
    ] = False,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open it in the browser.")
    ] = True,
    json: AsJson = False,
    debug: Debug = False,
) -> int:
    """Open the job card in the browser: measure, check and make, beside the same text files."""
    from barwright.cli.bench_command import bench_job

    return bench_job(job, output_of(context), port=port, lan=lan, browser=browser)


@app.command()
def new(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The folder to make.")],
    json: AsJson = False,
    debug: Debug = False,
) -> int:
    """Start a job: a folder with a sheet of questions to fill in."""
    from barwright.cli.commands import new_job

    return new_job(folder, output_of(context))


@app.command()
def schema(context: typer.Context, json: AsJson = False, debug: Debug = False) -> int:
    """Print the JSON Schema of job.toml, for editors that check as you type."""
    from barwright.cli.commands import print_schema

    return print_schema(output_of(context))


def output_of(context: typer.Context) -> Output:
    """Where this run answers, which run.py hands along."""
    output: Output = context.find_root().obj
    return output
