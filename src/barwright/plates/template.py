"""A plate after a traced template: its outline laid on the vehicle by marks, its doubt told.

The template lies as it was traced, x along the marks `origin` and `along`, y toward `toward`. A
line drawn on it, or two points of it, come to those two marks; without them its own origin and
x axis do. Turned over, it is mirrored in its own y axis first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from barwright.findings import Finding, Level
from barwright.job.drawings import Drawing, Ring, mirrored, sampled
from barwright.job.errors import BadInput, Fault
from barwright.job.names import nearest
from barwright.job.plate_schema import PlateTable
from barwright.plates.outline import moved
from barwright.plates.part import Etch, Flat, Loop
from barwright.survey.derived import length
from barwright.survey.marks import Marks

PRACTICE = "common practice, no source"
FITS = 1.5
"""How far off an edge may be (2 sd) and still be welded [mm]; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A template in its plate's own plane.

    Attributes:
        outline, holes: as they are cut, before the plate's own holes.
        etch: the lines drawn on it.
        findings: how sure it is, and whether it agrees with the marks.
    """

    outline: Loop
    holes: tuple[Loop, ...]
    etch: tuple[Etch, ...]
    findings: tuple[Finding, ...]


def laid(name: str, table: PlateTable, drawing: Drawing, marks: Marks) -> Laid:
    """A plate's template in its own plane.

    Args:
        name: of the plate.
        table: says by what the template is placed.
        drawing: the template.
        marks: the line's length is held against them.

    Raises:
        BadInput: a line that is not drawn on it, or two points that are one.
    """
    line = _line(name, table, drawing)
    lay = _Lay(line=line, over=table.turned_over)
    return Laid(
        outline=lay.ring(drawing.outline),
        holes=tuple(lay.ring(h) for h in drawing.holes),
        etch=tuple(Etch(path=(lay.spot(x.a), lay.spot(x.b))) for x in drawing.lines),
        findings=(_doubt(name, drawing), *_agrees(name, table, drawing, line, marks)),
    )


@dataclass(frozen=True, kw_only=True)
class _Lay:
    """How the template comes to its plane: over, then the line onto x."""

    line: tuple[Flat, Flat] | None
    over: bool

    def ring(self, ring: Ring) -> Loop:
        """A ring where it comes to lie."""
        return self._on_line(Loop(vertices=mirrored(ring) if self.over else ring))

    def spot(self, p: Flat) -> Flat:
        """A point where it comes to lie."""
        one = Loop(vertices=((-p[0] if self.over else p[0], p[1], 0.0),))
        x, y, _ = self._on_line(one).vertices[0]
        return (x, y)

    def _on_line(self, loop: Loop) -> Loop:
        if self.line is None:
            return loop
        (ax, ay), (bx, by) = self.line
        if self.over:
            ax, bx = -ax, -bx
        return moved(moved(loop, shift=(-ax, -ay)), turn=-math.atan2(by - ay, bx - ax))


def _line(name: str, table: PlateTable, drawing: Drawing) -> tuple[Flat, Flat] | None:
    """The line, or two points, that come to the marks."""
    if table.points is not None:
        if math.dist(*table.points) < 1.0:
            raise _bad(f"plate.{name}.points", "one point", "two points apart", "name another")
        return table.points
    if table.line is None:
        return None
    found = {x.name: (x.a, x.b) for x in drawing.lines}
    if table.line not in found:
        like = nearest(table.line, found)
        known = ", ".join(found) or "none is drawn on it"
        raise _bad(
            f"plate.{name}.line",
            table.line,
            f"a line drawn on {drawing.file}: {known}",
            f"did you mean {like}?" if like else "trace it again with --line, or give points",
        )
    return found[table.line]


def _doubt(name: str, drawing: Drawing) -> Finding:
    """How sure the template says it is."""
    at = sampled(drawing.outline, 1.0)
    across = max(math.dist(a, b) for a in at for b in at)
    sd = drawing.length_sd(across)
    stated = sd > 0.0
    good = stated and 2.0 * sd <= FITS
    notes = "".join(f" {n}" for n in drawing.notes)
    says = (
        f"Traced: edges ±{drawing.edge_sd:.2f} mm, scale ±{100.0 * drawing.scale_sd:.2f} %: its "
        f"{across:.0f} mm across are sure to ±{2.0 * sd:.2f} mm (2 sd).{notes}"
        if stated
        else f"{drawing.file} does not say how sure its outline is.{notes}"
    )
    remedy = (
        "name the .json that trace wrote beside it, which says it"
        if not stated
        else f"trim to fit: allow {2.0 * sd:.1f} mm, or trace it again with the print's scale given"
    )
    return Finding(
        code="plates.template",
        level=Level.GOOD if good else Level.LOOK,
        subject=f"plate.{name}",
        says=says,
        measured=2.0 * sd if stated else None,
        allowed=FITS,
        unit="mm",
        source=PRACTICE,
        remedy="" if good else remedy,
    )


def _agrees(
    name: str,
    table: PlateTable,
    drawing: Drawing,
    line: tuple[Flat, Flat] | None,
    marks: Marks,
) -> tuple[Finding, ...]:
    """Whether the line is as long as its marks are apart."""
    if line is None or table.at is None:
        return ()
    a, b = table.at.origin, table.at.along
    between, on_it = length(marks, a, b), math.dist(*line)
    off = abs(on_it - between.value)
    allowed = 2.0 * math.hypot(between.sd, drawing.length_sd(on_it))
    good = off <= max(allowed, 0.1)
    return (
        Finding(
            code="plates.template-line",
            level=Level.GOOD if good else Level.LOOK,
            subject=f"plate.{name}",
            says=f"The line on the template is {on_it:.1f} mm long, {a} and {b} stand "
            f"{between.value:.1f} mm apart; both together are known to {allowed:.1f} mm (2 sd).",
            measured=off,
            allowed=max(allowed, 0.1),
            unit="mm",
            source="propagated doubts of survey and template",
            remedy="" if good else f"the template stands at {a}; measure {a} to {b} again",
        ),
    )


def _bad(entry: str, read: str, expected: str, do: str) -> BadInput:
    return BadInput(Fault(file="job.toml", entry=entry, read=read, expected=expected, do=do))
