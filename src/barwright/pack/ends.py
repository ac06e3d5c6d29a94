"""How a bar's end is cut, in words: square, against other bars, or to a plate's face."""

from __future__ import annotations

import numpy as np

from barwright.tubes.bars import End

LEVEL = 1e-6
"""A cut whose positions differ by less than this [mm] is square."""


def is_square(end: End) -> bool:
    """Whether a saw makes the end, with no template."""
    return float(np.ptp(end.cope)) < LEVEL


def meets(end: End) -> tuple[str, ...]:
    """What the end is cut to: bars by name, or a plate's face; nothing for a square end."""
    if end.against:
        return end.against
    return () if is_square(end) else ("a plate's face",)
