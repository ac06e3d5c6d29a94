"""Directions in words that can be set out with a square, a level and a protractor.

The vehicle's own directions are named: the front (x), the left (y), above (z). Anything else is
told by angles from them: in plan first, then up or down.
"""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from barwright.geometry.vectors import Floats, unit

NEAR = math.radians(15.0)
"""A line this near to one of the vehicle's own directions goes by that direction's name."""
STEEP = math.radians(60.0)
"""A line steeper than this is told from upright, not from level."""
LEAST = 0.5
"""Angles of less than this [°] are not told."""


def line(direction: ArrayLike) -> str:
    """A line, whichever way it is gone along.

    >>> line((0.0, -1.0, 0.1))
    'across'
    >>> line((0.6157, 0.7880, 0.0))
    'a line 38° from across, its left end toward the front, level'
    >>> line((0.9, 0.0, -0.4359))
    'a line fore and aft, its front end 26° down'
    >>> line((0.3, -0.1, 0.9487))
    'a line 18° off upright, its top toward the front and 18° round to the right'

    Args:
        direction: along it, either way, of any length but zero, shape (3,).
    """
    n = unit(direction)
    names = ("fore and aft", "across", "up and down")
    k = int(abs(n).argmax())
    if abs(n[k]) > math.cos(NEAR):
        return names[k]
    if abs(n[2]) > math.sin(STEEP):
        up = n if n[2] > 0.0 else -n
        return f"a line {_degrees(math.acos(up[2]))} off upright, its top toward {_round(up)}"
    base = int(abs(n[:2]).argmax())
    n = n if n[base] > 0.0 else -n
    end = ("front", "left")[base]
    aside = math.atan2(abs(n[1 - base]), n[base])
    rises = _rises(n)
    if math.degrees(aside) < LEAST:
        return f"a line {names[base]}, its {end} end {rises or 'level'}"
    toward = _side(1 - base, n[1 - base])
    slope = f" and {rises}" if rises else ", level"
    return f"a line {_degrees(aside)} from {names[base]}, its {end} end toward {toward}{slope}"


def toward(direction: ArrayLike) -> str:
    """A direction gone in: "toward ..." in words.

    >>> toward((0.0, -2.0, 0.0))
    'the right'
    >>> toward((0.0, 0.1, -3.0))
    'the ground'
    >>> toward((0.9659, -0.2390, 0.0996))
    'the front and 14° round to the right, 6° up'

    Args:
        direction: of any length but zero, shape (3,).
    """
    n = unit(direction)
    if math.hypot(n[0], n[1]) < math.sin(math.radians(5.0)):
        return "above" if n[2] > 0.0 else "the ground"
    rises = _rises(n)
    return _round(n) + (f", {rises}" if rises else "")


def _round(n: Floats) -> str:
    """Where a direction points in plan: the nearest of four, and how far round from it."""
    base = int(abs(n[:2]).argmax())
    first = _side(base, n[base])
    aside = math.atan2(abs(n[1 - base]), abs(n[base]))
    if math.degrees(aside) < LEAST:
        return first
    return f"{first} and {_degrees(aside)} round to {_side(1 - base, n[1 - base])}"


def _side(axis: int, sign: float) -> str:
    return (("the front", "the rear"), ("the left", "the right"))[axis][0 if sign > 0.0 else 1]


def _rises(n: Floats) -> str:
    """How far a direction rises or falls; nothing where it is level."""
    angle = math.asin(n[2])
    if abs(math.degrees(angle)) < LEAST:
        return ""
    return f"{_degrees(abs(angle))} {'up' if angle > 0.0 else 'down'}"


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.0f}°"
