"""On which line of job.toml stands what a later floor found wrong?"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from barwright.job.errors import BadInput, Fault
from barwright.job.toml_lines import line_of, lines_of

JOB_FILE = "job.toml"


@contextmanager
def told_lines(text: str) -> Iterator[None]:
    """Within it, faults of job.toml that come without their line get it.

    Fittings read their own tables, long after the file was read: they know the entry alone.

    Args:
        text: of job.toml, which is TOML already.

    Raises:
        BadInput: what was raised within, with lines.
    """
    try:
        yield
    except BadInput as wrong:
        raise BadInput(*(_told(f, text) for f in wrong.faults)) from None


def _told(fault: Fault, text: str) -> Fault:
    if fault.file != JOB_FILE or fault.line is not None or not fault.entry:
        return fault
    return replace(fault, line=line_of(lines_of(text), tuple(fault.entry.split("."))))
