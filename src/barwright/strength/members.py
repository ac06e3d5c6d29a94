"""How stiff is a member? Straight and circular members in their own axes, all at once.

Sources: the straight member's stiffness is the textbook one (Logan, A First Course in the Finite
Element Method, chapter 5; from memory). The arc's is exact for a thin circular bar: the
flexibility of its free end is integrated along the arc and inverted.
"""

from __future__ import annotations

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Bools, Frame, Ints

_GAUSS = 12
"""Points along an arc: the integrands are second-degree trigonometric, so 12 leave 1e-15."""


def axes_of(frame: Frame) -> tuple[Floats, Floats]:
    """Local axes (m, 3, 3), rows x, y, z, and lengths (m,) [mm] of the members (their chords).

    Raises:
        ValueError: a member has no length, or `toward` runs along it.
    """
    run = frame.nodes[frame.ends[:, 1]] - frame.nodes[frame.ends[:, 0]]
    length = np.sqrt(np.einsum("mi,mi->m", run, run))
    if not np.all(length > 0.0):
        raise ValueError(f"member {int(np.argmin(length))} has no length")
    x = run / length[:, None]
    toward = frame.toward
    arcs = ~np.isnan(frame.centres[:, 0])
    if arcs.any():
        middle = 0.5 * (frame.nodes[frame.ends[:, 0]] + frame.nodes[frame.ends[:, 1]])
        toward = np.where(arcs[:, None], middle - np.nan_to_num(frame.centres), toward)
    y = toward - np.einsum("mi,mi->m", toward, x)[:, None] * x
    size = np.sqrt(np.einsum("mi,mi->m", y, y))
    if not np.all(size > 1e-9 * np.sqrt(np.einsum("mi,mi->m", toward, toward))):
        raise ValueError(f"member {int(np.argmin(size))}: its local y runs along the member")
    y = y / size[:, None]
    return np.stack([x, y, np.cross(x, y)], axis=1), length


def end_axes(frame: Frame, length: Floats) -> Floats:
    """What turns forces from a member's chord to the tube's own run at its ends: (m, 2, 3, 3).

    Nothing for a straight member; half its angle about local z, one way and the other, for an arc.
    """
    out = np.broadcast_to(np.eye(3), (len(length), 2, 3, 3)).copy()
    arcs = np.flatnonzero(~np.isnan(frame.centres[:, 0]))
    R = np.linalg.norm(frame.nodes[frame.ends[arcs, 0]] - frame.centres[arcs], axis=1)
    s = 0.5 * length[arcs] / R
    c = np.sqrt(1.0 - s * s)
    for end, sign in ((0, 1.0), (1, -1.0)):
        out[arcs, end, 0, 0] = out[arcs, end, 1, 1] = c
        out[arcs, end, 0, 1], out[arcs, end, 1, 0] = sign * s, -sign * s
    return out


def stiffness(frame: Frame, axes: Floats, length: Floats) -> Floats:
    """Every member's stiffness, shape (m, 12, 12), local axes, nothing released yet."""
    k = _straight(frame.EA, frame.EIy, frame.EIz, frame.GJ, length)
    arcs = np.flatnonzero(~np.isnan(frame.centres[:, 0]))
    if arcs.size:
        k[arcs] = _arc(frame, arcs, axes[arcs])
    return k


def _straight(EA: Floats, EIy: Floats, EIz: Floats, GJ: Floats, L: Floats) -> Floats:
    k = np.zeros((len(L), 12, 12))
    for at, value in ((0, EA / L), (3, GJ / L)):
        k[:, at, at] = k[:, at + 6, at + 6] = value
        k[:, at, at + 6] = k[:, at + 6, at] = -value
    _bend(k, EIz / L**3, L, shift=1, turn=5, sign=1.0)
    _bend(k, EIy / L**3, L, shift=2, turn=4, sign=-1.0)
    return k


def _bend(k: Floats, b: Floats, L: Floats, *, shift: int, turn: int, sign: float) -> None:
    """Write one plane's bending into k: shift v, turn t at the start, v + 6, t + 6 at the end."""
    v, t, w, u = shift, turn, shift + 6, turn + 6
    for i, j, value in (
        (v, v, 12.0 * b),
        (w, w, 12.0 * b),
        (v, w, -12.0 * b),
        (v, t, sign * 6.0 * b * L),
        (v, u, sign * 6.0 * b * L),
        (t, w, -sign * 6.0 * b * L),
        (w, u, -sign * 6.0 * b * L),
        (t, t, 4.0 * b * L**2),
        (u, u, 4.0 * b * L**2),
        (t, u, 2.0 * b * L**2),
    ):
        k[:, i, j] = k[:, j, i] = value


def _arc(frame: Frame, arcs: Ints, axes: Floats) -> Floats:
    """Exact stiffness of circular members (a, 12, 12) in the axes of their chords."""
    start = frame.nodes[frame.ends[arcs, 0]]
    end = frame.nodes[frame.ends[arcs, 1]]
    flexible = _arc_flexibility(frame, arcs, start, end)
    kjj = np.linalg.inv(flexible)
    carry = np.broadcast_to(np.eye(6), kjj.shape).copy()
    carry[:, 3:, :3] = _cross_matrix(end - start)
    k = np.empty((len(arcs), 12, 12))
    k[:, 6:, 6:] = kjj
    k[:, :6, 6:] = -carry @ kjj
    k[:, 6:, :6] = np.swapaxes(k[:, :6, 6:], 1, 2)
    k[:, :6, :6] = carry @ kjj @ np.swapaxes(carry, 1, 2)
    return turn_all(k, np.swapaxes(axes, 1, 2))


