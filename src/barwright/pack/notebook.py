"""What a notebook shows of a build: the whole, as a picture."""

from __future__ import annotations

from dataclasses import dataclass

from barwright.pack.picture import picture
from barwright.pack.scene import mark_labels, shapes
from barwright.pack.svg import svg_text
from barwright.route import Build

SIZE = (200.0, 125.0)
"""Of the picture [mm]."""


@dataclass(frozen=True, kw_only=True)
class Shown:
    """A picture that a notebook shows by itself; `svg` for anything else.

    Attributes:
        svg: an SVG document.
    """

    svg: str

    def _repr_svg_(self) -> str:
        return self.svg


def show(build: Build, *, opened: float = 0.0, names: bool = False) -> Shown:
    """The whole build seen from outside.

    Args:
        build: as far as it has come.
        opened: how far its leaves stand open, 0 for closed to 1 for all the way.
        names: whether the marks are named.
    """
    labels = mark_labels(build) if names else []
    drawn = picture(shapes(build, opened), (0.0, 0.0, *SIZE), labels=labels)
    return Shown(svg=svg_text(drawn))
