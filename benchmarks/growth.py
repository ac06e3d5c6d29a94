"""How the work grows with the size of the job: the same task at 10 to 1,000 marks, bars or parts.

    ./run bench --growth

Processor time, the least of three; the exponent is the slope of the line through the logarithms of
those sizes that take more than a millisecond: 1 is in step with the size, 2 with its square.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from barwright.buildup.differences import depths, near_pairs
from barwright.buildup.hulls import hulls_of
from barwright.geometry.bending import from_corners, table_of
from barwright.geometry.cope import cylinder_cope
from barwright.job.schema import Job, Reading
from barwright.pack.write import make
from barwright.route import build
from barwright.strength.frame import Loads, frame
from barwright.strength.solve import solve
from barwright.survey.adjust import adjust, covariance_of
from barwright.survey.compile import network_of
from barwright.survey.equations import linearise
from barwright.swing.clearance import swing
from barwright.tubes.nesting import Piece, nest
from benchmarks import bench_buildup, bench_strength, bench_swing, bench_tubes

SIZES = (10, 32, 100, 316, 1000)
LONGEST = 8.0
"""Once a size takes longer than this [s] the next is not tried."""
FLOOR = 1e-3
PICTURE = Path(__file__).parents[1] / "docs" / "pictures" / "growth.svg"


@dataclass(frozen=True, kw_only=True)
class Growth:
    """One task's times [s] at its sizes, and the exponent fitted to them."""

    what: str
    sizes: tuple[int, ...]
    times: tuple[float, ...]
    exponent: float


def growths() -> list[Growth]:
    """Every task."""
    tasks: dict[str, Callable[[int], Callable[[], object]]] = {
        "survey: marks, four tapes each, with covariance": survey,
        "cope: as many tube ends": copes,
        "bend table: as many bars of two bends": tables,
        "swing: a leaf among parts": swings,
        "frame: members, ten cases": frames,
        "interference: parts with one another": meetings,
        "nesting: pieces out of stock": nestings,
        "pack: bars in a row, every file": packs,
    }
    return [grown(what, make) for what, make in tasks.items()]


def grown(what: str, make: Callable[[int], Callable[[], object]]) -> Growth:
    """Time a task at every size it can be done at in good time."""
    times: list[float] = []
    for size in SIZES:
        times.append(least(make(size)))
        if times[-1] > LONGEST:
            break
    sizes = SIZES[: len(times)]
    slow = [(n, t) for n, t in zip(sizes, times, strict=True) if t > FLOOR][-4:]
    exponent = float("nan")
    if len(slow) > 1:
        exponent = float(np.polyfit(*np.log(np.array(slow)).T, 1)[0])
    return Growth(what=what, sizes=sizes, times=tuple(times), exponent=exponent)


def least(task: Callable[[], object]) -> float:
    """The least processor time of up to three runs [s], that of its helpers included."""
    best = float("inf")
    for _ in range(3):
        begun = spent()
        task()
        best = min(best, spent() - begun)
        if best > 3.0:
            break
    return best


def spent() -> float:
    """Processor time so far, of this process and of those it has started and ended [s]."""
    helpers = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + helpers.ru_utime + helpers.ru_stime


def survey(marks: int) -> Callable[[], object]:
    """Marks strewn as thick as on a vehicle: each taped to four near ones, one coordinate read."""
    rng = np.random.default_rng(4)
    truth = rng.uniform(0.0, 500.0 * marks ** (1 / 3), (marks, 3))
    apart = np.linalg.norm(truth[:, None] - truth[None], axis=2)
    near = np.argsort(apart, axis=1)[:, 1:6]
    pairs = sorted({(min(i, int(j)), max(i, int(j))) for i in range(marks) for j in near[i]})
    rows = [("tape", (f"M{i}", f"M{j}"), apart[i, j]) for i, j in pairs]
    axes = (("height", 2), ("offset", 1), ("station", 0))
    rows += [(kind, (f"M{i}",), truth[i, axis]) for i in range(marks) for kind, axis in axes]
    readings = [
        Reading(line=n, kind=kind, marks=names, value=v + rng.normal(), plus_minus=1.0)  # type: ignore[arg-type]
        for n, (kind, names, v) in enumerate(rows, 2)
    ]
    network = network_of(readings, {}, tuple(f"M{i}" for i in range(marks)))
    start = (truth + rng.normal(0.0, 15.0, truth.shape)).ravel()

    def run() -> object:
        found = adjust(lambda v: linearise(network, v.reshape(-1, 3)), start)
        return covariance_of(found.normal)

    return run


def copes(ends: int) -> Callable[[], object]:
    """The whole wall of so many ends, 720 stations each."""
    tip, one, stations = bench_tubes.TIP, bench_tubes.ONE, bench_tubes.STATIONS
    return lambda: [cylinder_cope(tip, *one, stations) for _ in range(ends)]


