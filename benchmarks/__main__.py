"""Run every benchmark module and print one table: `./run bench [name …] [--growth] [--docs]`.

`--growth` also tells how each task grows with its size. `--docs` does all of it and writes
docs/methods/speed.md and its plot, with the machine and the versions: run it on a quiet machine.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the commands themselves have it

import platform
import sys
from importlib import import_module
from importlib.metadata import version
from pathlib import Path

from rich.console import Console
from rich.table import Table

from benchmarks.timing import Row

PAGE = Path(__file__).parents[1] / "docs" / "methods" / "speed.md"
VERSIONS = ("numpy", "scipy", "shapely", "manifold3d", "cadquery-ocp-novtk")


def main(said: list[str]) -> None:
    """Every `bench_*.py` beside this file has `rows() -> list[Row]`."""
    names = [s for s in said if not s.startswith("--")]
    docs = "--docs" in said
    found = sorted(p.stem for p in Path(__file__).parent.glob("bench_*.py"))
    wanted = [m for m in found if not names or m.removeprefix("bench_") in names]
    console = Console(width=None if sys.stdout.isatty() else 150)
    console.print(machine())
    rows: list[Row] = []
    for module in wanted:
        rows += import_module(f"benchmarks.{module}").rows()
    console.print(_table(rows))
    if docs or "--growth" in said:
        from benchmarks import growth

        grown = growth.growths()
        console.print(growth.table(grown), soft_wrap=True)
        if docs:
            from benchmarks.page import table as waits

            growth.plot(grown)
            PAGE.write_text(page(rows, growth.table(grown), waits()), encoding="utf-8")


def machine() -> str:
    """What it ran on."""
    kept = Path("/proc/cpuinfo")
    lines = kept.read_text().splitlines() if kept.exists() else []
    model = next((x.partition(":")[2].strip() for x in lines if x.startswith("model name")), "")
    told = ", ".join(f"{name} {version(name)}" for name in VERSIONS)
    return (
        f"{model or platform.machine()}, {os.cpu_count()} cores; Python "
        f"{platform.python_version()}, {told}; one linear-algebra thread"
    )


def page(rows: list[Row], grown: str, waits: str) -> str:
    """The manual's page."""
    head = (
        "| what | against | ours | theirs | times faster | agreement |\n|---|---|---|---|---|---|"
    )
    body = "\n".join(f"| {' | '.join(_cells(row))} |" for row in rows)
    return f"""# Speed

Each row is timed in turn with a general-purpose library that does the same work, in the same run:
take the ratios as solid and the times as this machine's. `./run bench --docs` wrote this page.
Where a time is wished for or allowed there is no library: the ratio says how far it is reached.

{machine()}

{head}
{body}

## On the page

What a person waits for with the Heron on the bench, in a browser on the same machine, which has no
graphics card: the same processors draw the picture and put the page together.

{waits}

## Growth

The same task at 10 to 1,000 marks, bars, members or parts, in processor time; the exponent is the
slope in the plot (1: in step with the size; 2: with its square). A dash was not waited for.

{grown}

![Growth with size](../pictures/growth.svg)
"""


def _table(rows: list[Row]) -> Table:
    table = Table("what", "against", "ours", "theirs", "times faster", "agreement")
    for row in rows:
        table.add_row(*_cells(row))
    return table


def _cells(row: Row) -> tuple[str, ...]:
    return (
        row.what,
        row.library,
        f"{row.ours * 1e3:.3g} ms",
        f"{row.theirs * 1e3:.3g} ms",
        f"{row.ratio:.3g}",
        row.agree,
    )


if __name__ == "__main__":
    main(sys.argv[1:])
