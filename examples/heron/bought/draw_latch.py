"""Draws latch.dxf: the Heron's latch, a shape of our own, in millimetres.

The striker's seat is at 0, 0; its mouth opens toward +y. Run it again after a change:

    python examples/heron/bought/draw_latch.py
"""

from pathlib import Path

from barwright.pack.drawing import CUT, ETCH, Circle, Line, Loop
from barwright.pack.dxf import dxf_bytes
from barwright.plates.outline import rounded

MOUTH = 6.0
"""Half the mouth's width, and the radius of its closed end."""
BODY = [(-19.0, 15.0), (-19.0, -20.0), (27.0, -20.0), (27.0, -9.0), (19.0, -9.0), (19.0, 15.0)]
HOLES = [(-14.0, 8.0), (14.0, 8.0), (-14.0, -13.0), (14.0, -13.0)]
"""6.6 mm, for M6."""


def latch() -> tuple[Circle | Line | Loop, ...]:
    """Everything on the drawing."""
    corners = rounded(BODY, 3.0).vertices
    mouth = ((MOUTH, 15.0, 0.0), (MOUTH, 0.0, -1.0), (-MOUTH, 0.0, 0.0), (-MOUTH, 15.0, 0.0))
    return (
        Loop(vertices=(*corners, *mouth), layer=CUT),
        *(Circle(centre=at, radius=3.3, layer=CUT) for at in HOLES),
        Line(start=(0.0, 15.0), end=(0.0, 0.0), layer=ETCH),
    )


if __name__ == "__main__":
    (Path(__file__).parent / "latch.dxf").write_bytes(dxf_bytes(latch()))
