"""General tolerances of cut, bent and welded parts: ISO 2768-1, ISO 9013, ISO 13920.

Figures are facts of the standards, read in copies and extracts of them, not in the standards
themselves: have a person check the edition that a drawing names. Lengths in millimetres, angles
in radians; every tolerance is plus and minus what is given, unless said otherwise.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from typing import Literal, TypeAlias

Class2768: TypeAlias = Literal["f", "m", "c", "v"]
Class13920: TypeAlias = Literal["A", "B", "C", "D"]
Flatness13920: TypeAlias = Literal["E", "F"]

_UP_TO_2768 = (3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
_LINEAR_2768: dict[Class2768, tuple[float | None, ...]] = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (None, None, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (None, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}
_LEG_2768 = (10.0, 50.0, 120.0, 400.0)
_ANGULAR_2768: dict[Class2768, tuple[float, ...]] = {  # minutes of arc
    "f": (60.0, 30.0, 20.0, 10.0, 5.0),
    "m": (60.0, 30.0, 20.0, 10.0, 5.0),
    "c": (90.0, 60.0, 30.0, 15.0, 10.0),
}
_UP_TO_9013 = (35.0, 125.0, 315.0, 1000.0)
_LIMITS_9013: tuple[tuple[float, tuple[float, ...]], ...] = (  # cut thickness up to, class 1
    (3.15, (0.20, 0.25, 0.25, 0.35)),
    (6.3, (0.25, 0.25, 0.30, 0.40)),
    (10.0, (0.30, 0.30, 0.35, 0.45)),
)
_SQUARENESS_9013 = ((0.05, 0.003), (0.15, 0.007), (0.4, 0.01), (0.8, 0.02), (1.2, 0.035))
_UP_TO_13920 = (30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
_LINEAR_13920: dict[Class13920, tuple[float, ...]] = {
    "A": (1.0, 1.0, 1.0, 2.0, 3.0, 4.0),
    "B": (1.0, 2.0, 2.0, 3.0, 4.0, 6.0),
    "C": (1.0, 3.0, 4.0, 6.0, 8.0, 11.0),
    "D": (1.0, 4.0, 7.0, 9.0, 12.0, 16.0),
}
_LEG_13920 = (400.0, 1000.0)
_ANGULAR_13920: dict[Class13920, tuple[float, ...]] = {  # minutes of arc
    "A": (20.0, 15.0, 10.0),
    "B": (45.0, 30.0, 20.0),
    "C": (60.0, 45.0, 30.0),
    "D": (90.0, 75.0, 60.0),
}
_FLAT_13920: dict[Flatness13920, tuple[float, ...]] = {
    "E": (0.5, 1.0, 1.5, 2.0, 3.0),
    "F": (1.0, 1.5, 3.0, 4.5, 6.0),
}


def iso_2768_linear(nominal: float, grade: Class2768) -> float:
    """ISO 2768-1, limit deviation of a length without its own tolerance [mm].

    Args:
        nominal: 0.5 to 4000 [mm].
        grade: f fine, m medium, c coarse, v very coarse.

    Raises:
        ValueError: the table gives no value there (or, for c below 6 mm, copies disagree).

    >>> iso_2768_linear(100.0, "m")
    0.3
    """
    if not 0.5 <= nominal <= 4000.0:
        raise ValueError("ISO 2768-1 covers lengths from 0.5 to 4000 mm")
    found = _LINEAR_2768[grade][bisect_left(_UP_TO_2768, nominal)]
    if found is None:
        raise ValueError(f"no value is held for class {grade} at {nominal:g} mm")
    return found


def iso_2768_angular(shorter_leg: float, grade: Class2768) -> float:
    """ISO 2768-1, limit deviation of an angle [rad], by its shorter leg [mm].

    Raises:
        ValueError: no value is held for class v.

    >>> round(math.degrees(iso_2768_angular(30.0, "m")), 9)
    0.5
    """
    if grade not in _ANGULAR_2768:
        raise ValueError("no angular values are held for class v")
    return _minutes(_ANGULAR_2768[grade][bisect_left(_LEG_2768, shorter_leg)])


def iso_9013_limit(thickness: float, nominal: float) -> float:
    """ISO 9013 class 1, limit deviation of a thermally cut length [mm]: what laser cutting holds.

    Args:
        thickness: of the plate, above 1 to 10 [mm].
        nominal: 10 to 1000 [mm].

    Raises:
        ValueError: outside the part of the table that is held.

    >>> iso_9013_limit(3.0, 100.0)
    0.25
    """
    if not 1.0 < thickness <= 10.0 or not 10.0 <= nominal <= 1000.0:
        raise ValueError("held for plates above 1 to 10 mm and lengths from 10 to 1000 mm")
    row = next(values for upto, values in _LIMITS_9013 if thickness <= upto)
    return row[min(bisect_left(_UP_TO_9013, nominal), len(row) - 1)]


def iso_9013_squareness(thickness: float, band: int) -> float:
    """ISO 9013:2017 table 4 (from memory), perpendicularity tolerance u of a cut face [mm].

    Args:
        thickness: a, of the cut [mm].
        band: 1 (best) to 5.

    Raises:
        ValueError: no such range.

    >>> round(iso_9013_squareness(6.0, 2), 3)
    0.192
    """
    if band not in range(1, 6):
        raise ValueError("ISO 9013 has ranges 1 to 5")
    fixed, share = _SQUARENESS_9013[band - 1]
    return fixed + share * thickness


def iso_13920_linear(nominal: float, grade: Class13920) -> float:
    """ISO 13920, limit deviation of a length of a weldment [mm].

    Args:
        nominal: 2 to 4000 [mm].
        grade: A to D.

    Raises:
        ValueError: outside the part of the table that is held.

    >>> iso_13920_linear(500.0, "B")
    3.0
    """
    if not 2.0 <= nominal <= 4000.0:
        raise ValueError("held for lengths from 2 to 4000 mm")
    return _LINEAR_13920[grade][bisect_left(_UP_TO_13920, nominal)]


def iso_13920_angular(shorter_leg: float, grade: Class13920) -> float:
    """ISO 13920, limit deviation of an angle of a weldment [rad], by its shorter leg [mm].

    >>> round(math.degrees(iso_13920_angular(300.0, "B")), 9)
    0.75
    """
    return _minutes(_ANGULAR_13920[grade][bisect_left(_LEG_13920, shorter_leg)])


def iso_13920_flatness(nominal: float, grade: Flatness13920) -> float:
    """ISO 13920, straightness, flatness and parallelism of a weldment [mm], in all.

    Args:
        nominal: above 30 to 4000 [mm].
        grade: E or F.

    Raises:
        ValueError: outside the part of the table that is held.

    >>> iso_13920_flatness(500.0, "E")
    1.5
    """
    if not 30.0 < nominal <= 4000.0:
        raise ValueError("held for lengths above 30 to 4000 mm")
    return _FLAT_13920[grade][bisect_left(_UP_TO_13920, nominal) - 1]


def _minutes(arc: float) -> float:
    return math.radians(arc / 60.0)
