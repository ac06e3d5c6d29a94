"""The demo job, one click away: a two-seat tube-framed marsh buggy, our own invention."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from barwright.bench.edits import FILES

DRAWN = ("bought/latch.dxf",)


def heron() -> dict[str, str]:
    """The demo's two files; nothing where it was not installed with the rest."""
    place = _place()
    return {name: (place / name).read_text("utf-8") for name in FILES} if place else {}


def drawings() -> dict[str, bytes]:
    """The outlines of the bought parts that the demo names."""
    place = _place()
    found = {name: place.joinpath(*name.split("/")) for name in DRAWN} if place else {}
    return {name: path.read_bytes() for name, path in found.items()}


def _place() -> Traversable | None:
    """An installed Barwright carries it beside this module; a working copy in examples/."""
    carried = files("barwright.bench") / "heron"
    here = Path(__file__).parents[3] / "examples" / "heron"
    for place in (carried, here):
        if all((place / name).is_file() for name in FILES):
            return place
    return None
