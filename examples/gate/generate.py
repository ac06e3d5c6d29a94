"""Invent the guard gate: a hidden truth, and the readings a person with a tape would have taken.

A small tractor's tube frame: four uprights and the rails between them. Across the driver's step on
the left stands a gate, one bent bar, hung on the rear upright and latched to the front one.
Nothing here was measured on a real machine. Run it to write `readings.csv` and `truth.csv` again;
the same seed gives the same files.

    python examples/gate/generate.py
"""

from __future__ import annotations

import csv
import math
import random
from itertools import combinations
from pathlib import Path

SEED = 412
HERE = Path(__file__).parent

Point = tuple[float, float, float]

# [mm]: x forward of the rear uprights, y left of the centre plane, z above the yard.
MARKS: dict[str, Point] = {
    "RL": (0.0, 560.0, 480.0),  # rear upright, left: foot and head
    "RLT": (0.0, 540.0, 1750.0),
    "RR": (3.0, -561.0, 482.0),
    "RRT": (-2.0, -541.0, 1752.0),
    "FL": (905.0, 560.0, 480.0),  # front upright, left
    "FLT": (860.0, 540.0, 1750.0),
    "FR": (903.0, -558.0, 479.0),
    "FRT": (861.0, -540.0, 1748.0),
    "H": (82.0, 562.0, 950.0),  # hinge pin, forward of the rear upright
    "K": (803.0, 557.0, 950.0),  # free end of the gate's bar, behind the front upright
}

HEIGHTS = OFFSETS = STATIONS = tuple(MARKS)
BARS = (("RL", "RLT"), ("FL", "FLT"), ("RR", "RRT"), ("FR", "FRT"))


def read(mm: float, rng: random.Random) -> str:
    """What a tape in millimetres shows: hand and eye to 0.7 mm, then the nearest whole one."""
    return f"{mm + rng.gauss(0.0, 0.7):.0f}"


def readings(rng: random.Random) -> list[tuple[str, str, str, str, str]]:
    """The notebook: heights, stations and offsets, all tapes in reach, four angles."""
    rows = [
        (kind, name, read(MARKS[name][axis], rng), "", "")
        for kind, axis, names in (
            ("height", 2, HEIGHTS),
            ("station", 0, STATIONS),
            ("offset", 1, OFFSETS),
        )
        for name in names
    ]
    for a, b in combinations(MARKS, 2):
        rows.append(("tape", f"{a} {b}", read(math.dist(MARKS[a], MARKS[b]), rng), "", ""))
    for a, b in BARS:
        p, q = MARKS[a], MARKS[b]
        rise = math.degrees(math.atan2(q[2] - p[2], math.dist(p[:2], q[:2])))
        rows.append(("incline", f"{a} {b}", f"{rise + rng.gauss(0.0, 0.2):.1f}", "", ""))
    return rows


def main() -> None:
    """Write both files."""
    rng = random.Random(SEED)
    with (HERE / "readings.csv").open("w", newline="\n") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(("kind", "marks", "value", "plus_minus", "note"))
        out.writerows(readings(rng))
    with (HERE / "truth.csv").open("w", newline="\n") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(("mark", "x", "y", "z"))
        out.writerows((name, *at) for name, at in MARKS.items())


if __name__ == "__main__":
    main()
