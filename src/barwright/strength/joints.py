"""Which movements are independent? Supports, welds, hinges and balls written as one matrix."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Frame, Ints, Join

Sparse: TypeAlias = Any
"""A scipy sparse matrix; its package has no types of its own."""


def reduction(frame: Frame) -> tuple[Sparse, Floats]:
    """All 6n movements from the q independent ones, as (sparse (6n, q), springs (q,)).

    The springs are the joints' resistance to their own free turns [N mm/rad].

    Raises:
        ValueError: a node follows two others, or itself; or a node that follows is held.
    """
    from scipy import sparse

    n = 6 * len(frame.nodes)
    slaves = _checked(frame)
    extra = sum(len(j.free) for j in frame.joins)
    held = frame.held.ravel()
    if not frame.joins:
        keep = np.flatnonzero(~held)
        ones = np.ones(len(keep))
        return sparse.csc_array((ones, (keep, np.arange(len(keep)))), (n, len(keep))), 0.0 * ones
    follow = _follow(frame, n, extra)
    whole = follow
    for _ in range(len(frame.joins) + 1):
        if not abs(whole[:, slaves]).sum():
            break
        whole = (whole @ follow).tocsc()
    else:
        raise ValueError("joints follow one another in a ring")
    springs = np.array([0.0] * n + [k for j in frame.joins for k in _stiffness(j)])
    keep = np.ones(n + extra, dtype=bool)
    keep[slaves] = False
    keep[:n] &= ~held
    return whole[:n][:, np.flatnonzero(keep)].tocsc(), springs[keep]


def _stiffness(join: Join) -> tuple[float, ...]:
    return join.stiffness or (0.0,) * len(join.free)


def _checked(frame: Frame) -> Ints:
    """The slaves' movements (numbers); every slave once, none held."""
    nodes = [j.slave for j in frame.joins]
    if len(set(nodes)) != len(nodes):
        twice = sorted({s for s in nodes if nodes.count(s) > 1})
        raise ValueError(f"nodes {twice} follow two others each: join one of those instead")
    if nodes and frame.held[nodes].any():
        raise ValueError("a node that follows another is held: hold the other")
    return np.asarray((6 * np.array(nodes, dtype=int)[:, None] + np.arange(6)).ravel(), dtype=int)


def _follow(frame: Frame, n: int, extra: int) -> Sparse:
    """Square matrix (n + extra): each slave's movements from its master's and its free turns."""
    from scipy import sparse

    slaves, masters = (np.array([(j.slave, j.master) for j in frame.joins]).T)[..., None]
    x, y, z = (frame.nodes[slaves[:, 0]] - frame.nodes[masters[:, 0]]).T
    every, six, ones = np.arange(n + extra), np.arange(6), np.ones((len(slaves), 6))
    own = np.ones(n + extra)
    own[6 * slaves + six] = 0.0
    hung = np.array([j.slave for j in frame.joins for _ in j.free], dtype=int)
    axes = np.array([axis for j in frame.joins for axis in j.free]).reshape(-1, 3)
    # shift + turn x offset, turn, own turns
    row = [every, 6 * slaves + six, 6 * slaves + [0, 0, 1, 1, 2, 2]]
    col = [every, 6 * masters + six, 6 * masters + [4, 5, 3, 5, 3, 4]]
    value = [own, ones, np.column_stack([z, -y, -z, x, y, -x])]
    row += [6 * hung[:, None] + [3, 4, 5]]
    col += [np.repeat(np.arange(n, n + extra), 3)]
    value += [axes]
    at = tuple(np.concatenate([a.ravel() for a in each]) for each in (row, col))
    size = (n + extra, n + extra)
    made = sparse.coo_array((np.concatenate([v.ravel() for v in value]), at), size).tocsc()
    made.eliminate_zeros()
    return made
