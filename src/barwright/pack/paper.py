"""PDF pages at true scale, with a pen for drawings and bars to check the printer by."""

from __future__ import annotations

import importlib.util
import io
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from barwright import __version__
from barwright.job.lengths import MM_PER_INCH
from barwright.pack.drawing import (
    NOTE,
    XY,
    Arc,
    Circle,
    Line,
    Loop,
    Primitive,
    Style,
    Text,
    bulge_arc,
    draw,
    segments,
    style_of,
)

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

MM = 72.0 / MM_PER_INCH
"""Points in a millimetre: a PDF point is 1/72 inch (ISO 32000-1, 8.3.2.3)."""

CAPITAL = 0.729
"""Height of a capital as a share of the size, DejaVu Sans: 1493 of 2048 units."""


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A size of paper and the margin printers leave free [mm]."""

    name: str
    width: float
    height: float
    margin: float = 10.0


A4 = Sheet(name="A4", width=210.0, height=297.0)
"""ISO 216."""

LETTER = Sheet(name="Letter", width=8.5 * MM_PER_INCH, height=11.0 * MM_PER_INCH)
"""ANSI/ASME Y14.1, size A."""


def sheet_for(unit: str) -> Sheet:
    """The paper a shop that works in this unit has in its printer."""
    return LETTER if unit == "in" else A4


class Book:
    """A PDF being written, page by page, without a clock in it."""

    def __init__(self, sheet: Sheet, title: str) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self.sheet = sheet
        self.out = io.BytesIO()
        size = (sheet.width * MM, sheet.height * MM)
        self.canvas: Canvas = Canvas(self.out, pagesize=size, invariant=1, pageCompression=1)
        self.canvas.setTitle(title)
        self.canvas.setAuthor("")
        self.canvas.setCreator(f"Barwright {__version__}")
        self.canvas.setSubject("Print at 100 %, never fit to page")
        self.canvas.setViewerPreference("PrintScaling", "None")
        _fonts()

    def page(
        self,
        primitives: Iterable[Primitive],
        *,
        by: XY = (0.0, 0.0),
        window: tuple[float, float, float, float] | None = None,
        over: Iterable[Primitive] = (),
        mark: str = "",
    ) -> None:
        """Draw one page at 1:1.

        Args:
            primitives: in mm, origin at the sheet's lower left corner after `by` is added.
            by: shift of the drawing [mm].
            window: (x0, y0, x1, y1) on the sheet [mm] outside which `primitives` are cut off.
            over: drawn on top, neither shifted nor cut off.
            mark: the page's entry in the PDF's outline; none when empty.
        """
        canvas = self.canvas
        if mark:
            key = f"p{canvas.getPageNumber()}"
            canvas.bookmarkPage(key)
            canvas.addOutlineEntry(mark, key, 0)
        canvas.saveState()
        canvas.scale(MM, MM)
        if window:
            clip = canvas.beginPath()
            clip.rect(window[0], window[1], window[2] - window[0], window[3] - window[1])
            canvas.clipPath(clip, stroke=0, fill=0)
        canvas.translate(*by)
        draw(primitives, PdfPen(canvas))
        canvas.restoreState()
        canvas.saveState()
        canvas.scale(MM, MM)
        draw(over, PdfPen(canvas))
        canvas.restoreState()
        canvas.showPage()

    def close(self) -> bytes:
        """The finished file, its streams as plain bytes: a fifth smaller than as ASCII."""
        from reportlab import rl_config

        before, rl_config.useA85 = rl_config.useA85, 0
        try:
            self.canvas.save()
        finally:
            rl_config.useA85 = before
        return self.out.getvalue()


_PAINT = {(True, True): "B*", (True, False): "S", (False, True): "f*", (False, False): "n"}
"""How a path is painted, by whether it is stroked and filled (ISO 32000-1, table 60)."""


class PdfPen:
    """A pen on a canvas whose unit is the millimetre."""

    def __init__(self, canvas: Canvas) -> None:
        self.canvas = canvas
        self.set: dict[str, object] = {}
        canvas.setLineCap(1)
        canvas.setLineJoin(1)

    def line(self, it: Line) -> None:
        """A straight."""
        self._take(it)
        (x0, y0), (x1, y1) = it.start, it.end
        self.canvas.addLiteral(f"{x0:.3f} {y0:.3f} m {x1:.3f} {y1:.3f} l S")

    def arc(self, it: Arc) -> None:
        """An arc."""
        path = self.canvas.beginPath()
        _arc_to(path, it.centre, it.radius, it.start, it.sweep, first=True)
        self._take(it)
        self.canvas.drawPath(path, stroke=1, fill=0)

    def circle(self, it: Circle) -> None:
        """A circle."""
        fill = self._take(it)
        self.canvas.circle(
            *it.centre, it.radius, stroke=int(style_of(it).width > 0.0), fill=int(fill)
        )

    def loop(self, it: Loop) -> None:
        """Straights and arcs."""
        runs = segments(it)
        if not runs:
            return
        if not any(bulge for _, _, bulge in runs):
            self._polygon([start for start, _, _ in runs], runs[-1][1], it)
            return
        path = self.canvas.beginPath()
        path.moveTo(*runs[0][0])
        for start, end, bulge in runs:
            if bulge:
                _arc_to(path, *bulge_arc(start, end, bulge))
            else:
                path.lineTo(*end)
        if it.closed:
            path.close()
        fill = self._take(it)
        self.canvas.drawPath(path, stroke=int(style_of(it).width > 0.0), fill=int(fill))

    def _polygon(self, corners: list[XY], last: XY, it: Loop) -> None:
        """Straights alone, as PDF operators (ISO 32000-1, table 59): to the micrometre."""
        fill = self._take(it)
        ends = corners[1:] if it.closed else [*corners[1:], last]
        words = [f"{corners[0][0]:.3f} {corners[0][1]:.3f} m"]
        words += [f"{x:.3f} {y:.3f} l" for x, y in ends]
        words += ["h"] if it.closed else []
        stroke = style_of(it).width > 0.0
        words.append(_PAINT[stroke, fill])
        self.canvas.addLiteral(" ".join(words))

    def text(self, it: Text) -> None:
        """Letters."""
        canvas, font = self.canvas, font_name(bold=it.bold)
        canvas.saveState()
        canvas.setFillColor(_colour(style_of(it).colour))
        canvas.setFont(font, it.height / CAPITAL)
        canvas.translate(*it.at)
        canvas.rotate(math.degrees(it.angle))
        put = {
            "left": canvas.drawString,
            "middle": canvas.drawCentredString,
            "right": canvas.drawRightString,
        }
        put[it.anchor](0.0, 0.0, it.text)
        canvas.restoreState()

    def _take(self, it: Primitive) -> bool:
        """Set the pen; whether to fill."""
        style = style_of(it)
        if self._new("stroke", style.colour):
            self.canvas.addLiteral(f"{_rgb(style.colour)} RG")
        if self._new("width", style.width):
            self.canvas.setLineWidth(style.width)
        if self._new("dash", style.dash):
            self.canvas.setDash(list(style.dash))
        if style.fill and self._new("fill", style.fill):
            self.canvas.addLiteral(f"{_rgb(style.fill)} rg")
        return bool(style.fill)

    def _new(self, what: str, value: object) -> bool:
        """Whether a setting differs from what is set; it then counts as set."""
        differs = self.set.get(what) != value
        self.set[what] = value
        return differs


def _arc_to(
    path: Any,  # noqa: ANN401 - the library's path has no type of its own
    centre: XY,
    radius: float,
    start: float,
    sweep: float,
    *,
    first: bool = False,
) -> None:
    """Append an arc as Bézier curves of at most 30°: off by less than 4e-7 of the radius."""
    n = max(1, math.ceil(abs(sweep) / math.radians(30.0)))
    step = sweep / n
    k = 4.0 / 3.0 * math.tan(step / 4.0) * radius
    if first:
        path.moveTo(centre[0] + radius * math.cos(start), centre[1] + radius * math.sin(start))
    for i in range(n):
        a, b = start + i * step, start + (i + 1) * step
        xa, ya = centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)
        xb, yb = centre[0] + radius * math.cos(b), centre[1] + radius * math.sin(b)
        path.curveTo(
            xa - k * math.sin(a),
            ya + k * math.cos(a),
            xb + k * math.sin(b),
            yb - k * math.cos(b),
            xb,
            yb,
        )


def font_name(*, bold: bool = False) -> str:
    """The name our letters go by inside the PDF library."""
    return "Barwright-Bold" if bold else "Barwright"


def text_width(text: str, height: float, *, bold: bool = False) -> float:
    """How wide letters of a capital height [mm] run [mm]."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    _fonts()
    return float(stringWidth(text, font_name(bold=bold), height / CAPITAL))


