"""Run every benchmark module and print one table: `./run bench [name …]`."""

from __future__ import annotations

import os
import platform
import sys
from importlib import import_module
from pathlib import Path

from rich.console import Console
from rich.table import Table

from benchmarks.timing import Row


def main(names: list[str]) -> None:
    """Every `bench_*.py` beside this file has `rows() -> list[Row]`."""
    found = sorted(p.stem for p in Path(__file__).parent.glob("bench_*.py"))
    wanted = [m for m in found if not names or m.removeprefix("bench_") in names]
    console = Console(width=None if sys.stdout.isatty() else 150)
    console.print(
        f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}"
    )
    table = Table("what", "against", "ours", "theirs", "times faster", "agreement")
    for module in wanted:
        for row in import_module(f"benchmarks.{module}").rows():
            table.add_row(*_cells(row))
    console.print(table)


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
