"""What probably went wrong with a suspect reading, found by trying the usual mistakes out.

Each mistake says what the reading would have been without it. That is held against what all
the other readings say, with its own doubt: the deviate is |would be - said| / sqrt(s² + sd²).
A mistake is named where it makes the reading fit, and where what it explains is far larger than
what it leaves (so that no wrong reading is explained by an arbitrary small slip).

The mistakes tried are common practice in measuring, no source: an inch (or several) off on a
tape, one, five or ten centimetres off, two digits swapped, hooked on the outside of a tube
instead of its centre (or the other way), the two tubes' radii forgotten, an angle read the
wrong way round or from plumb, and another mark than the one written down.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from barwright.job.lengths import parse_length
from barwright.job.schema import Reading
from barwright.survey.blunders import Settled
from barwright.survey.compile import network_of
from barwright.survey.equations import ANGLES, LENGTHS, linearise
from barwright.survey.marks import Mistake
from barwright.survey.motion import pushed

INCH = 25.4
FITS = 2.5
"""Deviates up to which a mistake explains a reading."""
TOLD = 0.35
"""What is left may be this share of what was off."""


@dataclass(frozen=True, kw_only=True)
class _Guess:
    says: str
    value: float
    marks: tuple[str, ...] = ()


def _inches(value: float) -> Iterator[_Guess]:
    """Whole inches, as when the tape is burned at its first inch or a tick is misread."""
    for count in range(1, 13):
        for sign in (1, -1):
            inches = "an inch" if count == 1 else "a foot" if count == 12 else f"{count} inches"
            yield _Guess(
                says=f"{inches} too {'long' if sign > 0 else 'short'}",
                value=value - sign * count * INCH,
            )


def _centimetres(value: float) -> Iterator[_Guess]:
    for step, name in (
        (10.0, "a centimetre"),
        (50.0, "five centimetres"),
        (100.0, "ten centimetres"),
    ):
        for sign in (1, -1):
            yield _Guess(
                says=f"{name} too {'long' if sign > 0 else 'short'}", value=value - sign * step
            )


def _swapped(text: str) -> Iterator[str]:
    for i in range(len(text) - 1):
        a, b = text[i], text[i + 1]
        leads = i == 0 or not text[i - 1].isdigit()
        if a.isdigit() and b.isdigit() and a != b and not (leads and b == "0"):
            yield text[:i] + b + a + text[i + 2 :]


def _parsed(text: str, kind: str, unit: str) -> float | None:
    try:
        if kind in ANGLES:
            return math.radians(float(text.replace("°", "").replace("deg", "")))
        return parse_length(text, unit)
    except ValueError:
        return None


def _units_of(r: Reading, text: str) -> str | None:
    """The unit in which the text gives the reading's value; None where it gives it in none."""
    for unit in ("mm", "in"):
        value = _parsed(text, r.kind, unit)
        if value is not None and r.value is not None and abs(value - r.value) < 1e-6:
            return unit
    return None


def _digits(r: Reading) -> Iterator[_Guess]:
    """Two digits next to each other swapped, in the value as written or in plain millimetres."""
    assert r.value is not None  # noqa: S101 - only asked of kinds with a value
    if r.written:
        texts = [r.written]
    elif r.kind in ANGLES:
        texts = [f"{math.degrees(r.value):g}"]
    else:
        texts = [f"{r.value:g}", f"{r.value / INCH:.6g} in"]
    for text in texts:
        unit = _units_of(r, text) or "mm"
        for other in _swapped(text):
            value = _parsed(other, r.kind, unit)
            if value is not None:
                yield _Guess(says=f"two digits swapped, {other} and not {text}", value=value)


def _point(value: float) -> Iterator[_Guess]:
    """The decimal point one place off, or a nought too many or too few."""
    yield _Guess(says="ten times too long, the decimal point or a nought", value=value / 10.0)
    yield _Guess(says="ten times too short, the decimal point or a nought", value=value * 10.0)


def _hooks(r: Reading, radius_of: Mapping[str, float]) -> Iterator[_Guess]:
    """Hooked on the outside of a tube instead of its centre, at one mark or at both."""
    assert r.value is not None  # noqa: S101 - only asked of kinds with a value
    radii = [(m, radius_of[m]) for m in r.marks if radius_of.get(m)]
    for mark, radius in radii:
        yield _Guess(
            says=f"hooked over the outside of the tube at {mark} instead of its centre",
            value=r.value - radius,
        )
        yield _Guess(
            says=f"read to the inside of the tube at {mark} instead of its centre",
            value=r.value + radius,
        )
    if len(radii) == 2:
        both = radii[0][1] + radii[1][1]
        yield _Guess(
            says="taken outside to outside instead of centre to centre", value=r.value - both
        )
        yield _Guess(
            says="taken inside to inside instead of centre to centre", value=r.value + both
        )


