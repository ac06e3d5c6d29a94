"""What a file in the pack may be called, and when two names would be one file."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from barwright.job.errors import BadInput, Fault

_UNSAFE = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*\s]+')
_RESERVED = re.compile(r"^(con|prn|aux|nul|com\d|lpt\d)(\..*)?$", re.IGNORECASE)
LONGEST = 120
"""Bytes of a file name kept, so that a folder's path still has room."""


def file_name(name: str) -> str:
    """A part's name as a file name that stays in its folder on every system.

    Separators, control letters and letters Windows forbids become "-"; leading dots go.

    >>> file_name("side.hinge.cheek-front"), file_name("../../etc/passwd"), file_name("NUL")
    ('side.hinge.cheek-front', 'etc-passwd', '_NUL')
    """
    text = _UNSAFE.sub("-", unicodedata.normalize("NFC", name))
    text = re.sub(r"\.\.+", ".", text).strip(".- ")
    text = text.encode("utf-8")[:LONGEST].decode("utf-8", errors="ignore").rstrip(". ")
    if not text:
        raise BadInput(
            Fault(
                file="job.toml", entry="name", read=repr(name), expected="a name with letters in it"
            )
        )
    return f"_{text}" if _RESERVED.match(text) else text


def check_apart(kind: str, names: Iterable[str]) -> None:
    """Refuse two names that would be one file, also where capitals do not count.

    Raises:
        BadInput: every pair found.
    """
    seen: dict[str, str] = {}
    faults: list[Fault] = []
    for name in names:
        key = unicodedata.normalize("NFKC", file_name(name)).casefold()
        if key in seen:
            faults.append(_same(kind, seen[key], name))
        seen.setdefault(key, name)
    if faults:
        raise BadInput(*faults)


def _same(kind: str, first: str, second: str) -> Fault:
    both = f"{first} and {second}" if first != second else f"{first}, twice"
    return Fault(
        file="job.toml",
        entry=f"{kind} {second}",
        read=both,
        expected="names that differ in more than capitals, since each becomes a file",
        do=f"rename one of the two {kind}s",
    )
