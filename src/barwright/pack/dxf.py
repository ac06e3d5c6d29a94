"""DXF files a cutting service opens without a question: R2010, millimetres, three layers."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from barwright.pack.drawing import BEND, CUT, ETCH, Arc, Circle, Line, Loop, Primitive, Text, draw

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts import Modelspace

LAYERS = {CUT: 7, ETCH: 5, BEND: 1}
"""Layer -> AutoCAD colour index: black, blue, red."""

_ALIGN = {"left": "LEFT", "middle": "CENTER", "right": "RIGHT"}


class DxfPen:
    """A pen that writes into a modelspace."""

    def __init__(self, space: Modelspace) -> None:
        self.space = space

    def line(self, it: Line) -> None:
        """LINE."""
        self.space.add_line(it.start, it.end, {"layer": it.layer})

    def arc(self, it: Arc) -> None:
        """ARC; it always runs anticlockwise in a DXF."""
        low, high = sorted((it.start, it.start + it.sweep))
        self.space.add_arc(
            it.centre,
            it.radius,
            math.degrees(low),
            math.degrees(high),
            dxfattribs={"layer": it.layer},
        )

    def circle(self, it: Circle) -> None:
        """CIRCLE."""
        self.space.add_circle(it.centre, it.radius, {"layer": it.layer})

    def loop(self, it: Loop) -> None:
        """LWPOLYLINE with bulges."""
        self.space.add_lwpolyline(
            it.vertices, format="xyb", close=it.closed, dxfattribs={"layer": it.layer}
        )

    def text(self, it: Text) -> None:
        """TEXT."""
        from ezdxf.enums import TextEntityAlignment

        letters = self.space.add_text(
            it.text,
            height=it.height,
            rotation=math.degrees(it.angle),
            dxfattribs={"layer": it.layer},
        )
        letters.set_placement(it.at, align=TextEntityAlignment[_ALIGN[it.anchor]])


def dxf_bytes(primitives: Iterable[Primitive]) -> bytes:
    """A drawing as a DXF R2010 file in millimetres, the same bytes for the same drawing.

    Raises:
        ValueError: the drawing does not pass ezdxf's audit; the message says why.
    """
    import ezdxf

    with _no_clock():
        document = ezdxf.new("R2010", units=ezdxf.units.MM)
        document.header["$MEASUREMENT"] = 1
        for name, colour in LAYERS.items():
            document.layers.add(name, color=colour)
        draw(primitives, DxfPen(document.modelspace()))
        _set_extents(document)
        audit = document.audit()
        if audit.has_errors or audit.has_fixes:
            faults = [e.message for e in [*audit.errors, *audit.fixes]]
            raise ValueError("the drawing fails the audit: " + "; ".join(faults))
        _in_order(document)
        out = io.StringIO(newline="\r\n")
        document.write(out)
    return out.getvalue().encode("utf-8")


def _in_order(document: Document) -> None:
    """Register the classes in use by name: the library takes them from a set, in any order."""
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)


def _set_extents(document: Document) -> None:
    """What a viewer shows first: all of it."""
    from ezdxf import bbox

    box = bbox.extents(document.modelspace(), fast=True)
    if box.has_data:
        document.header["$EXTMIN"], document.header["$EXTMAX"] = box.extmin, box.extmax


@contextmanager
def _no_clock() -> Iterator[None]:
    """The library stamps time and random identifiers into a file unless told not to."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
