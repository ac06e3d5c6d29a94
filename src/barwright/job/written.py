"""What people type, brought to one spelling: dashes, primes, quotes and vulgar fractions."""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

LONGEST = 80
"""Characters; no length or angle needs more."""

_SAME = str.maketrans(
    {
        **dict.fromkeys("\u2018\u2019\u201b\u2032\u02b9\u02bc\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u201f\u2033\u02ba\u3003", '"'),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212\ufe63\uff0d", "-"),
        **dict.fromkeys("\u2044\u2215\u29f8", "/"),
        "\u00ad": "",
    }
)
_COMMA = re.compile(r"(?<=\d),(?=\d)")


def as_typed(text: str) -> str:
    r"""The text in plain characters, its blanks made single.

    Raises:
        ValueError: nothing is written, too much is written, or a comma stands in it.

    >>> as_typed(" 1\u2032  3\u00bd\u2033 ")
    '1\' 3 1/2"'
    """
    if len(text) > LONGEST:
        raise ValueError(f"at most {LONGEST} characters belong here, not {len(text)}")
    plain = "".join(_vulgar(c) for c in text.translate(_SAME)).replace("''", '"')
    plain = " ".join(plain.split())
    if not plain:
        raise ValueError(
            "a value was expected where nothing is written; write one, or take the line out"
        )
    if "," in plain:
        raise ValueError(decimal_comma(plain))
    return plain


def decimal_comma(text: str) -> str:
    """What to say about a comma in a number."""
    if _COMMA.search(text) and "." not in text and text.count(",") == 1:
        return f"write a decimal point, not a comma: {text.replace(',', '.')}"
    return f"write a number without commas: {text.replace(',', '')}"


def _vulgar(character: str) -> str:
    """A vulgar fraction as blank, numerator, slash, denominator; any other as it is."""
    kind, _, rest = unicodedata.decomposition(character).partition(" ")
    if kind != "<fraction>":
        return character
    return " " + "".join(chr(int(code, 16)) for code in rest.split()).replace("\u2044", "/")


def exact(text: str) -> Fraction:
    """A whole number, decimal, fraction, or whole number and fraction, exactly.

    Raises:
        ValueError: a fraction with zero below the line, or of one or more after a whole number.

    >>> exact("3-1/2"), exact("7/16"), exact(".125")
    (Fraction(7, 2), Fraction(7, 16), Fraction(1, 8))
    """
    whole, _, part = text.replace("-", " ").rpartition(" ")
    if "/" not in part:
        return Fraction(text)
    above, _, below = part.partition("/")
    if int(below) == 0:
        raise ValueError("a fraction cannot have zero below the line")
    if whole and int(above) >= int(below):
        raise ValueError(f"after a whole number the fraction is less than one, not {part}")
    return int(whole or 0) + Fraction(int(above), int(below))
