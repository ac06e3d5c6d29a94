"""A photo of a cardboard template on the printed board becomes its outline in true size."""

from __future__ import annotations

import math

from barwright.job.errors import BadInput, Fault
from barwright.survey.template_bare import bare
from barwright.survey.template_board import ACROSS_BAR, UP_BAR, Board, board
from barwright.survey.template_doubt import BAR_SD, UNCHECKED_SD
from barwright.survey.template_fit import fitted
from barwright.survey.template_lines import drawn
from barwright.survey.template_markers import agreed
from barwright.survey.template_mask import rough
from barwright.survey.template_photo import Photo, opened
from barwright.survey.template_result import Found, clear, summed
from barwright.survey.template_rim import Rim, traced
from barwright.survey.template_types import Pick, Template
from barwright.survey.template_view import Solved, solved

BAR = 100.0
"""The bar every board carries [mm]."""

MOST_OFF = 0.02
"""Of a printer's scale; beyond it something else went wrong."""

THICKEST = 20.0
MOST_BLUR_PX, MOST_BLUR_MM = 4.0, 0.6
CORNER_BLUR = 2.0
"""Length of edge a corner may spoil, in blurs of the photo, both sides together."""


def trace(
    photo: bytes,
    *,
    board_name: str,
    thickness: float,
    tolerance: float = 0.25,
    printed_bar: float | None = None,
    printed_long: tuple[float, float] | None = None,
    camera_height: float | None = None,
    picks: tuple[Pick, ...] = (),
    name: str = "photo",
) -> Template:
    """The template's outline, holes and drawn centrelines.

    Args:
        photo: the bytes of a JPEG or PNG file.
        board_name: of the board it lies on: "a4", "a3", "letter", "a4-3x2".
        thickness: of the cardboard [mm].
        tolerance: how far the edge may lie off the straights and arcs fitted to it [mm].
        printed_bar: the board's 100 mm bar as measured on the print [mm].
        printed_long: its two long bars as measured, across and up [mm]; the surer of the two.
        camera_height: above the board, if measured [mm]; helps where the photo does not tell its
            focal length.
        picks: two points on each drawn line to keep.
        name: what to call the photo in messages.

    Raises:
        BadInput: not a photo, no board, too few markers, blurred, a wrong print scale, no template,
            or one that is not wholly in view; each says what to do.
    """
    wanted = board(board_name)
    scale, print_sd = _printed(wanted, printed_bar, printed_long, name)
    _checked(thickness, tolerance, camera_height, name)
    picture = opened(photo, name)
    seen = agreed(picture, wanted, name)
    view = solved(picture, wanted, seen, scale, camera_height)
    _sharp(view, name)
    board_ = bare(view)
    where = rough(picture, board_, name)
    rims = [
        traced(picture, board_, r, thickness, hole=i > 0)
        for i, r in enumerate((where.outer, *where.holes))
    ]
    _enough(rims[0], name)
    corner = CORNER_BLUR * view.blur * view.pixel + 0.3
    outlines = [fitted(r, tolerance, corner) for i, r in enumerate(rims) if i == 0 or clear(r)]
    lines = tuple(drawn(picture, view, p, thickness) for p in _inside(picks, picture, name))
    found = Found(
        view=view,
        where=where,
        rims=tuple(rims),
        outlines=tuple(outlines),
        lines=lines,
        thickness=thickness,
        tolerance=tolerance,
        print_sd=print_sd,
    )
    return summed(found)


def _printed(
    wanted: Board, bar: float | None, long: tuple[float, float] | None, name: str
) -> tuple[tuple[float, float], float]:
    """Printed over intended, across and up, and one standard deviation of it."""
    up = UP_BAR[wanted.paper]
    faults = []
    pairs = [(bar, BAR, "printed bar")] if bar is not None else []
    if long is not None:
        pairs += [(long[0], ACROSS_BAR, "long bar across"), (long[1], up, "long bar up")]
    for measured, meant, entry in pairs:
        if not abs(measured / meant - 1.0) <= MOST_OFF:
            faults.append(_misprinted(name, entry, measured, meant))
    if faults:
        raise BadInput(*faults)
    if long is not None:
        return (long[0] / ACROSS_BAR, long[1] / up), BAR_SD / ACROSS_BAR
    if bar is not None:
        return (bar / BAR, bar / BAR), BAR_SD / BAR
    return (1.0, 1.0), UNCHECKED_SD


def _misprinted(name: str, entry: str, measured: float, meant: float) -> Fault:
    low, high = meant * (1 - MOST_OFF), meant * (1 + MOST_OFF)
    return Fault(
        file=name,
        entry=entry,
        read=f"{measured:g} mm",
        expected=f"{meant:g} mm, at least between {low:g} and {high:g} mm",
        do="print the board again at 100 %, without fitting it to the page, on its own paper, and "
        "measure the bar from end to end",
    )


def _checked(thickness: float, tolerance: float, height: float | None, name: str) -> None:
    faults = []
    if not 0.0 <= thickness <= THICKEST:
        do = "measure the cardboard with a caliper"
        expected = f"0 to {THICKEST:g} mm"
        faults.append(_wrong(name, "thickness", f"{thickness:g} mm", expected, do))
    if not 0.02 <= tolerance <= 5.0:
        do = "0.25 mm suits cardboard cut with a knife"
        faults.append(_wrong(name, "tolerance", f"{tolerance:g} mm", "0.02 to 5 mm", do))
    if height is not None and not 50.0 <= height <= 10_000.0:
        do = "measure from the board to the phone's lens, or leave it out"
        faults.append(_wrong(name, "camera height", f"{height:g} mm", "50 to 10000 mm", do))
    if faults:
        raise BadInput(*faults)


def _wrong(name: str, entry: str, read: str, expected: str, do: str) -> Fault:
    return Fault(file=name, entry=entry, read=read, expected=expected, do=do)


def _sharp(view: Solved, name: str) -> None:
    mm = view.blur_worst * view.pixel
    if view.blur_worst <= MOST_BLUR_PX and mm <= MOST_BLUR_MM:
        return
    raise BadInput(
        _wrong(
            name,
            "sharpness",
            f"edges blurred over {view.blur_worst:.1f} px, {mm:.2f} mm on the board (one sd)",
            f"at most {MOST_BLUR_PX:g} px and {MOST_BLUR_MM:g} mm",
            "hold the phone still or prop it up, tap on the board to focus, use more light; come "
            "closer where the pixels are too coarse",
        )
    )


def _enough(rim: Rim, name: str) -> None:
    share = len(rim.xy) / rim.asked
    if share >= 0.15 and len(rim.xy) >= 24:
        return
    raise BadInput(
        _wrong(
            name,
            "template",
            f"a clear edge on only {100 * share:.0f} % of the outline",
            "at least 15 %",
            "use card that stands out from white and black alike (plain brown serves), light it "
            "from several sides so that no hard shadow runs along it",
        )
    )


def _inside(picks: tuple[Pick, ...], photo: Photo, name: str) -> tuple[Pick, ...]:
    wide, high = photo.size
    faults = [
        _wrong(
            name,
            f"pick {p.name}",
            f"{p.a[0]:g}, {p.a[1]:g} to {p.b[0]:g}, {p.b[1]:g} px",
            f"two points at least 10 px apart inside {wide} × {high} px",
            "click on the drawn line twice, near its ends",
        )
        for p in picks
        if math.dist(p.a, p.b) < 10.0
        or not all(0 <= x <= wide and 0 <= y <= high for x, y in (p.a, p.b))
    ]
    if faults:
        raise BadInput(*faults)
    return picks
