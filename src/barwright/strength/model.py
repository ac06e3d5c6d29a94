"""How do bars and leaves make a frame?

Welds tie nodes rigidly, or with a stated spring; a leaf is hung on its hinge (free about the
axis) and held by its latch as by a ball.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.vectors import Point
from barwright.job.schema import Job
from barwright.strength.frame import BALL, Bools, Frame, Join, Spring, frame
from barwright.strength.materials import MATERIALS, WEAKEST, Material, material
from barwright.strength.meetings import Hanging, Weld, hangings, welds
from barwright.strength.mesh import Mesh, Station, mesh
from barwright.strength.supports import far_findings, hanging_together, held_stations
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars, BuiltBar
from barwright.tubes.section import Section

FIRM = 1e8
"""How firmly a springy joint is held against parting [N/mm]: some hundred times a tube's own."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Model:
    """A frame made of a job's bars.

    Attributes:
        frame: what is solved; its nodes are the mesh's, then one on each leaf's axis.
        mesh: where its nodes lie on the bars.
        sections, steels: of each bar in the mesh.
        hangings: how the leaves hang.
        welded: shape (m, 2), whether a member's end is at a weld.
        hinge_nodes, latch_nodes: by leaf, its own nodes through which hinge and latch act on it.
        findings: what was left out or taken for granted.
    """

    frame: Frame
    mesh: Mesh
    sections: tuple[Section, ...]
    steels: tuple[Material, ...]
    hangings: tuple[Hanging, ...]
    welded: Bools
    hinge_nodes: dict[str, tuple[int, ...]]
    latch_nodes: dict[str, tuple[int, ...]]
    findings: tuple[Finding, ...]


def model(
    job: Job, bars: Bars, motions: tuple[Motion, ...], wanted: Iterable[Station] = ()
) -> Model | None:
    """The frame of a job; None when there is nothing that can be held.

    Args:
        job: its stock says the steel, [strength] how the frame is held.
        bars: as built.
        motions: how the leaves hang.
        wanted: places that must be nodes, for loads.

    Raises:
        BadInput: a mark in [strength] held is no end of a bar.
    """
    built = Bars(bars=tuple(b for b in bars.bars if b.centreline.pieces))
    names = {b.name for b in built.bars}
    moving = tuple(m for m in motions if names.issuperset(m.bars) and m.bars)
    met, hung = welds(built, moving), hangings(job, built, moving)
    held, taken = held_stations(job, built, met, hung)
    kept, left = hanging_together(built, met, hung, held)
    if not kept:
        return None
    names = {b.name for b in kept}
    met = tuple(w for w in met if w.end[0] in names)
    hung = tuple(h for h in hung if h.hinge[0][0] in names and h.latch is not None)
    places = [s for w in met for s in (w.end, w.to)]
    places += [s for h in hung for s in (*h.hinge, *(h.latch or ()))]
    cut = mesh(kept, [*places, *held, *(s for s in wanted if s[0] in names)])
    steels, unknown = _steels(job, kept)
    ties = _Ties(job, cut, met, hung, tuple(cut.node(s) for s in held if s[0] in names))
    return Model(
        frame=_frame(job, cut, ties, steels),
        mesh=cut,
        sections=tuple(_section(b) for b in kept),
        steels=steels,
        hangings=hung,
        welded=_welded(cut, met),
        hinge_nodes={leaf: ties.cluster(n) for leaf, n in ties.axis.items()},
        latch_nodes={h.leaf: ties.cluster(cut.node(h.latch[0])) for h in hung if h.latch},
        findings=(*taken, *left, *unknown, *far_findings(hung), *ties.said),
    )


def _section(bar: BuiltBar) -> Section:
    return Section(od=2.0 * bar.radius, wall=bar.wall)


def _steels(
    job: Job, bars: tuple[BuiltBar, ...]
) -> tuple[tuple[Material, ...], tuple[Finding, ...]]:
    """Each bar's steel; the weakest of the table for a name it does not hold, and said so."""
    names = [job.stock[b.stock].steel if b.stock in job.stock else "" for b in bars]
    unknown = dict.fromkeys(n for n in names if material(n) is None)
    found = tuple(material(n) or WEAKEST for n in names)
    return found, tuple(_unknown(n) for n in unknown)


def _unknown(name: str) -> Finding:
    return Finding(
        code="strength.steel",
        level=Level.LOOK,
        subject="stock",
        says=f'The table of steels does not hold "{name}": it is taken as {WEAKEST.grade}, '
        f"yield {WEAKEST.fy:.0f} MPa.",
        measured=WEAKEST.fy,
        unit="MPa",
        source=WEAKEST.source,
        remedy=f"Write one of {', '.join(MATERIALS)}, and bring the mill certificate.",
    )


