"""What may be taken over from a survey of the same readings with other values?

Someone who edits a number has the same survey with one value changed. Two things hold on then:

* that nothing floats: readings that hold the marks with some values hold them with nearly all
  others (the rank of their Jacobian can fall only at special positions, which are looked for
  where the answer is);
* where the marks stood is the first start of the search, if that answer fitted with no reading
  far off and had no second answer near; it ends the search only where it leads to an answer as
  good (`search.search`). The rivals are looked for as ever.

The answer does not depend on what is taken over but for the last digits of its rounding.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from barwright.job.schema import Reading
from barwright.survey.marks import Marks

Structure = tuple[tuple[str, tuple[str, ...], float], ...]


def trusted(before: Marks | None, readings: Sequence[Reading]) -> Marks | None:
    """The marks found before, if they are a start for these readings to be trusted."""
    if before is None:
        return None
    report = before.report
    sure = report.certain and not (report.left_out or report.others or before.rivals)
    same = _structure(f.reading for f in before.fitted) == _structure(readings)
    return before if sure and same else None


def _structure(readings: Iterable[Reading]) -> Structure:
    return tuple((r.kind, r.marks, r.plus_minus) for r in readings)