def tables(bars: int) -> Callable[[], object]:
    """Corners to bends, rolls and straights."""
    rng = np.random.default_rng(2)
    steps = rng.uniform(300.0, 700.0, (bars, 4, 3))
    corners = [[tuple(map(float, p)) for p in c] for c in np.cumsum(steps, axis=1)]
    return lambda: [table_of(from_corners(c, 90.0)) for c in corners]


def swings(parts: int) -> Callable[[], object]:
    """First contact and certified clearance of a bent bar hung among parts."""
    motion, movers, standing, allowed = bench_swing.crowded(count=parts)
    return lambda: swing(motion, movers, standing, allowed=allowed)


def frames(members: int) -> Callable[[], object]:
    """A tower of as many floors as the members need, ten cases of random forces."""
    floors = max(2, round(members / 60))
    side = 5 if members >= 100 else 2
    grid = [(x, y, z) for z in range(floors + 1) for y in range(side) for x in range(side)]
    number = {p: i for i, p in enumerate(grid)}
    pairs = [
        (number[p], number[q])
        for d in ((0, 0, 1), (1, 0, 0), (0, 1, 0))
        for p in grid
        if (q := (p[0] + d[0], p[1] + d[1], p[2] + d[2])) in number
    ]
    rng = np.random.default_rng(3)
    nodes = 400.0 * np.array(grid, dtype=float) + rng.uniform(-60.0, 60.0, (len(grid), 3))
    held = np.zeros((len(grid), 6), dtype=bool)
    held[: side * side] = True
    tube, e, g = bench_strength.TUBE, bench_strength.E, bench_strength.G_
    nodal = rng.uniform(-1e3, 1e3, (10, len(grid), 6))
    made = frame(
        nodes,
        np.array(pairs),
        EA=e * tube.area,
        EIy=e * tube.inertia,
        EIz=e * tube.inertia,
        GJ=g * tube.polar,
        held=held,
    )
    return lambda: solve(made, Loads(nodal=nodal))


def meetings(parts: int) -> Callable[[], object]:
    """Every pair that overlaps, in a room that grows with the parts."""
    hulls = hulls_of(bench_buildup._parts(parts))  # noqa: SLF001 - the benchmark's own scene

    def run() -> object:
        i, j = near_pairs(hulls, hulls)
        return depths(hulls, hulls, i, j)

    return run


def nestings(pieces: int) -> Callable[[], object]:
    """Lengths of a frame's bars out of six-metre stock."""
    rng = np.random.default_rng(5)
    lengths = rng.integers(200, 2400, pieces)
    wanted = tuple(Piece(name=f"b{k}", length=float(v)) for k, v in enumerate(lengths))
    return lambda: nest(wanted, 6000.0, kerf=2.0)


def packs(bars: int) -> Callable[[], object]:
    """The pack of so many rails welded square between two sills: cut lists, templates, solids."""
    n = max(2, bars - 2)
    ends = {
        f"{side}{k}": (300.0 * k, y, 500.0) for k in range(n) for side, y in (("L", 0), ("R", 900))
    }
    path = {f"rail-{k}": [f"L{k}", f"R{k}"] for k in range(n)}
    path |= {f"sill-{side}": [f"{side}0", f"{side}{n - 1}"] for side in "LR"}
    said = {
        "stock": {"main": {"od": "38.1 mm", "wall": "2.4 mm"}},
        "bar": {name: {"stock": "main", "path": marks} for name, marks in path.items()},
    }
    job = Job.model_validate(said, context={"unit": "mm"})
    readings = tuple(
        Reading(line=i, kind="fixed", marks=(name,), at=at, plus_minus=0.1)
        for i, (name, at) in enumerate(ends.items(), 2)
    )
    built = build(job.model_copy(update={"readings": readings}))
    return lambda: make(built)


def table(found: list[Growth]) -> str:
    """The table of the manual."""
    head = "| what grows | " + " | ".join(f"{n:,}" for n in SIZES) + " | exponent |"
    rows = [head, "|---" * (len(SIZES) + 2) + "|"]
    for one in found:
        said = [f"{1e3 * t:.3g} ms" for t in one.times] + ["–"] * (len(SIZES) - len(one.times))
        rows.append(f"| {one.what} | {' | '.join(said)} | {one.exponent:.2f} |")
    return "\n".join(rows)


def plot(found: list[Growth], to: Path = PICTURE) -> None:
    """All on logarithmic axes."""
    import matplotlib as mpl

    mpl.use("svg")
    import matplotlib.pyplot as plt

    mpl.rcParams["svg.hashsalt"] = "growth"
    figure, axes = plt.subplots(figsize=(7.0, 4.2))
    for one in found:
        label = f"{one.what.partition(':')[0]}, n^{one.exponent:.2f}"
        axes.loglog(one.sizes, [1e3 * t for t in one.times], marker="o", label=label)
    axes.set(xlabel="marks, bars, members or parts", ylabel="processor time [ms]")
    axes.grid(alpha=0.3, which="both")
    axes.legend(fontsize=8)
    figure.tight_layout()
    figure.savefig(to, metadata={"Date": None})
    plt.close(figure)