def _angles(r: Reading) -> Iterator[_Guess]:
    assert r.value is not None  # noqa: S101 - only asked of kinds with a value
    if r.kind == "incline":
        yield _Guess(says="read the wrong way round, from the other end", value=-r.value)
        side = math.copysign(math.pi / 2.0, r.value)
        yield _Guess(says="read from plumb instead of from level", value=side - r.value)
    else:
        yield _Guess(says="the outer angle instead of the inner", value=math.pi - r.value)


def _sign(r: Reading) -> Iterator[_Guess]:
    assert r.value is not None  # noqa: S101 - only asked of kinds with a value
    if r.kind in {"offset", "station"}:
        side = "side" if r.kind == "offset" else "direction"
        yield _Guess(says=f"the sign is wrong: the other {side}", value=-r.value)


def guesses(r: Reading, radius_of: Mapping[str, float]) -> tuple[_Guess, ...]:
    """Values the reading would have had without one of the usual mistakes.

    Args:
        r: the suspect reading.
        radius_of: outside radius [mm] of the tube at a mark.
    """
    if r.value is None:
        return ()
    if r.kind in ANGLES:
        return (*_angles(r), *_digits(r))
    if r.kind not in LENGTHS:
        return ()
    hooks = _hooks(r, radius_of) if r.kind in {"tape", "height", "station", "offset"} else ()
    return (
        *_inches(r.value),
        *hooks,
        *_digits(r),
        *_point(r.value),
        *_sign(r),
        *_centimetres(r.value),
    )


def said_by_the_rest(
    reading: Reading, settled: Settled, radius_of: Mapping[str, float]
) -> tuple[float, float]:
    """What the other readings say a reading should be, and the sd of that [mm or rad]."""
    network = network_of((reading,), radius_of, settled.network.names)
    at = linearise(network, settled.x)
    row = pushed(at, np.eye(settled.x.size))[0] * reading.plus_minus
    value = (reading.value or 0.0) + float(at.residual[0]) * reading.plus_minus
    return value, float(np.sqrt(max(row @ settled.covariance @ row, 0.0)))


def _other_marks(
    reading: Reading, settled: Settled, radius_of: Mapping[str, float]
) -> Iterator[tuple[float, float, tuple[str, ...]]]:
    """For every other mark in one place of the reading: its misfit, and the marks then."""
    x = settled.x
    for slot, written in enumerate(reading.marks):
        near = np.linalg.norm(x - x[settled.network.index[written]], axis=1)
        for i in np.argsort(near):
            name = settled.network.names[int(i)]
            if name in reading.marks or (
                reading.kind in {"over", "between"} and name not in radius_of
            ):
                continue
            marks = (*reading.marks[:slot], name, *reading.marks[slot + 1 :])
            trial = reading.model_copy(update={"marks": marks})
            value, sd = said_by_the_rest(trial, settled, radius_of)
            yield value, sd, marks


def mistakes_of(
    reading: Reading, settled: Settled, radius_of: Mapping[str, float], *, most: int = 3
) -> tuple[Mistake, ...]:
    """The likely mistakes behind a suspect reading, the best fitting first; often none.

    Args:
        reading: left out of the adjustment.
        settled: the adjustment without it.
        radius_of: outside radius [mm] of the tube at a mark.
        most: how many to name.
    """
    if reading.value is None:
        return ()
    said, sd = said_by_the_rest(reading, settled, radius_of)
    doubt = math.hypot(sd, reading.plus_minus)
    off = abs(reading.value - said)
    found: list[Mistake] = []
    for guess in guesses(reading, radius_of):
        left = abs(guess.value - said)
        if left <= FITS * doubt and left <= TOLD * off:
            found.append(
                Mistake(line=reading.line, says=guess.says, instead=guess.value, left=left / doubt)
            )
    found += _wrong_marks(reading, settled, radius_of, off)
    found.sort(key=lambda m: (round(m.left), bool(m.marks)))
    return tuple(found[:most])


def _wrong_marks(
    reading: Reading, settled: Settled, radius_of: Mapping[str, float], off: float
) -> list[Mistake]:
    assert reading.value is not None  # noqa: S101 - asked for above
    found = []
    for value, sd, marks in _other_marks(reading, settled, radius_of):
        left, doubt = abs(reading.value - value), math.hypot(sd, reading.plus_minus)
        if left <= FITS * doubt and left <= TOLD * off:
            says = f"taken at {' '.join(marks)} and not at {' '.join(reading.marks)}"
            found.append(Mistake(line=reading.line, says=says, marks=marks, left=left / doubt))
    return sorted(found, key=lambda m: m.left)[:2]


def mistakes_in(
    suspects: Sequence[Reading], settled: Settled, radius_of: Mapping[str, float]
) -> tuple[Mistake, ...]:
    """The likely mistakes of all suspect readings, in their order."""
    return tuple(m for r in suspects for m in mistakes_of(r, settled, radius_of))
