"""`barwright bench`: open a job's page and say where it is."""

from __future__ import annotations

import sys
from pathlib import Path

from barwright.cli.output import Output
from barwright.job.load import JOB_FILE, READINGS_FILE, load

STOP = "Ctrl-C here stops it."
OPEN = (
    "Open to the workshop's network, unencrypted: use it on a network you trust. The code below "
    "lets one phone in; the page shows another."
)


def bench_job(job: Path, output: Output, *, port: int | None, lan: bool, browser: bool) -> int:
    """Serve the page until it is stopped."""
    from barwright.bench.serve import place, serve

    folder = _folder(job)
    where = place(port=port, lan=lan)
    if lan:
        from barwright.bench.phone import code_text

        phone = where.phone.address()
        sys.stderr.write(f"{OPEN}\n\n{code_text(phone)}\n{phone}\n\n")
    output.answer(
        lambda: {"address": where.address, "folder": str(folder)},
        lambda c: c.print(f"{where.address}\n{STOP}", soft_wrap=True, markup=False),
    )
    serve(folder, where, lambda: _shown(where.address) if browser else None)
    return 0


def _folder(job: Path) -> Path:
    """The job's folder. What is wrong inside its files the page shows itself.

    Raises:
        BadInput: there is no job.
    """
    names = (JOB_FILE, READINGS_FILE)
    folder = job.parent if job.name in names else job
    if not any((folder / name).is_file() for name in names):
        load(job)
    return folder.resolve()


def _shown(address: str) -> None:
    import webbrowser

    webbrowser.open(address)
