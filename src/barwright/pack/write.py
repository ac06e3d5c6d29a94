"""Build -> pack: one folder with everything needed to make the parts, written at once."""

from __future__ import annotations

import gc
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from barwright import __version__
from barwright.findings import Finding
from barwright.job.errors import BadInput, BarwrightError, Fault
from barwright.pack import contents
from barwright.pack.board import mocked_up
from barwright.pack.folder import MANIFEST, WE_WROTE, check_ours, checksum, put
from barwright.pack.hashing import job_hash
from barwright.pack.names import check_apart
from barwright.pack.twins import can_be_cut
from barwright.pack.version import bar_facts, part_facts

if TYPE_CHECKING:
    from barwright.plates.part import Parts
    from barwright.route import Build

ZIP = "pack.zip"
STAGES = ("board", "metal")

Progress = Callable[[str, float], None]
"""Told what is being made, and what share of the whole is done (0..1)."""


@dataclass(frozen=True, kw_only=True)
class Pack:
    """What was written.

    Attributes:
        folder: where.
        files: every file in it, posix paths inside the folder.
        job_hash: of the job it was made from.
        stage: "board" or "metal".
        findings: what packing itself found, e.g. that STEP files were left out.
    """

    folder: Path
    files: tuple[str, ...]
    job_hash: str
    stage: str
    findings: tuple[Finding, ...] = ()


def write(
    build: Build,
    out: Path,
    *,
    stage: str = "metal",
    progress: Progress | None = None,
    current: Callable[[], str] | None = None,
) -> Pack:
    """Write the pack into `out`, which becomes this pack and nothing else.

    The files are made in memory, written beside `out` and put in its place in one step: an
    interrupted run leaves what was there.

    Args:
        build: the route's result.
        out: the folder; missing, empty, or an older pack.
        stage: "board" for the mock-up, "metal" for the real thing.
        progress: told how far it is.
        current: what the job's hash is by now (`hashing.job_hash`), asked once the files are
            made, so that no pack of a job that has changed meanwhile is written.

    Raises:
        BadInput: an unknown stage, or two parts whose files would be one.
        BarwrightError: the folder is not ours to replace, or cannot be written; or the job has
            changed.
    """
    check_ours(out)
    pack = make(build, stage=stage, progress=progress)
    if current is not None and current() != pack.job_hash:
        raise BarwrightError(
            "the job changed while it was being packed: nothing was written. Pack it again"
        )
    put(out, pack.files)
    return Pack(
        folder=out,
        files=tuple(pack.files),
        job_hash=pack.job_hash,
        stage=stage,
        findings=pack.findings,
    )


@dataclass(frozen=True, kw_only=True)
class Made:
    """A pack in memory: file -> bytes, in the order they stand in the manifest."""

    files: dict[str, bytes]
    job_hash: str
    findings: tuple[Finding, ...]


def make(build: Build, *, stage: str = "metal", progress: Progress | None = None) -> Made:
    """The pack's files in memory, the same bytes for the same job.

    Raises:
        BadInput: an unknown stage, or two parts whose files would be one.
    """
    _check(build, stage)
    with _unswept():
        return _made(build, stage, progress or (lambda _what, _share: None))


@contextmanager
def _unswept() -> Iterator[None]:
    """With Python's search for rubbish in rings put off: it takes a fifth of a pack's time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _made(build: Build, stage: str, tell: Progress) -> Made:
    files: dict[str, bytes] = {}
    findings: list[Finding] = []
    digest = job_hash(build.job)
    if stage == "board":
        tell("board", 0.0)
        parts, said = mocked_up(build)
        build, findings = _with_parts(build, parts), list(said)
    steps = list(contents.steps(build, stage, digest))
    for i, step in enumerate(steps):
        tell(step.what, i / len(steps))
        more, found = step.make(tuple(findings))
        files |= more
        findings += found
    files = dict(sorted(files.items()))
    files[ZIP] = _zipped({**files, MANIFEST: _manifest(build, files, digest, stage, findings)})
    files[MANIFEST] = _manifest(build, files, digest, stage, findings)
    tell("done", 1.0)
    return Made(files=files, job_hash=digest, findings=tuple(findings))


def _with_parts(build: Build, parts: Parts) -> Build:
    """The build with other parts: the mock-up's flats in the metal's place."""
    return replace(build, parts=parts)


def _check(build: Build, stage: str) -> None:
    if stage not in STAGES:
        raise BadInput(
            Fault(
                file="--stage",
                entry="",
                read=stage,
                expected="board or metal",
                do="name one of the two",
            )
        )
    check_apart("bar", (bar.name for bar in build.bars.bars))
    check_apart("part", (part.name for part in build.parts.parts))
    crossed = [part.name for part in build.parts.parts if not can_be_cut(part)]
    if crossed:
        raise BadInput(*(_not_cut(name) for name in crossed))


def _not_cut(name: str) -> Fault:
    return Fault(
        file="job.toml",
        entry=f"part {name}",
        read="an outline that crosses itself, holds nothing, or has a hole across its edge",
        expected="one closed outline with its holes inside it",
        do="correct the corners, holes or folds of this plate",
    )


def _manifest(
    build: Build, files: dict[str, bytes], digest: str, stage: str, findings: list[Finding]
) -> bytes:
    said = {
        "kind": WE_WROTE,
        "job": build.job.job.name,
        "unit": build.job.job.unit,
        "job_sha256": digest,
        "stage": stage,
        "barwright": __version__,
        "left_out": [f.says for f in findings],
        "bars": {bar.name: bar_facts(bar) for bar in build.bars.bars},
        "parts": {
            part.name: part_facts(part, contents.dxf_name(part.name)) for part in build.parts.parts
        },
        "files": {
            name: {"bytes": len(data), "sha256": checksum(data)} for name, data in files.items()
        },
    }
    return (json.dumps(said, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def _zipped(files: dict[str, bytes]) -> bytes:
    """The files as a ZIP whose entries carry the format's own first day, not today."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
            entry.external_attr = 0o644 << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            archive.writestr(entry, data)
    return out.getvalue()
