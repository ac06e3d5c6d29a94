"""Nearest points of many pairs of straight segments, in closed form."""

from __future__ import annotations

import numpy as np

from barwright.geometry.vectors import Floats


def nearest_on_segments(p: Floats, q: Floats, r: Floats, s: Floats) -> tuple[Floats, Floats]:
    """Where on p-q and on r-s the two segments come nearest, as shares 0..1.

    C. Ericson, Real-Time Collision Detection (2005), section 5.1.9, from memory: solve for both
    lines, clamp to the first segment, then to the second, then to the first again.

    Args:
        p: one end of the first segments, shape (n, 3) [mm].
        q: their other end.
        r: one end of the second segments.
        s: their other end.

    Returns:
        Shares along p-q and along r-s, shape (n,) each. Any one of them where segments are
        parallel and many are as near.

    >>> import numpy as np
    >>> one = np.array([[0.0, 0, 0]]), np.array([[10.0, 0, 0]])
    >>> two = np.array([[4.0, -3, 5]]), np.array([[4.0, 9, 5]])
    >>> [x.round(9).tolist() for x in nearest_on_segments(*one, *two)]
    [[0.4], [0.25]]
    """
    d1, d2, w = q - p, s - r, p - r
    a, e = (d1 * d1).sum(axis=1), (d2 * d2).sum(axis=1)
    b, c, f = (d1 * d2).sum(axis=1), (d1 * w).sum(axis=1), (d2 * w).sum(axis=1)
    det = a * e - b * b
    tiny = 1e-300
    skew = det > 1e-12 * a * e
    first = np.where(skew, np.clip((b * f - c * e) / np.where(skew, det, 1.0), 0.0, 1.0), 0.5)
    second = np.clip((b * first + f) / np.maximum(e, tiny), 0.0, 1.0)
    first = np.clip((b * second - c) / np.maximum(a, tiny), 0.0, 1.0)
    again = np.clip((b * first + f) / np.maximum(e, tiny), 0.0, 1.0)
    return np.asarray(first), np.asarray(again)
