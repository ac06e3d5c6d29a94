"""Loose edges chained end to end into closed rings."""

from __future__ import annotations

import math

from barwright.job.drawings import Ring, Spot
from barwright.job.dxf_edges import Edge
from barwright.job.errors import BadInput, Fault

JOIN = 0.02
"""Ends this near to one another are one corner [mm]."""


def closed(edges: list[Edge], file: str) -> list[Ring]:
    """Edges chained end to end into rings.

    Raises:
        BadInput: a chain stays open.
    """
    left, rings = _Ends(edges), []
    while (first := left.any()) is not None:
        chain = [first]
        while math.dist(chain[-1].b, first.a) > JOIN or len(chain) == 1:
            follow = left.at(chain[-1].b)
            if follow is None:
                raise _left_open(file, chain, left)
            chain.append(follow)
        rings.append(tuple((*e.a, e.bulge) for e in chain))
    return rings


class _Ends:
    """Edges not yet chained, found by their ends."""

    def __init__(self, edges: list[Edge]) -> None:
        self.left = dict(enumerate(edges))
        self.cells: dict[tuple[int, int], list[int]] = {}
        for i, e in self.left.items():
            for p in (e.a, e.b):
                self.cells.setdefault(self._cell(p), []).append(i)

    @staticmethod
    def _cell(p: Spot) -> tuple[int, int]:
        return (math.floor(p[0] / 1.0), math.floor(p[1] / 1.0))

    def any(self) -> Edge | None:
        """Some edge that is left."""
        for i in self.left:
            return self.left.pop(i)
        return None

    def near(self, p: Spot, reach: float) -> list[tuple[float, int, Edge]]:
        """Edges with an end within a reach of a point, turned to begin there."""
        x, y = self._cell(p)
        around = {
            i for a in (-1, 0, 1) for b in (-1, 0, 1) for i in self.cells.get((x + a, y + b), ())
        }
        found = [
            (math.dist(one.a, p), i, one)
            for i in around & self.left.keys()
            for one in (self.left[i], self.left[i].turned())
        ]
        return sorted((f for f in found if f[0] <= reach), key=lambda f: f[:2])

    def at(self, p: Spot) -> Edge | None:
        """The edge that begins at a point, taken out."""
        found = self.near(p, JOIN)
        if not found:
            return None
        del self.left[found[0][1]]
        return found[0][2]


def _left_open(file: str, chain: list[Edge], left: _Ends) -> BadInput:
    end, start = chain[-1].b, chain[0].a
    others = [gap for gap, _, _ in left.near(end, 1.0)]
    gap = min([math.dist(end, start) if len(chain) > 1 else math.inf, *others])
    where = f"an edge that ends at x {end[0]:.2f}, y {end[1]:.2f} mm"
    near = f"; the next end is {gap:.2f} mm away" if gap < 50.0 else ""
    return BadInput(
        Fault(
            file=file,
            entry="",
            read=where + near,
            expected=f"outlines whose ends meet within {JOIN} mm",
            do="close it there, or put lines that are not cut on a layer named etch or mark",
        )
    )
