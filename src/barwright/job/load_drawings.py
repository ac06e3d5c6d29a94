"""Fetching the drawings that job.toml names: from the job's own folder, each read once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from barwright.job.bought import read_dxf
from barwright.job.drawings import Drawing
from barwright.job.errors import BadInput, Fault
from barwright.job.files import read_bytes
from barwright.job.schema import Job
from barwright.job.toml_lines import Entry, line_of
from barwright.job.traced import read_template


def with_drawings(
    job: Job, folder: Path, lines: Mapping[Entry, int] | None = None
) -> tuple[Job, tuple[Fault, ...]]:
    """The job with every drawing it names, and the faults of those that cannot be read.

    Args:
        job: its `bought` and `plate` tables are read.
        folder: the job's.
        lines: where each entry of job.toml stands.
    """
    found: dict[str, Drawing] = {}
    faults: list[Fault] = []
    for entry, file, unit in _named(job):
        if file in found:
            continue
        try:
            found[file] = _read(folder, file, job.job.unit, unit)
        except BadInput as wrong:
            where, line = ".".join(entry), line_of(lines or {}, entry)
            faults += [replace(f, entry=where, file=_both(f.file, line)) for f in wrong.faults]
    return job.model_copy(update={"drawings": tuple(found.values())}), tuple(faults)


def _both(file: str, line: int | None) -> str:
    """The drawing's name, and where job.toml names it."""
    return file if line is None else f"{file} (job.toml, line {line})"


def _named(job: Job) -> Iterator[tuple[Entry, str, str | None]]:
    """Where a drawing is named, its file, and the unit said to be its own."""
    for name, table in job.bought.items():
        yield ("bought", name, "outline"), table.outline, table.unit
    for name, plate in job.plate.items():
        if plate.template is not None:
            yield ("plate", name, "template"), plate.template, None


def _read(folder: Path, file: str, unit: str, said: str | None) -> Drawing:
    """One drawing. Raises BadInput."""
    path = _inside(folder, file)
    kind = path.suffix.lower()
    if kind == ".dxf":
        return read_dxf(read_bytes(path), file, unit=unit, said=said)
    if kind == ".json":
        return read_template(read_bytes(path), file)
    raise BadInput(
        Fault(
            file=file,
            entry="",
            read=file,
            expected="a .dxf, or the .json of a traced template",
            do="export the outline as DXF",
        )
    )


def _inside(folder: Path, file: str) -> Path:
    """The path of a file of the job's folder. Raises BadInput for any other."""
    outside = BadInput(
        Fault(
            file="job.toml",
            entry="",
            read=file,
            expected="a file in the job's own folder, such as bought/latch.dxf",
            do="copy it there and name it from the folder on",
        )
    )
    try:
        home, path = folder.resolve(), (folder / file).resolve()
    except (OSError, ValueError, RuntimeError):
        raise outside from None
    if "\\" in file or not path.is_relative_to(home) or path == home:
        raise outside
    return path