def _arc_flexibility(frame: Frame, arcs: Ints, start: Floats, end: Floats) -> Floats:
    """Movement of the end under unit loads there, start clamped (a, 6, 6), vehicle axes."""
    centre = frame.centres[arcs]
    R = np.linalg.norm(start - centre, axis=1)
    e1 = (start - centre) / R[:, None]
    normal = np.cross(e1, end - centre)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    e2 = np.cross(normal, e1)
    far = end - centre
    phi = np.arctan2(np.einsum("ai,ai->a", e2, far), np.einsum("ai,ai->a", e1, far))
    at, weight = np.polynomial.legendre.leggauss(_GAUSS)
    angle = 0.5 * phi[:, None] * (1.0 + at)
    c, s = np.cos(angle)[..., None], np.sin(angle)[..., None]
    out = c * e1[:, None] + s * e2[:, None]
    tangent = c * e2[:, None] - s * e1[:, None]
    lever = far[:, None] - R[:, None, None] * out
    rows = np.zeros((*angle.shape, 4, 6))
    rows[..., 0, :3] = tangent
    for row, v in ((1, tangent), (2, out), (3, np.broadcast_to(normal[:, None], out.shape))):
        rows[..., row, :3] = np.cross(v, lever)
        rows[..., row, 3:] = v
    soft = 1.0 / np.stack([frame.EA, frame.GJ, frame.EIy, frame.EIz], axis=1)[arcs]
    ds = 0.5 * (phi * R)[:, None] * weight
    return np.asarray(np.einsum("agri,ag,ar,agrj->aij", rows, ds, soft, rows, optimize=True))


def _cross_matrix(v: Floats) -> Floats:
    """The matrices (a, 3, 3) that cross vectors (a, 3) with what stands to their right."""
    m = np.zeros((len(v), 3, 3))
    m[:, 0, 1], m[:, 0, 2], m[:, 1, 2] = -v[:, 2], v[:, 1], -v[:, 0]
    return m - np.swapaxes(m, 1, 2)


def turn_all(k: Floats, axes: Floats) -> Floats:
    """Member matrices (m, 12, 12) from the axes given by rows (m, 3, 3) to the vehicle's."""
    t = np.zeros((len(k), 12, 12))
    for b in range(0, 12, 3):
        t[:, b : b + 3, b : b + 3] = axes
    return np.asarray(np.swapaxes(t, 1, 2) @ k @ t)


def geometric(axial: Floats, length: Floats) -> Floats:
    """What an axial force adds to a straight member's stiffness (m, 12, 12), local axes.

    Consistent geometric stiffness for bending (Przemieniecki, Theory of Matrix Structural
    Analysis, chapter 15; from memory). Twist is left out: a tube's bending comes first.

    Args:
        axial: shape (m,) [N], pull positive.
        length: shape (m,) [mm].
    """
    k = np.zeros((len(length), 12, 12))
    p = axial / length
    for v, t, sign in ((1, 5, 1.0), (2, 4, -1.0)):
        w, u = v + 6, t + 6
        for i, j, value in (
            (v, v, 1.2 * p),
            (w, w, 1.2 * p),
            (v, w, -1.2 * p),
            (v, t, sign * 0.1 * p * length),
            (v, u, sign * 0.1 * p * length),
            (t, w, -sign * 0.1 * p * length),
            (w, u, -sign * 0.1 * p * length),
            (t, t, p * length**2 / 7.5),
            (u, u, p * length**2 / 7.5),
            (t, u, -p * length**2 / 30.0),
        ):
            k[:, i, j] = k[:, j, i] = value
    return k


def even_load(along: Floats, axes: Floats, length: Floats) -> Floats:
    """End forces (k, m, 12) that hold straight members still under even loads (clamped ends).

    Args:
        along: shape (k, m, 3) [N/mm], vehicle axes.
        axes: shape (m, 3, 3), the members' own.
        length: shape (m,) [mm].
    """
    w = np.einsum("mij,kmj->kmi", axes, along)
    f = np.zeros((*w.shape[:2], 12))
    f[..., 0:3] = f[..., 6:9] = -0.5 * w * length[:, None]
    moment = length**2 / 12.0
    f[..., 5], f[..., 11] = -w[..., 1] * moment, w[..., 1] * moment
    f[..., 4], f[..., 10] = w[..., 2] * moment, -w[..., 2] * moment
    return f


def release(k: Floats, clamped: Floats, released: Bools) -> None:
    """Condense what is released out of stiffness (m, 12, 12) and end forces (k, m, 12), in place.

    Raises:
        ValueError: the releases leave a member free to move by itself.
    """
    for m in np.flatnonzero(released.any(axis=1)):
        out = np.flatnonzero(released[m])
        inner = k[m][np.ix_(out, out)]
        if np.linalg.cond(inner / np.abs(np.diag(inner)).max()) > 1e12:
            raise ValueError(f"member {int(m)}: its releases leave it free to move by itself")
        carry = np.linalg.solve(inner, k[m][out]).T
        clamped[:, m] -= np.einsum("ij,kj->ki", carry, clamped[:, m][:, out])
        k[m] -= carry @ k[m][out]
        k[m][out] = 0.0
        k[m][:, out] = 0.0
        clamped[:, m, out] = 0.0