def _frame(job: Job, cut: Mesh, ties: _Ties, steels: tuple[Material, ...]) -> Frame:
    sections = [_section(b) for b in cut.bars]
    bend = np.array([m.E * s.inertia for m, s in zip(steels, sections, strict=True)])
    held = np.zeros((len(ties.nodes), 6), dtype=bool)
    held[list(ties.held), :3] = True
    held[list(ties.held), 3:] = job.strength.clamped
    return frame(
        ties.nodes,
        cut.ends,
        EA=np.array([m.E * s.area for m, s in zip(steels, sections, strict=True)])[cut.bar_of],
        EIy=bend[cut.bar_of],
        EIz=bend[cut.bar_of],
        GJ=np.array([m.G * s.polar for m, s in zip(steels, sections, strict=True)])[cut.bar_of],
        held=held,
        centres=cut.centres,
        joins=ties.joins,
        springs=ties.springs,
    )


def _welded(cut: Mesh, met: tuple[Weld, ...]) -> Bools:
    at = {cut.node(s) for w in met for s in (w.end, w.to)}
    return np.isin(cut.ends, list(at))


_Special = tuple[int, int, tuple[Point, ...]]
"""A node, the one it hangs on, and the axes it turns about by itself."""


class _Ties:
    """Nodes tied together: clusters of welded nodes, then what hangs on them."""

    def __init__(
        self,
        job: Job,
        cut: Mesh,
        met: tuple[Weld, ...],
        hung: tuple[Hanging, ...],
        held: tuple[int, ...],
    ) -> None:
        self.axis = {h.leaf: len(cut.nodes) + i for i, h in enumerate(hung)}
        self.nodes = np.concatenate([cut.nodes, np.array([h.through for h in hung]).reshape(-1, 3)])
        self.said: list[Finding] = []
        self._parent = list(range(len(self.nodes)))
        self._sprung = set[tuple[int, int]]()
        self.springs: tuple[Spring, ...] = ()
        self._special: list[_Special] = []
        for w in met:
            self._weld(cut.node(w.end), cut.node(w.to), job.strength.joint)
        for h in hung:
            self._hang(cut, h)
        hanging = self._oriented(held)
        masters = self._masters(held, hanging)
        self.held = tuple(dict.fromkeys(masters[self._root(n)] for n in held))
        self.joins = self._joins(masters, hanging)

    def _root(self, node: int) -> int:
        return _top(self._parent, node)

    def cluster(self, node: int) -> tuple[int, ...]:
        """The nodes that move with a node as one."""
        root = self._root(node)
        return tuple(n for n in range(len(self.nodes)) if self._root(n) == root)

    def _rigid(self, a: int, b: int) -> None:
        self._parent[self._root(a)] = self._root(b)

    def _weld(self, end: int, to: int, turn: float | None) -> None:
        """Rigid, or with turning springs where the job says how stiff a joint is."""
        if turn is None:
            self._rigid(end, to)
        elif (to, end) not in self._sprung and end != to:
            self._sprung.add((end, to))
            self.springs += (Spring(start=to, end=end, shift=FIRM, turn=turn * 1e6),)

    def _hang(self, cut: Mesh, h: Hanging) -> None:
        axis = self.axis[h.leaf]
        self._rigid(cut.node(h.hinge[0]), axis)
        self._special.append((axis, cut.node(h.hinge[1]), (h.along,)))
        if h.latch is not None:
            self._special.append((cut.node(h.latch[0]), cut.node(h.latch[1]), BALL))

    def _oriented(self, held: tuple[int, ...]) -> list[_Special]:
        """Hinges and latches with the slave's side chosen.

        A cluster of welded nodes can hang on one other only, one that is held on none, and none
        on itself round about: where one side cannot, the other is made to hang on it.
        """
        on: dict[int, int] = {self._root(n): -1 for n in held}
        made = []
        for a, b, free in self._special:
            for slave, master in ((a, b), (b, a)):
                root, to = self._root(slave), self._root(master)
                if root not in on and root not in _chain(on, to):
                    on[root] = to
                    made.append((slave, master, free))
                    break
            else:
                self.said.append(_stiffer())
        return made

    def _masters(self, held: tuple[int, ...], hanging: list[_Special]) -> dict[int, int]:
        """Each cluster's master: a held node, else the one that hangs on another, else any."""
        masters = {self._root(n): n for n in range(len(self.nodes) - 1, -1, -1)}
        masters |= {self._root(s[0]): s[0] for s in hanging}
        return masters | {self._root(n): n for n in reversed(held)}

    def _joins(self, masters: dict[int, int], hanging: list[_Special]) -> tuple[Join, ...]:
        rigid = [
            Join(slave=n, master=masters[self._root(n)])
            for n in range(len(self.nodes))
            if masters[self._root(n)] != n
        ]
        turning = [
            Join(slave=s, master=masters[self._root(m)], free=free) for s, m, free in hanging
        ]
        return (*rigid, *turning)


def _chain(on: dict[int, int], root: int) -> set[int]:
    """A cluster and all it hangs on, link by link."""
    found = set[int]()
    while root >= 0 and root not in found:
        found.add(root)
        root = on.get(root, -1)
    return found


def _top(parent: list[int], node: int) -> int:
    while parent[node] != node:
        node = parent[node]
    return node


def _stiffer() -> Finding:
    return Finding(
        code="strength.joint",
        level=Level.LOOK,
        subject="strength",
        says="A hinge or latch at a node that hangs on another already could not be modelled: "
        "it is left out.",
        remedy="Judge this joint by hand.",
    )
