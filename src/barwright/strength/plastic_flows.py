"""What does one unit of plastic flow at a member's end do to the whole frame?

The frame's own stiffness is factored once, and what one unit of flow at an end does is solved for
once, when that end first yields under any load. Forces are told as each end's section feels them:
pull, bending two ways and twist, over their full plastic values; end e is end e % 2 of member
e // 2, and each end can flow four ways, that against each of those forces.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Ints
from barwright.strength.joints import Sparse
from barwright.strength.members import end_axes
from barwright.strength.solve import Bones, Ready, movements

HARDENING = 1e-8
"""Share of its stiffness a yielding end keeps, so that a joint of hinges alone can be solved."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Capacity:
    """What each member's whole section carries: pull [N], bending and twist [N mm], shape (m,)."""

    pull: Floats
    bend: Floats
    twist: Floats


class Flows:
    """Unit flows of a frame's ends, whatever its load; those that were asked for are kept.

    Attributes:
        ready: the frame.
    """

    def __init__(self, ready: Ready, capacity: Capacity) -> None:
        """Nothing is solved for yet.

        Args:
            ready: the frame made ready.
            capacity: of the members' sections.
        """
        b = ready.bones
        self.ready = ready
        self._feel = _feel(b, capacity)
        told = self._feel @ b.local
        self._told = _from_moves(b, told)
        self._own = (told @ np.swapaxes(self._feel, 1, 2)).reshape(-1, 2, 4, 2, 4)
        self._place: dict[int, int] = {}
        self._moves = np.zeros((self._told.shape[1], 0))
        self._felt = np.zeros((self._told.shape[0], 0))
        self._against = np.zeros((0, 4, 0, 4))

    def felt(self, moves: Floats) -> Floats:
        """What the ends feel (e, 4) when the independent movements are these (q,)."""
        return np.asarray(self._told @ moves).reshape(-1, 4)

    def felt_of(self, forces: Floats) -> Floats:
        """What the ends feel (e, 4) of members' end forces (m, 12)."""
        return np.asarray(self._feel @ forces[..., None]).reshape(-1, 4)

    def resist(self, at: Ints, ways: Floats) -> Floats:
        """How ends (h,) that flow certain ways (h, 4) resist each other's flow (h, h).

        D / (1 - hardening) - Bᵀ K⁻¹ B, by Woodbury's formula: the tangent stiffness K - B D⁻¹ Bᵀ
        is never put together. What an end feels of another's flow is Bᵀ K⁻¹ B - D.
        """
        lots = self._lots(at)
        each = self._against[lots][:, :, lots]
        return np.asarray(np.einsum("hi,hikj,kj->hk", ways, each, ways))

    def done(self, flow: Floats) -> Floats:
        """What all ends feel (e, 4) when some flow (e, 4)."""
        return (self._felt @ self._kept(flow)).reshape(-1, 4)

    def moved(self, flow: Floats) -> Floats:
        """The independent movements (q,) that flow (e, 4) makes."""
        return np.asarray(self._moves @ self._kept(flow))

    def _kept(self, flow: Floats) -> Floats:
        return flow[list(self._place)].ravel()

    def _lots(self, at: Ints) -> Ints:
        """The places of some ends among the flows solved for; new ones are solved for now."""
        new = [e for e in at.tolist() if e not in self._place]
        if new:
            self._solve(new)
        return np.array([self._place[e] for e in at.tolist()], dtype=int)

    def _solve(self, new: list[int]) -> None:
        """What the four ways of flow at some ends do to the whole frame."""
        push = np.column_stack([self._push(e) for e in new])
        moves = self.ready.lu.solve(push)
        felt = np.asarray(self._told @ moves)
        by_member = felt.reshape(-1, 8, len(new), 4)
        for i, e in enumerate(new):
            by_member[e // 2, :, i] -= self._own[e // 2, :, :, e % 2].reshape(8, 4)
        self._place |= {e: len(self._place) + i for i, e in enumerate(new)}
        self._moves = np.hstack([self._moves, moves])
        self._felt = np.hstack([self._felt, felt])
        self._against = self._resisting(np.array(list(self._place)))

    def _push(self, end: int) -> Floats:
        """What unit flows of an end, held by nothing else, push on the independent movements."""
        t, push = self._told, np.zeros((self._told.shape[1], 4))
        for i, row in enumerate(range(4 * end, 4 * end + 4)):
            on = slice(t.indptr[row], t.indptr[row + 1])
            push[t.indices[on], i] = t.data[on]
        return push

    def _resisting(self, at: Ints) -> Floats:
        """How the four ways of some ends resist each other: (l, 4, l, 4)."""
        one, same = at[:, None], at[:, None] // 2 == at // 2
        own = self._own[one // 2, one % 2, :, at % 2] * same[..., None, None]
        felt = self._felt.reshape(-1, 4, len(at), 4)[at]
        return np.asarray(HARDENING / (1.0 - HARDENING) * own.swapaxes(1, 2) - felt)


def _feel(b: Bones, capacity: Capacity) -> Floats:
    """What turns a member's end forces (12,) to what its two ends feel, four each: (m, 8, 12).

    Pull, bending and twist over what they could be, along the tube's own run at each end.
    """
    turn = end_axes(b.frame, b.length)
    out = np.zeros((len(turn), 2, 4, 2, 6))
    for end in (0, 1):
        one = out[:, end, :, end]
        one[:, 0, :3] = turn[:, end, 0] / capacity.pull[:, None]
        one[:, 1:3, 3:] = turn[:, end, 1:] / capacity.bend[:, None, None]
        one[:, 3, 3:] = turn[:, end, 0] / capacity.twist[:, None]
    return out.reshape(-1, 8, 12)


def _from_moves(b: Bones, told: Floats) -> Sparse:
    """Rows on members' own end movements (m, r, 12) as rows on the independent ones (m r, q)."""
    from scipy import sparse

    m, r, _ = told.shape
    turned = told.reshape(m, 4 * r, 3) @ b.axes
    col = np.broadcast_to(movements(b.frame)[:, None], (m, r, 12))
    start = 12 * np.arange(m * r + 1)
    size = (m * r, b.reach.shape[0])
    return (sparse.csr_array((turned.ravel(), col.ravel(), start), size) @ b.reach).tocsr()
