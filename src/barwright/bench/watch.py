"""Has somebody else saved a file? Told by looking, so that saving by renaming is seen too."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import TypeAlias

EVERY = 0.1
"""Seconds between two looks."""

Stamp: TypeAlias = tuple[int, int, int] | None


def stamp(path: Path) -> Stamp:
    """What tells one saved state of a file from another; None while it is not there."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_ino, found.st_size


async def watch(paths: Callable[[], tuple[Path, ...]], changed: Callable[[], None]) -> None:
    """Call `changed` whenever a file is saved, renamed over, taken away or comes back."""
    seen = {path: stamp(path) for path in paths()}
    while True:
        await asyncio.sleep(EVERY)
        now = {path: stamp(path) for path in paths()}
        if now != seen:
            seen = now
            changed()