def wrapped(text: str, height: float, width: float, *, bold: bool = False) -> list[str]:
    """Text broken into lines no wider than `width` [mm] (a longer word stands alone)."""
    lines: list[str] = []
    for word in text.split():
        trial = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(trial, height, bold=bold) <= width:
            lines[-1] = trial
        else:
            lines.append(word)
    return lines


def _fonts() -> None:
    """Have DejaVu Sans, which comes with matplotlib, embedded: names are in any alphabet."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    if font_name() in pdfmetrics.getRegisteredFontNames():
        return
    spec = importlib.util.find_spec("matplotlib")
    folder = Path(str(spec.origin if spec else "")).parent / "mpl-data" / "fonts" / "ttf"
    pdfmetrics.registerFont(TTFont(font_name(), str(folder / "DejaVuSans.ttf")))
    pdfmetrics.registerFont(TTFont(font_name(bold=True), str(folder / "DejaVuSans-Bold.ttf")))


@lru_cache(256)
def _colour(text: str) -> Any:  # noqa: ANN401 - the library's colour has no type of its own
    from reportlab.lib.colors import HexColor

    return HexColor(text)


@lru_cache(1024)
def _rgb(colour: str) -> str:
    """A colour "#rrggbb" as PDF writes it.

    >>> _rgb("#ff8000")
    '1.000 0.502 0.000'
    """
    return " ".join(f"{int(colour[i : i + 2], 16) / 255.0:.3f}" for i in (1, 3, 5))


def scale_bar(at: XY) -> tuple[Primitive, ...]:
    """Two rulers to lay a real one against: 100 mm above, 4 inches below."""
    x, y = at
    solid = Style(width=0.0, fill="#000000")
    items: list[Primitive] = []
    for k in range(10):
        low, high = x + 10.0 * k, x + 10.0 * (k + 1)
        items.append(_box(low, y, high, y + 2.0, solid if k % 2 == 0 else Style(width=0.15)))
    for k in range(4):
        low, high = x + MM_PER_INCH * k, x + MM_PER_INCH * (k + 1)
        items.append(_box(low, y - 3.0, high, y - 1.0, solid if k % 2 == 0 else Style(width=0.15)))
    items += [
        Text(text="100 mm", at=(x + 104.5, y), height=2.0),
        Text(text="4 in", at=(x + 104.5, y - 3.0), height=2.0),
        Text(
            text="Print at 100 %. Lay a ruler on these bars before cutting.",
            at=(x, y - 7.0),
            height=2.2,
        ),
    ]
    return tuple(items)


def _box(x0: float, y0: float, x1: float, y1: float, style: Style) -> Loop:
    return Loop(
        vertices=((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)),
        layer=NOTE,
        style=style,
    )
