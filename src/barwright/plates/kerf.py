"""The cutter's path: half the kerf outside the part, half inside its holes."""

from __future__ import annotations

from shapely.geometry import Polygon

from barwright.plates.outline import region
from barwright.plates.part import Part
from barwright.plates.shapes import largest


def path_of(part: Part, kerf: float) -> Polygon:
    """The part's flat outline and holes as the middle of the cut must run [mm].

    Outside corners are rounded by half the kerf, as the cut itself rounds nothing off the part.
    Most services do this themselves: give them the part as it is, and this only where asked.

    Args:
        part: its outline and holes are read.
        kerf: width of the cut [mm].

    Raises:
        ValueError: the kerf eats a hole up, or cuts the part in two.

    >>> from barwright.plates.outline import rectangle
    >>> plate = Part(name="p", thickness=2.0, material="", outline=rectangle(0, 0, 10, 10))
    >>> round(path_of(plate, 0.2).area, 3)
    104.031
    """
    return offset(region(part.outline, part.holes), kerf)


def offset(shape: Polygon, kerf: float) -> Polygon:
    """A shape grown by half the kerf, round at its corners.

    Raises:
        ValueError: a hole is narrower than the kerf.
    """
    grown = largest(shape.buffer(kerf / 2.0, quad_segs=64))
    if len(grown.interiors) != len(shape.interiors):
        raise ValueError(f"a hole is narrower than the kerf of {kerf:g} mm")
    return grown
