"""From the marks to every bar: its centreline, bends, copes, cut length and mass.

Shapes first, then every end against every other shape; a bar that cannot be made right is left
out and a finding says why. Twins are mirrored from the finished bars.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barwright.findings import Finding
from barwright.geometry.path import ends, moved
from barwright.geometry.pose import mirrored
from barwright.geometry.vectors import point
from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.tubes.bars import Bars, BuiltBar, End
from barwright.tubes.bend_check import bend_findings, wall_findings
from barwright.tubes.bushing import bushing_at, bushing_finding, mirrored_bushing
from barwright.tubes.cope_check import eaten, end_findings, meets_itself, open_ends
from barwright.tubes.inserts import insert_findings
from barwright.tubes.meeting import Site, contacts, envelope, receivers, site
from barwright.tubes.nesting import stock_findings
from barwright.tubes.reach import explicit, face_cut, told
from barwright.tubes.section import Section
from barwright.tubes.shape import TWIN, Refused, Shape, shapes

OF_WHAT_STANDS = frozenset({"tubes.along"})
"""What is still asked of the ends of a bar that stands already: whether it lies where it seems."""


def make(job: Job, marks: Marks) -> Bars:
    """Every bar of the job.

    Args:
        job: stock, benders, bars, leaves, twins; lengths [mm], angles [rad].
        marks: where the marks are [mm].

    Returns:
        The bars that can be made, in the job's order, mirrored twins last, and the findings.
    """
    everyone, findings = shapes(job, marks)
    made, found = list[BuiltBar](), list[Finding](findings)
    for shape in everyone:
        if not shape.twin_of:
            try:
                bar, said = _built(job, marks, shape, everyone)
            except Refused as refused:
                found.append(refused.finding)
                continue
            made.append(bar)
            found += [*bend_findings(job, shape, bar), *said, *insert_findings(job, bar)]
    found += [*wall_findings(job, tuple(b for b in made if not b.stands)), *open_ends(tuple(made))]
    twins = {shape.twin_of for shape in everyone} & {bar.name for bar in made}
    found += [said for bar in made if bar.name in twins for said in meets_itself(bar)]
    there = frozenset(job.standing.bars)
    mirrors = [_mirror(bar, twins, there) for bar in made if bar.name in twins]
    bars = (*made, *mirrors)
    found += stock_findings(job, Bars(bars=bars))
    return Bars(bars=bars, findings=tuple(found))


def _built(
    job: Job, marks: Marks, shape: Shape, everyone: tuple[Shape, ...]
) -> tuple[BuiltBar, tuple[Finding, ...]]:
    """One bar with both ends coped, and what is to be said about its copes.

    Raises:
        Refused: an end meets nothing it is to be coped against, or the copes eat the bar.
    """
    start, said = _end(job, marks, site(shape, last=False), everyone)
    finish, more = _end(job, marks, site(shape, last=True), everyone)
    trouble = eaten(shape, start, finish)
    if trouble is not None:
        raise Refused(trouble)
    section = Section(od=2.0 * shape.radius, wall=shape.wall)
    removed = float(np.mean(start.cope) + np.mean(finish.cope))
    stands = shape.name in job.standing.bars
    bar = BuiltBar(
        name=shape.name,
        stock=shape.stock,
        radius=shape.radius,
        wall=shape.wall,
        centreline=shape.centreline,
        table=shape.table,
        start=start,
        finish=finish,
        cut_length=shape.long - float(np.min(start.cope) + np.min(finish.cope)),
        mass=section.mass() * (shape.long - removed),
        stands=stands,
    )
    asked = (f for f in (*said, *more) if not stands or f.code in OF_WHAT_STANDS)
    return bar, tuple(asked)


def _end(
    job: Job, marks: Marks, here: Site, everyone: tuple[Shape, ...]
) -> tuple[End, tuple[Finding, ...]]:
    """One end, coped against what it meets or against what the job says.

    Raises:
        Refused: a bar it is to be coped against is not there or out of reach.
    """
    met, names = contacts(here, everyone), explicit(job, here)
    against = receivers(here, met) if names is None else told(here, names, everyone)
    seat = bushing_at(job, marks, here, everyone) if names is None else None
    cuts = [*against.values(), *face_cut(job, here, marks), *(seat[1:] if seat else ())]
    past = job.bar[here.shape.name].past
    square = np.full(360, -(past.to if here.last else past.from_))
    cope = envelope(cuts, job.job.root_gap) if cuts else square
    cope.flags.writeable = False
    end = End(
        mark=here.mark,
        origin=here.tip.origin,
        along=here.tip.along,
        zero=here.tip.zero,
        against=(*(other.name for other in against), *((seat[0].name,) if seat else ())),
        cope=cope,
        bushing=seat[0] if seat else None,
    )
    said = bushing_finding(here, seat[0]) if seat else ()
    return end, (*end_findings(here, met, end, by_rule=names is None), *said)


def _mirror(bar: BuiltBar, twins: set[str], there: frozenset[str]) -> BuiltBar:
    """The bar's twin on the other side of the centre plane."""
    centreline = moved(bar.centreline, mirrored())
    first, last = ends(centreline)
    turned = replace(bar.table, turns=tuple(-turn for turn in bar.table.turns))
    return BuiltBar(
        name=bar.name + TWIN,
        stock=bar.stock,
        radius=bar.radius,
        wall=bar.wall,
        centreline=centreline,
        table=turned,
        start=_mirrored_end(bar.start, first, twins),
        finish=_mirrored_end(bar.finish, last, twins),
        cut_length=bar.cut_length,
        mass=bar.mass,
        twin_of=bar.name,
        stands=bar.name + TWIN in there,
    )


def _mirrored_end(end: End, origin: tuple[float, float, float], twins: set[str]) -> End:
    """An end mirrored; angles run the other way, so the cut is read backward."""
    cope = np.roll(end.cope[::-1], 1)
    cope.flags.writeable = False
    flip = mirrored()
    bushing = None if end.bushing is None else mirrored_bushing(end.bushing)
    bars = end.against if bushing is None else end.against[:-1]
    against = tuple(_other_side(name, twins) for name in bars)
    return End(
        mark=end.mark + TWIN,
        origin=origin,
        along=point(flip.directions(end.along)),
        zero=point(flip.directions(end.zero)),
        against=against if bushing is None else (*against, bushing.name),
        cope=cope,
        bushing=bushing,
    )


def _other_side(name: str, twins: set[str]) -> str:
    """The name of a bar's mirror image, or its own where it has none."""
    if name.endswith(TWIN):
        return name.removesuffix(TWIN)
    return name + TWIN if name in twins else name
