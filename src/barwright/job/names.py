"""Names of marks, bars, leaves …: what may be in them, since they become file names too."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

_NEVER = r"\s\x00-\x1f\x7f/\\|.,;:<>*?\"'`#=\[\]{}"
NAME_PATTERN = rf"^[^{_NEVER}\-][^{_NEVER}]*$"
"""No blanks, dots, slashes, quotes, commas …, and no dash in front."""

LONGEST_NAME = 60

MOST_COMPARED = 2000


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like the one written; empty when none is near, or too many to compare.

    >>> nearest("hieght", ["tape", "height"]), nearest("xyz", ["tape"])
    ('height', '')
    """
    names = {name.casefold(): name for name in known}
    if len(names) > MOST_COMPARED:
        return ""
    close = difflib.get_close_matches(word[:LONGEST_NAME].casefold(), names, n=1, cutoff=0.6)
    return names[close[0]] if close else ""
