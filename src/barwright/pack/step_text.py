"""What is changed in a STEP file's text after the kernel wrote it: no clock in it, and colours.

The kernel stamps the time and running numbers into the file, and writes colours in the order of
their addresses in memory. A pack must be the same bytes for the same job, so the one is replaced
and the other written here. ISO 10303-21 is the text, ISO 10303-46 the presentation entities.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable

from barwright import __version__
from barwright.pack.names import file_name

_NO_CLOCK = "1970-01-01T00:00:00"


def without_clock(data: bytes, title: str) -> bytes:
    """The file without time, host or running numbers: the same solids, the same bytes."""
    us = f"Barwright {__version__}"
    name = file_name(title).encode("ascii", "replace").decode().replace("'", "-")
    head = f"FILE_NAME('{name}','{_NO_CLOCK}',(''),(''),'{us}','{us}','');".encode()
    data = re.sub(rb"FILE_NAME\(.*?\);", lambda _: head, data, count=1, flags=re.DOTALL)
    data = re.sub(rb"'Open CASCADE STEP translator [^']*'", b"'solid'", data)
    return _renumbered(data)


def _renumbered(data: bytes) -> bytes:
    """Uses of a part numbered from 1, each on one line: where it folds hangs on the number."""
    count = itertools.count(1)

    def one(found: re.Match[bytes]) -> bytes:
        unfolded = re.sub(rb"\r?\n\s*", b"", found[2])
        return found[1] + str(next(count)).encode() + unfolded

    return re.sub(rb"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\(')\d+('.*?\);)", one, data, flags=re.DOTALL)


def coloured(data: bytes, colours: Iterable[str]) -> bytes:
    """The file with each solid, in its order in the file, in its colour "#rrggbb".

    Raises:
        ValueError: there are not as many solids as colours.
    """
    wanted = list(colours)
    solids = re.findall(rb"#(\d+) = MANIFOLD_SOLID_BREP\(", data)
    contexts = _contexts(data)
    if len(solids) != len(wanted):
        raise ValueError(f"{len(solids)} solids were written, {len(wanted)} were meant")
    first = 1 + max(int(n) for n in re.findall(rb"^#(\d+) = ", data, re.MULTILINE))
    lines = [
        _styled(first + 9 * i, int(solid), contexts[int(solid)], colour)
        for i, (solid, colour) in enumerate(zip(solids, wanted, strict=True))
    ]
    body, end, tail = data.rpartition(b"ENDSEC;")
    return body + "".join(lines).encode() + end + tail


def _contexts(data: bytes) -> dict[int, int]:
    """Solid -> the context (units, accuracy) it is given in."""
    shapes = re.findall(
        rb"ADVANCED_BREP_SHAPE_REPRESENTATION\('[^']*',\s*\(([^)]*)\),\s*#(\d+)\s*\)", data
    )
    return {
        int(item): int(context)
        for items, context in shapes
        for item in re.findall(rb"#(\d+)", items)
    }


def _styled(n: int, solid: int, context: int, colour: str) -> str:
    r, g, b = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    entities = (
        f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{n + 1}),#{context})",
        f"STYLED_ITEM('color',(#{n + 2}),#{solid})",
        f"PRESENTATION_STYLE_ASSIGNMENT((#{n + 3}))",
        f"SURFACE_STYLE_USAGE(.BOTH.,#{n + 4})",
        f"SURFACE_SIDE_STYLE('',(#{n + 5}))",
        f"SURFACE_STYLE_FILL_AREA(#{n + 6})",
        f"FILL_AREA_STYLE('',(#{n + 7}))",
        f"FILL_AREA_STYLE_COLOUR('',#{n + 8})",
        f"COLOUR_RGB('',{r:.6f},{g:.6f},{b:.6f})",
    )
    return "".join(f"#{n + i} = {entity};\n" for i, entity in enumerate(entities))
