"""What is kept of the last survey with the same readings, whatever their values.

Someone who edits a number has the same survey with one value changed. Two things are kept then:

* that nothing floats: readings that hold the marks with some values hold them with nearly all
  others (the rank of their Jacobian can fall only at special positions, which are looked for
  where the answer is);
* where the marks stood, as the first start of the next search: only of an answer that fitted
  with no reading far off and had no second answer near, and it ends the search only where it
  leads to an answer as good (`search.search`). The rivals are looked for as ever.

The answer does not depend on what is kept but for the last digits of its rounding.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from barwright.geometry.vectors import Floats
from barwright.job.schema import Reading
from barwright.survey.marks import Marks

if TYPE_CHECKING:
    from barwright.survey.search import Found

Structure = tuple[tuple[str, tuple[str, ...], float], ...]


@dataclass(kw_only=True, eq=False)
class Before:
    """What the last survey of a structure left.

    Attributes:
        x: (n, 3) where its marks stood; None where that is no start to be trusted.
        how: the start that led there.
        freedom: its equations less its unknowns; None where it is not known to hold together.
    """

    x: Floats | None = None
    how: str = ""
    freedom: int | None = None


NEVER = Before()
"""What is kept where nothing is."""


def before_of(readings: Sequence[Reading]) -> Before:
    """What is kept of the last survey whose readings differ in their values alone."""
    return _kept(tuple((r.kind, r.marks, r.plus_minus) for r in readings))


@lru_cache(maxsize=16)
def _kept(structure: Structure) -> Before:  # noqa: ARG001 - what is kept is kept by it
    return Before()


def keep(before: Before, found: Found, marks: Marks) -> None:
    """Keep where the marks stand, if nothing speaks for their standing elsewhere."""
    report = marks.report
    sure = report.certain and not report.left_out and not marks.rivals and len(found.others) < 2
    before.x, before.how = (marks.xyz if sure else None), found.how
