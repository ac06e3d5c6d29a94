"""The demo job, one click away: a two-seat tube-framed marsh buggy, our own invention."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from barwright.bench.edits import FILES


def heron() -> dict[str, str]:
    """The demo's two files; nothing where it was not installed with the rest.

    An installed Barwright carries them beside this module; a working copy has them in examples/.
    """
    carried = files("barwright.bench") / "heron"
    here = Path(__file__).parents[3] / "examples" / "heron"
    for place in (carried, here):
        if all((place / name).is_file() for name in FILES):
            return {name: (place / name).read_text("utf-8") for name in FILES}
    return {}
