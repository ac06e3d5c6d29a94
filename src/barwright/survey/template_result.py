"""What a trace found, summed up: the template, how sure it is, and what to look at."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.survey.template_doubt import UNCHECKED_SD, height_sd, scale_doubt
from barwright.survey.template_mask import Rough
from barwright.survey.template_rim import Rim
from barwright.survey.template_types import Drawn, Outline, Template, View
from barwright.survey.template_view import Solved

UNSEEN = 4.0
"""Of an edge in one stretch [mm] before it is told."""

STEEP = math.radians(35.0)
"""Of the line of sight off square before it is told."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Found:
    """All that was found in a photo.

    Attributes:
        view: its geometry.
        where: the template to a millimetre.
        rims: points along its edge, then those of its holes, clear or not.
        outlines: what was fitted to the edge and to the clear holes.
        lines: drawn on it.
        thickness, tolerance: as asked for [mm].
        print_sd: one standard deviation of the printer's scale, as a ratio.
    """

    view: Solved
    where: Rough
    rims: tuple[Rim, ...]
    outlines: tuple[Outline, ...]
    lines: tuple[Drawn, ...]
    thickness: float
    tolerance: float
    print_sd: float


def clear(hole: Rim) -> bool:
    """Whether enough of a hole's rim was seen to call it a hole."""
    return len(hole.xy) >= max(12, 0.5 * hole.asked)


def summed(found: Found) -> Template:
    """The template of what was found."""
    view, edge = found.view, found.rims[0].xy
    camera_sd, place_sd = scale_doubt(view, edge[:: max(1, len(edge) // 60)], found.thickness)
    # Half-way between light and dark lies elsewhere where the phone bends the tones: the markers
    # show by how much.
    tone = view.bleed * view.pixel
    return Template(
        outline=found.outlines[0],
        holes=found.outlines[1:],
        lines=found.lines,
        tolerance=found.tolerance,
        thickness=found.thickness,
        edge_sd=math.sqrt(_scatter(found.outlines[0]) ** 2 + tone**2 + place_sd**2),
        scale_sd=math.hypot(camera_sd, found.print_sd),
        view=_view(view),
        notes=_notes(found, camera_sd),
    )


def _scatter(outline: Outline) -> float:
    """Root mean square of the edge's points off the outline [mm]."""
    points, rms = np.array(outline.points), np.array(outline.rms)
    return float(np.sqrt(np.sum(points * rms**2) / max(int(points.sum()), 1)))


def _view(view: Solved) -> View:
    return View(
        focal=view.camera.focal,
        k1=view.camera.k1,
        k2=view.camera.k2,
        height=float(view.camera.eye[2]),
        height_sd=height_sd(view),
        tilt=view.camera.tilt,
        markers=view.used,
        rms=view.rms,
        blur=view.blur_worst,
        pixel=view.pixel,
    )


def _notes(found: Found, camera_sd: float) -> tuple[str, ...]:
    """What a person should look at before cutting."""
    return tuple(text for text in (*_of_scale(found, camera_sd), *_of_edge(found)) if text)


def _of_scale(found: Found, camera_sd: float) -> tuple[str, ...]:
    print_, tilt = 100 * found.print_sd, math.degrees(found.view.camera.tilt)
    unchecked = (
        "The print's scale was not checked: measure the bars on the board and give them; until "
        f"then a length may be off by {print_:.1f} % (one sd)."
    )
    loose = (
        f"The camera's height is uncertain: {100 * camera_sd:.2f} % of scale (one sd). Tilt the "
        "phone by 10 to 20°, send the photo as the phone saved it, or measure the height."
    )
    steep = f"The photo was taken {tilt:.0f}° from straight above: the far edge is coarser."
    return (
        unchecked if found.print_sd >= UNCHECKED_SD else "",
        loose if camera_sd > 0.0007 else "",
        steep if found.view.camera.tilt > STEEP else "",
    )


def _of_edge(found: Found) -> tuple[str, ...]:
    edge, others = found.rims[0], found.where.others
    worst = max(max(o.worst) for o in found.outlines)
    spots = (*found.where.spots, *(r.middle for r in found.rims[1:] if not clear(r)))
    lost = "; ".join(f"x {x:.0f} y {y:.0f} mm" for x, y in spots)
    unseen = ", ".join(x.name for x in found.lines if not x.found)
    shade = (
        f"Something dark, likely a shadow, runs along {100 * edge.shaded:.0f} % of the edge: "
        "compare the outline with the card."
    )
    gap = (
        f"Over {edge.unseen:.0f} mm in one stretch the edge was not clear and is guessed from "
        "both sides: use plain brown card, or move it on the board and take the photo again."
    )
    spot = f"At {lost} something is dark, a hole or a pen mark, too unclear to trace: left out."
    return (
        f"The edge lies up to {worst:.2f} mm off its outline." if worst > found.tolerance else "",
        shade if edge.shaded > 0.15 else "",
        gap if edge.unseen > UNSEEN else "",
        spot if lost else "",
        f"{others} more piece(s) on the board were left out." if others else "",
        f"No drawn line was seen at {unseen}: the picks stand as they are." if unseen else "",
    )
