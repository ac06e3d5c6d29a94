"""What a photographed template is: its outline in true size, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

Spot: TypeAlias = tuple[float, float]
"""A point in the board's plane [mm], or in a photo [px]."""

Corner: TypeAlias = tuple[float, float, float]
"""x, y [mm] and bulge to the next corner, as a plate's outline has them."""


@dataclass(frozen=True, kw_only=True)
class Outline:
    """A closed run of straights and arcs fitted to an edge; the last corner leads to the first.

    Attributes:
        vertices: x, y [mm] and bulge: tan(quarter of the arc's angle) to the next corner.
        rms: for each run from its vertex on, how far the edge's points lie off it [mm].
        worst: for each run, the largest such departure [mm].
        points: for each run, how many points of the edge it was fitted to.
        sd: for each vertex, one standard deviation [mm] from the edge's own scatter, in the worse
            direction (along the edge where a straight runs smoothly into an arc).
    """

    vertices: tuple[Corner, ...]
    rms: tuple[float, ...]
    worst: tuple[float, ...]
    points: tuple[int, ...]
    sd: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class Pick:
    """Two points clicked on a drawn line in the photo [px], the photo's top left corner at 0, 0.

    Pixel k reaches from k to k + 1, as a browser counts.
    """

    name: str
    a: Spot
    b: Spot


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A centreline drawn on the template.

    Attributes:
        name: as picked.
        a, b: its ends [mm], the picks dropped onto the line.
        sd: one standard deviation across the line [mm].
        found: whether a drawn line was seen under the picks; otherwise they were taken as they are.
    """

    name: str
    a: Spot
    b: Spot
    sd: float
    found: bool


@dataclass(frozen=True, kw_only=True)
class View:
    """How the photo was taken, as found from the markers.

    Attributes:
        focal: focal length [px].
        k1, k2: radial distortion on (x, y) = (X, Y)/Z: factor 1 + k1 r² + k2 r⁴.
        height: of the camera above the board [mm], and its standard deviation.
        tilt: of the line of sight off square to the board [rad].
        markers: how many were used.
        rms: of the markers' edges off where the camera puts them [px].
        blur: standard deviation of the blur of the markers' edges [px].
        pixel: size of a pixel on the board [mm].
    """

    focal: float
    k1: float
    k2: float
    height: float
    height_sd: float
    tilt: float
    markers: int
    rms: float
    blur: float
    pixel: float


@dataclass(frozen=True, kw_only=True)
class Template:
    """A cardboard template in true size, in the frame of its board (x right, y up) [mm].

    A length L on it is known to one standard deviation of sqrt(edge_sd² + (scale_sd L)²).

    Attributes:
        outline, holes: the edges.
        lines: centrelines drawn on it.
        tolerance: what the edges were fitted within [mm].
        thickness: of the cardboard [mm], already allowed for.
        edge_sd: of where an edge lies [mm], its scatter, blur and the photo's tone together.
        scale_sd: of the scale, as a ratio: printer's check, camera height, thickness.
        view: how the photo was taken.
        notes: what a person should look at before cutting.
    """

    outline: Outline
    holes: tuple[Outline, ...] = ()
    lines: tuple[Drawn, ...] = ()
    tolerance: float
    thickness: float
    edge_sd: float
    scale_sd: float
    view: View
    notes: tuple[str, ...] = ()

    def length_sd(self, length: float) -> float:
        """One standard deviation [mm] of a length [mm] taken off the template."""
        return float((self.edge_sd**2 + (self.scale_sd * length) ** 2) ** 0.5)
