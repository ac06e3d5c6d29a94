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

    every: Any = np.arange(n + extra)
    row, col, value = [every], [every], [np.ones(n + extra)]
    spare = n
    for j in frame.joins:
        for entries, more in zip((row, col, value), _one(frame, j, spare), strict=True):
            entries.append(more)
        spare += len(j.free)
    slaves = np.array([j.slave for j in frame.joins])
    value[0][(6 * slaves[:, None] + np.arange(6)).ravel()] = 0.0
    size = (n + extra, n + extra)
    at = (np.concatenate(row), np.concatenate(col))
    made = sparse.coo_array((np.concatenate(value), at), size).tocsc()
    made.eliminate_zeros()
    return made


def _one(frame: Frame, join: Join, spare: int) -> tuple[Ints, Ints, Floats]:
    """Rows, columns and values of one join: shift + turn x offset, turn, own turns."""
    x, y, z = frame.nodes[join.slave] - frame.nodes[join.master]
    block = np.zeros((6, 6 + len(join.free)))
    block[:, :6] = np.eye(6)
    block[:3, 3:6] = [[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]]
    for i, axis in enumerate(join.free):
        block[3:, 6 + i] = axis
    cols = np.concatenate([6 * join.master + np.arange(6), spare + np.arange(len(join.free))])
    rows = 6 * join.slave + np.arange(6)
    r, c = np.meshgrid(rows, cols, indexing="ij")
    return r.ravel(), c.ravel(), block.ravel()
