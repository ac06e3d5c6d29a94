"""Known coordinates as people write them: three lengths, parted by blanks, commas or semicolons."""

from __future__ import annotations

from collections.abc import Iterator

from barwright.geometry.vectors import Point
from barwright.job.lengths import parse_length

_EXPECTED = (
    "three lengths x y z were expected, such as 10 5 3 1/2; "
    "part them with semicolons where blanks would not be clear"
)
_LONGEST = 200


def parse_point(text: str, unit: str) -> Point:
    """Coordinates in millimetres.

    Raises:
        ValueError: not three lengths, or more than one way to read them.

    >>> parse_point("10 5 3 1/2", "mm")
    (10.0, 5.0, 3.5)
    >>> parse_point("1' 3 1/2 2", "in")
    Traceback (most recent call last):
    ...
    ValueError: there is more than one way to read this: part the three lengths with semicolons
    """
    if len(text) > _LONGEST:
        raise ValueError(f"at most {_LONGEST} characters belong here, not {len(text)}")
    for parting in ";,":
        if parting in text:
            return _parted(text, parting, unit)
    ways = set(_ways(text.split(), unit))
    if len(ways) > 1:
        raise ValueError(
            "there is more than one way to read this: part the three lengths with semicolons"
        )
    if not ways or _is_one_length(text, unit):
        raise ValueError(_EXPECTED)
    return ways.pop()


def _is_one_length(text: str, unit: str) -> bool:
    """Whether the text would do as one length: 1' 3 1/2 is not three."""
    try:
        parse_length(text, unit)
    except ValueError:
        return False
    return True


def _parted(text: str, parting: str, unit: str) -> Point:
    pieces = text.split(parting)
    point = _three(pieces, unit) if len(pieces) == 3 else None
    if point is None:
        hint = "; write a decimal point, not a comma" if parting == "," or "," in text else ""
        raise ValueError(_EXPECTED + hint)
    return point


def _ways(words: list[str], unit: str) -> Iterator[Point]:
    """Every way to take the words as three lengths."""
    for i in range(1, min(len(words) - 1, 8)):
        for j in range(i + 1, min(len(words), i + 8)):
            pieces = [" ".join(p) for p in (words[:i], words[i:j], words[j:])]
            if point := _three(pieces, unit):
                yield point


def _three(pieces: list[str], unit: str) -> Point | None:
    try:
        x, y, z = (parse_length(piece, unit) for piece in pieces)
    except ValueError:
        return None
    return (x, y, z)
