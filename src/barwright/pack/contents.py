"""What is in a pack, like a table of contents: one line a kind of file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from barwright.findings import Finding, Level
from barwright.pack.aside import beside
from barwright.pack.bend_pages import bends_pdf
from barwright.pack.cutting_pages import cutting_files, sheet_sizes
from barwright.pack.dxf import dxf_bytes
from barwright.pack.glb import glb_bytes
from barwright.pack.guide_pages import guide_pdf
from barwright.pack.listing import findings_csv, plate_masses
from barwright.pack.names import file_name
from barwright.pack.nest import sizes_of
from barwright.pack.order_pages import order_pdf
from barwright.pack.outlines import flat_drawing
from barwright.pack.rotary import rotary_cuts
from barwright.pack.summary import summary_pdf
from barwright.pack.tables import cut_list, hardware_list, order_sheet, reach, stock_list
from barwright.pack.twins import for_cutting
from barwright.pack.wrap_pages import plates_pdf, wraps_pdf

if TYPE_CHECKING:
    from barwright.plates.part import Part
    from barwright.route import Build

Files = dict[str, bytes]
Found = tuple[Finding, ...]


NO_STEP = Finding(
    code="pack.step",
    level=Level.LOOK,
    subject="pack",
    says="no STEP files: the solid kernel is not installed; the rest is whole",
    remedy="in Barwright's folder: pip install '.[step]' (about 0.4 GB); then pack again",
)


@dataclass(frozen=True, kw_only=True)
class Step:
    """One kind of file: what it is, and what makes it, given what packing found before."""

    what: str
    make: Callable[[Found], tuple[Files, Found]]


def steps(build: Build, stage: str, digest: str) -> Iterator[Step]:
    """The pack's contents, in the order they are made; the summary knows of all the rest.

    The solids, which take half of the time, are begun first and made beside the rest.
    """
    solids = beside(partial(_solids, build, ()))
    yield Step(what="flat patterns", make=partial(_flats, build))
    yield Step(what="templates", make=partial(_templates, build, stage))
    yield Step(what="lists", make=partial(_lists, build))
    yield Step(what="cutting and nesting", make=partial(_cutting, build))
    yield Step(what="bend and order sheets", make=partial(_sheets, build))
    yield Step(what="model for viewing", make=partial(_model, build))
    yield Step(what="build guide", make=partial(_guide, build, stage))
    yield Step(what="solids", make=lambda _: solids())
    yield Step(what="summary", make=partial(_summary, build, stage, digest))


def dxf_name(part: str) -> str:
    """Where a part's flat pattern lies in the pack."""
    return f"flat/{file_name(part)}.dxf"


def _flats(build: Build, _: Found) -> tuple[Files, Found]:
    drawn = {p.name: flat_drawing(for_cutting(p)) for p in build.parts.parts}
    return {dxf_name(name): dxf_bytes(drawing) for name, drawing in drawn.items()}, ()


def _templates(build: Build, stage: str, _: Found) -> tuple[Files, Found]:
    unit, job = build.job.job.unit, build.job.job.name
    made = {
        "templates/tube-ends.pdf": wraps_pdf(build.bars.to_make, unit, job, build.bars),
        "templates/plates.pdf": plates_pdf(build.parts.parts, unit, job, stage=stage),
    }
    return {name: data for name, data in made.items() if data}, ()


def _lists(build: Build, _: Found) -> tuple[Files, Found]:
    files = {p.name: dxf_name(p.name) for p in build.parts.parts}
    made = {
        "lists/cut-list.csv": cut_list(build) if build.bars.to_make else None,
        "lists/stock.csv": stock_list(build),
        "lists/rotary-cuts.csv": rotary_cuts(build),
        "lists/order-sheet.csv": order_sheet(build, plate_masses(build), files) if files else None,
        "lists/hardware.csv": hardware_list(build),
    }
    return {name: data for name, data in made.items() if data}, ()


def _cutting(build: Build, _: Found) -> tuple[Files, Found]:
    files, too_large = cutting_files(build)
    return files, tuple(
        _too_large(build, part) for part in build.parts.parts if part.name in too_large
    )


def _too_large(build: Build, part: Part) -> Finding:
    long, wide = reach(part)
    sheet = sizes_of((part.material, part.thickness), sheet_sizes(build))[-1]
    return Finding(
        code="pack.nest",
        level=Level.LOOK,
        subject=f"part {part.name}",
        says=f"{long:.0f} × {wide:.0f} mm and the room to cut round it are more than the largest "
        f"sheet of {part.material}, {sheet[0]:.0f} × {sheet[1]:.0f} mm, so it is not laid out",
        measured=long,
        allowed=max(sheet),
        unit="mm",
        remedy="order it by its own drawing, or name a larger sheet: sizes in its [sheet]",
    )


def _sheets(build: Build, _: Found) -> tuple[Files, Found]:
    files = {p.name: dxf_name(p.name) for p in build.parts.parts}
    made = {
        "sheets/bending.pdf": bends_pdf(build),
        "sheets/order.pdf": order_pdf(build, plate_masses(build), files),
    }
    return {name: data for name, data in made.items() if data}, ()


def _solids(build: Build, _: Found) -> tuple[Files, Found]:
    """STEP files, where the extra that makes them is installed."""
    try:
        from barwright.pack.step import step_files
    except ModuleNotFoundError as missing:
        if missing.name is None or missing.name.partition(".")[0] != "OCP":
            raise
        return {}, (NO_STEP,)
    return step_files(build)


def _model(build: Build, _: Found) -> tuple[Files, Found]:
    some = build.bars.bars or build.parts.parts or build.parts.hardware
    return ({"view/whole.glb": glb_bytes(build)} if some else {}), ()


def _guide(build: Build, stage: str, _: Found) -> tuple[Files, Found]:
    return {"guide.pdf": guide_pdf(build, stage)}, ()


def _summary(build: Build, stage: str, digest: str, found: Found) -> tuple[Files, Found]:
    return {
        "summary.pdf": summary_pdf(build, digest, stage, found),
        "lists/findings.csv": findings_csv((*build.findings, *found)),
    }, ()
