"""STEP files: the whole, and each folded part, with names and colours, in millimetres."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Gravity
from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from barwright.findings import Finding, Level
from barwright.geometry.vectors import point
from barwright.pack.brep_bought import bought_solids
from barwright.pack.brep_plate import plate_solid
from barwright.pack.brep_tube import Ends, Plane, tube_solid
from barwright.pack.names import file_name
from barwright.pack.scene import HARDWARE, PLATE, colour_of_bar
from barwright.pack.step_text import coloured, without_clock
from barwright.pack.twins import as_cut

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape

    from barwright.route import Build
    from barwright.tubes.bars import BuiltBar, End


@dataclass(frozen=True, kw_only=True, eq=False)
class Named:
    """A solid with its name and colour "#rrggbb"."""

    name: str
    colour: str
    solid: TopoDS_Shape


def step_files(build: Build) -> tuple[dict[str, bytes], tuple[Finding, ...]]:
    """The whole as one STEP file and each folded part as its own; what could not be made."""
    bars, no_bars = bar_solids(build)
    plates, no_plates = plate_solids(build)
    bought = hardware_solids(build)
    files: dict[str, bytes] = {}
    if bars or plates or bought:
        title = build.job.job.name or "whole"
        files["step/whole.step"] = step_bytes(title, [*bars, *plates, *bought])
    folds = {p.name for p in build.parts.parts if p.folds}
    files |= {
        f"step/{file_name(one.name)}.step": step_bytes(one.name, [one])
        for one in plates
        if one.name in folds
    }
    return files, (*no_bars, *no_plates)


def bar_solids(build: Build) -> tuple[list[Named], list[Finding]]:
    """Every bar's solid, and the bars whose solid could not be made."""
    made, missing = list[Named](), list[Finding]()
    for bar in build.bars.bars:
        try:
            gap = build.job.job.root_gap
            solid = tube_solid(bar, _receivers(build, bar), gap, _faces(build, bar))
        except (ValueError, RuntimeError) as error:
            missing.append(_not_made(f"bar.{bar.name}", error))
            continue
        made.append(Named(name=bar.name, colour=colour_of_bar(build, bar.name), solid=solid))
    return made, missing


def _receivers(build: Build, bar: BuiltBar) -> Ends:
    """What each end is coped against: bars, and the bushing on its leaf's axis."""
    first, last = (
        tuple(
            end.bushing
            if end.bushing is not None and name == end.bushing.name
            else build.bars.named(name)
            for name in end.against
        )
        for end in (bar.start, bar.finish)
    )
    return first, last


def _faces(build: Build, bar: BuiltBar) -> tuple[Plane | None, Plane | None]:
    """The plate's face each end lands on, by the three marks its table names."""
    cope = build.job.bar[bar.twin_of or bar.name].cope
    first, last = (
        _plane(build, names, end, twin=bool(bar.twin_of))
        for names, end in ((cope.from_face, bar.start), (cope.to_face, bar.finish))
    )
    return first, last


def _plane(build: Build, names: tuple[str, ...] | None, end: End, *, twin: bool) -> Plane | None:
    if names is None:
        return None
    side = np.array([1.0, -1.0 if twin else 1.0, 1.0])
    a, b, c = (np.array(build.marks.at(name)) * side for name in names)
    normal = np.cross(b - a, c - a)
    return point(a), point(normal * np.sign(normal @ np.array(end.along)))


def plate_solids(build: Build) -> tuple[list[Named], list[Finding]]:
    """Every part's folded solid, and the parts whose solid could not be made."""
    made, missing = list[Named](), list[Finding]()
    for part in build.parts.parts:
        try:
            made.append(Named(name=part.name, colour=PLATE, solid=plate_solid(as_cut(part))))
        except (ValueError, RuntimeError) as error:
            missing.append(_not_made(f"part {part.name}", error))
    return made, missing


def hardware_solids(build: Build) -> list[Named]:
    """Bought and turned things; one of several solids has them numbered."""
    made = list[Named]()
    for item in build.parts.hardware:
        found = list(bought_solids(item))
        names = (
            [item.name] if len(found) == 1 else [f"{item.name}-{i + 1}" for i in range(len(found))]
        )
        made += [
            Named(name=name, colour=HARDWARE, solid=solid)
            for name, solid in zip(names, found, strict=True)
        ]
    return made


def _not_made(subject: str, error: Exception) -> Finding:
    return Finding(
        code="pack.step",
        level=Level.LOOK,
        subject=subject,
        says=f"left out of the STEP files: {error}",
        remedy="its drawings and templates do not suffer; draw its solid by hand if it is needed",
    )


def step_bytes(title: str, shapes: list[Named]) -> bytes:
    """Solids as a STEP file (ISO 10303-214) in millimetres; one alone stands by itself."""
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    whole = tool.NewShape() if len(shapes) > 1 else None
    if whole is not None:
        _name(whole, title)
    for one in shapes:
        label = tool.AddShape(one.solid, False)
        _name(label, one.name)
        if whole is not None:
            _name(tool.AddComponent(whole, label, TopLoc_Location()), one.name)
    tool.UpdateAssemblies()
    data = without_clock(_written(document), title)
    return coloured(data, [one.colour for one in shapes])


def _name(label: object, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _written(document: TDocStd_Document) -> bytes:
    _quiet()
    STEPCAFControl_Controller.Init_s()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)
    writer = STEPCAFControl_Writer()
    writer.SetColorMode(False)
    writer.SetNameMode(True)
    if not writer.Transfer(document):
        raise ValueError("the kernel could not translate the solids to STEP")
    out = io.BytesIO()
    if writer.WriteStream(out) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise ValueError("the kernel could not write the STEP file")
    return out.getvalue()


def _quiet() -> None:
    """Standard output is for the user's answer: the kernel keeps its statistics to itself."""
    messenger = Message.DefaultMessenger_s()
    for printer in messenger.Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
