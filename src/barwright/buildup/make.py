"""Can it be built, and in what order? One stage of the route."""

from __future__ import annotations

from barwright.buildup.apart import take_apart
from barwright.buildup.clash import closed, opened
from barwright.buildup.placing import placings
from barwright.buildup.pulls import balanced, pulls
from barwright.buildup.results import Buildup
from barwright.buildup.say import findings
from barwright.buildup.seams import seams
from barwright.buildup.service import scene
from barwright.buildup.steps import steps
from barwright.buildup.things import things
from barwright.buildup.tools import reach
from barwright.buildup.trapped import freed
from barwright.buildup.trim import with_trims
from barwright.job.schema import Job
from barwright.plates.part import Parts
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars


def buildup(job: Job, bars: Bars, parts: Parts, motions: tuple[Motion, ...]) -> Buildup:
    """How it goes together and comes apart.

    Args:
        job: for its name and unit only.
        bars: the tubes.
        parts: plates and hardware.
        motions: how the leaves move.
    """
    del job
    all_ = things(bars, parts, motions)
    pairs, still = closed(all_)
    more, open_ = opened(all_)
    clashes = with_trims(all_, (*still, *open_))
    loose = scene(all_)
    ways = take_apart(loose)
    welds = balanced(seams(all_))
    pulled = pulls(all_, welds)
    placed = placings(all_)
    built = steps(all_, placed, ways, welds, pulled)
    known = Buildup(
        clashes=clashes,
        compared=pairs + more,
        ways=ways,
        freed=freed(loose, ways),
        reach=reach(all_),
        freedom=tuple(f for s in built for f in s.freedom),
        seams=welds,
        pulls=pulled,
        steps=built,
    )
    return findings(known)
