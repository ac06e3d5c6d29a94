"""How long an altered reading takes: everything from the marks to the build-up worked out again.

Two jobs: the Heron, and two Herons one behind the other with gussets added until there are 62 bars
and 40 plates. The reading altered is another each time, by a sixteenth, so that nothing is found
already worked out. Times by the clock, helpers at work beside, against what is wished for: not
ratios to a library, for there is none that does this work.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from barwright.helper import stand_by, stand_down, sweep_seldom
from barwright.job.lengths import parse_length
from barwright.job.load import parse
from barwright.job.schema import Job
from barwright.route import build, stages
from benchmarks.timing import Row

HERON = Path(__file__).parents[1] / "examples" / "heron"
SIXTEENTH = 25.4 / 16.0
BEHIND = 160
"""The second Heron stands so much further back [in]."""
CORNERS = (
    ("hoop", "roof-brace"),
    ("header", "roof-brace"),
    ("rear-cross-high", "rear-upright-left"),
    ("rear-cross-high", "rear-upright-right"),
    ("seat-cross", "sill-left"),
    ("seat-cross", "sill-right"),
)


def rows() -> list[Row]:
    """The Heron warm, two of them warm, and the command from cold."""
    heron = parse(_text("job.toml"), _text("readings.csv"), folder=HERON)
    return [
        _recheck("one reading altered, all of the Heron rechecked", heron, 0.3),
        _recheck("the same with 62 bars and 40 plates", two_herons(), 0.1),
        _cold(),
    ]


def _recheck(what: str, job: Job, wished: float) -> Row:
    stand_by("barwright.route")
    before = build(job).marks
    sweep_seldom()  # as the page's worker does
    times = [
        _seconds(lambda k=k: [*stages(altered(job, k), before=before)])  # type: ignore[misc]
        for k in range(9, 79, 10)
    ]
    stand_down()
    return _row(what, statistics.median(times), wished)


def _cold() -> Row:
    """`barwright check` in a process of its own, loading included."""
    command = [sys.executable, "-m", "barwright.cli", "check", str(HERON)]
    env = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}

    def run() -> object:
        return subprocess.run(command, env=env, check=False, capture_output=True)  # noqa: S603 - ours

    return _row("`barwright check` of the Heron from cold", min(_seconds(run) for _ in range(4)), 2)


def _row(what: str, took: float, wished: float) -> Row:
    return Row(
        what=what,
        library=f"the {wished:g} s wished for, by the clock",
        ours=took,
        theirs=wished,
        ratio=wished / took,
        agree="",
    )


def _seconds(call: Callable[[], object]) -> float:
    begun = time.perf_counter()
    call()
    return time.perf_counter() - begun


def altered(job: Job, k: int) -> Job:
    """The job with its k-th reading a sixteenth more; one that has no value changes nothing."""
    readings = list(job.readings)
    one = readings[k]
    more = SIXTEENTH if one.kind in {"tape", "height", "station", "offset"} else 0.001
    readings[k] = one.model_copy(update={"value": (one.value or 0.0) + more})
    return job.model_copy(update={"readings": tuple(readings)})


def _text(name: str) -> str:
    return (HERON / name).read_text(encoding="utf-8")


def two_herons() -> Job:
    """Two Herons in one job, and gussets in their corners."""
    said = tomllib.loads(_text("job.toml"))
    rows = [line.split(",") for line in _text("readings.csv").splitlines()]
    names = {mark for row in rows[1:] for mark in row[1].split()} | {*said["bar"]}
    for table in ("bar", "leaf"):
        said[table] |= {f"{n}-2": _second(t, names) for n, t in said[table].items()}
    said["standing"]["bars"] += _second(said["standing"]["bars"], names)
    said["leaf"]["side-2"].pop("cable")  # led by places on the vehicle, not by marks
    said["twin"]["of"] += ["side-2"]
    pairs = [(f"{a}{end}", f"{b}{end}") for end in ("", "-2") for a, b in CORNERS]
    said["fitting"] = {
        f"corner-{k}": {"fitting": "corner-gusset", "bars": list(pair)}
        for k, pair in enumerate(pairs)
    }
    moved = [_moved(row) for row in rows[1:]]
    joined = [f"tape,AL AL-2,{BEHIND},,", f"tape,DR DR-2,{BEHIND},,"]
    text = "\n".join([*(",".join(row) for row in rows + moved), *joined])
    return parse(_toml(said), text, folder=HERON)


def _second(said: Any, names: set[str]) -> Any:  # noqa: ANN401 - what a table may hold
    """The same, of the second Heron: whatever names a mark or a bar gets its -2."""
    if isinstance(said, dict):
        return {key: _second(value, names) for key, value in said.items()}
    if isinstance(said, list):
        return [_second(value, names) for value in said]
    return f"{said}-2" if isinstance(said, str) and said in names else said


def _moved(row: list[str]) -> list[str]:
    """A reading of the second Heron, which stands further back."""
    kind, marks, value, *rest = row
    if kind == "station":
        value = str(parse_length(value, "in") / 25.4 - BEHIND)
    return [kind, " ".join(f"{mark}-2" for mark in marks.split()), value, *rest]


def _toml(said: Any) -> str:  # noqa: ANN401 - what a table may hold
    import tomlkit

    return tomlkit.dumps(said)
