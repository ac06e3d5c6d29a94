"""A job as made at one time, from its build or its pack: what comparing goes by."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from barwright.job.errors import BadInput, Fault
from barwright.pack.drawing import BEND, CUT, Circle, Drawing, Line, Loop, Primitive
from barwright.pack.folder import WE_WROTE, read_manifest
from barwright.pack.hashing import job_hash
from barwright.pack.outlines import flat_drawing, fold_words
from barwright.pack.twins import for_cutting
from barwright.plates.part import Part
from barwright.tubes.bars import BuiltBar

if TYPE_CHECKING:
    from barwright.route import Build

Facts = dict[str, Any]


@dataclass(frozen=True, kw_only=True, eq=False)
class Version:
    """What is compared.

    Attributes:
        name: of the job.
        job_hash: of the job.
        stage: "board" or "metal".
        unit: of the job, what it is told in.
        bars: bar -> its figures, see `bar_facts`.
        parts: part -> its figures, see `part_facts`.
        drawings: part -> its flat pattern, cuts and bends alone.
    """

    name: str
    job_hash: str
    stage: str
    unit: str = "mm"
    bars: Mapping[str, Facts]
    parts: Mapping[str, Facts]
    drawings: Mapping[str, Drawing]


def bar_facts(bar: BuiltBar) -> Facts:
    """A bar's figures as the manifest keeps them: mm and degrees."""
    return {
        "stock": bar.stock,
        "od": round(2.0 * bar.radius, 4),
        "wall": round(bar.wall, 4),
        "cut_length": round(bar.cut_length, 3),
        "straights": [round(s, 3) for s in bar.table.straights],
        "bends": [round(math.degrees(b), 4) for b in bar.table.bends],
        "turns": [round(math.degrees(t), 4) for t in bar.table.turns],
        "stands": bar.stands,
        "cope_from": [round(float(c), 2) for c in bar.start.cope[::10]],
        "cope_to": [round(float(c), 2) for c in bar.finish.cope[::10]],
    }


def part_facts(part: Part, file: str) -> Facts:
    """A part's figures as the manifest keeps them: mm."""
    return {
        "file": file,
        "thickness": round(part.thickness, 4),
        "material": part.material,
        "bends": [fold_words(fold) for fold in part.folds],
    }


def version_of(build: Build, stage: str = "metal") -> Version:
    """A build as a version."""
    return Version(
        name=build.job.job.name,
        job_hash=job_hash(build.job),
        stage=stage,
        unit=build.job.job.unit,
        bars={bar.name: bar_facts(bar) for bar in build.bars.bars},
        parts={part.name: part_facts(part, "") for part in build.parts.parts},
        drawings={p.name: _compared(flat_drawing(for_cutting(p))) for p in build.parts.parts},
    )


def version_at(folder: Path) -> Version:
    """A pack, or a job worked out anew, as a version.

    Raises:
        BadInput: the folder holds neither, or the job has faults.
    """
    from barwright.job.load import load
    from barwright.route import build

    if read_manifest(folder).get("kind") == WE_WROTE:
        return read_version(folder)
    return version_of(build(load(folder)))


def read_version(folder: Path) -> Version:
    """A pack as a version.

    Raises:
        BadInput: the folder holds no pack of ours, or one that cannot be read.
    """
    said = read_manifest(folder)
    if said.get("kind") != WE_WROTE:
        raise BadInput(
            Fault(
                file=str(folder),
                entry="",
                read="no manifest of a pack",
                expected="a folder that `barwright pack` wrote",
                do="name a pack's folder, or the job's",
            )
        )
    try:
        parts = dict(said["parts"])
        return Version(
            name=str(said["job"]),
            job_hash=str(said["job_sha256"]),
            stage=str(said["stage"]),
            unit="in" if said.get("unit") == "in" else "mm",
            bars=dict(said["bars"]),
            parts=parts,
            drawings={n: _read(_inside(folder, str(facts["file"]))) for n, facts in parts.items()},
        )
    except (KeyError, TypeError, ValueError, OSError) as error:
        raise BadInput(
            Fault(
                file=str(folder / "manifest.json"),
                entry="",
                read=str(error) or type(error).__name__,
                expected="a pack as it was written, of this version of Barwright",
                do="pack that job again",
            )
        ) from error


def _inside(folder: Path, name: str) -> Path:
    """A file the manifest names, if it lies in the folder."""
    path = (folder / name).resolve()
    if not path.is_relative_to(folder.resolve()):
        raise ValueError(f"{name} lies outside the pack")
    return path


def _read(path: Path) -> Drawing:
    """A flat pattern's cuts and bends, read back from its DXF."""
    import ezdxf

    text = path.read_text(encoding="utf-8")
    try:
        document = ezdxf.read(io.StringIO(text))
    except ezdxf.DXFError as error:
        raise ValueError(f"{path.name} is no DXF file: {error}") from error
    return tuple(it for e in document.modelspace() if (it := _primitive(e)) is not None)


def _primitive(entity: Any) -> Primitive | None:  # noqa: ANN401 - the library's entities have many types
    layer = entity.dxf.layer
    match entity.dxftype():
        case "CIRCLE" if layer == CUT:
            x, y, _ = entity.dxf.center
            return Circle(centre=(x, y), radius=entity.dxf.radius)
        case "LWPOLYLINE" if layer == CUT:
            rows = tuple((x, y, b) for x, y, b in entity.get_points("xyb"))
            return Loop(vertices=rows, closed=bool(entity.closed))
        case "LINE" if layer == BEND:
            (x0, y0, _), (x1, y1, _) = entity.dxf.start, entity.dxf.end
            return Line(start=(x0, y0), end=(x1, y1), layer=BEND)
        case _:
            return None


def _compared(drawing: Drawing) -> Drawing:
    return tuple(it for it in drawing if it.layer in {CUT, BEND} and not hasattr(it, "text"))
