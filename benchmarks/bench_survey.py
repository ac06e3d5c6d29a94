"""The adjustment against scipy's least squares, handed the same Jacobian and the same start."""

from __future__ import annotations

import numpy as np
import scipy
from scipy.optimize import least_squares

from barwright.job.schema import Reading
from barwright.survey.adjust import adjust, covariance_of, dense
from barwright.survey.compile import network_of
from barwright.survey.equations import Network, linearise
from barwright.survey.next_reading import gains, wishes
from benchmarks.timing import Row, compare

SCIPY = f"scipy {scipy.__version__} least_squares"
MARKS, READINGS = 60, 300


def survey() -> tuple[Network, np.ndarray]:
    """60 marks, 240 tapes between near marks and 60 heights, offsets and stations; a start."""
    random = np.random.default_rng(4)
    truth = random.uniform((0, -800, 100), (2600, 800, 1400), (MARKS, 3))
    apart = np.linalg.norm(truth[:, None] - truth[None], axis=2)
    order = np.argsort(apart, axis=1)
    near = dict.fromkeys(
        (min(i, int(j)), max(i, int(j))) for k in range(1, 9) for i, j in enumerate(order[:, k])
    )
    pairs = list(near)[: READINGS - MARKS]
    rows = [("tape", (f"M{i}", f"M{j}"), apart[i, j]) for i, j in pairs]
    axes = (("height", 2), ("offset", 1), ("station", 0))
    rows += [
        (kind, (f"M{i}",), truth[i, axis]) for i in range(MARKS) for kind, axis in (axes[i % 3],)
    ]
    readings = [
        Reading(line=n, kind=kind, marks=marks, value=v + random.normal(), plus_minus=1.0)
        for n, (kind, marks, v) in enumerate(rows, 2)
    ]
    network = network_of(readings, {}, tuple(f"M{i}" for i in range(MARKS)))
    return network, (truth + random.normal(0.0, 15.0, truth.shape)).ravel()


def rows() -> list[Row]:
    """Covariance is in our time and in none of theirs."""
    network, start = survey()

    def at(v: np.ndarray) -> object:
        return linearise(network, v.reshape(-1, 3))

    def ours() -> np.ndarray:
        found = adjust(at, start)
        covariance_of(found.normal)
        return found.x

    def theirs(method: str) -> np.ndarray:
        return least_squares(
            lambda v: at(v).residual,
            start,
            jac=lambda v: dense(at(v), start.size),
            method=method,
        ).x

    what = f"adjust {MARKS} marks, {len(network.readings)} readings, and their covariance"
    out = []
    for method in ("trf", "lm"):
        off = float(np.abs(ours() - theirs(method)).max())
        label = f"{SCIPY}, {method}, without covariance"
        out.append(compare(what, label, ours, lambda m=method: theirs(m), agree=f"to {off:.1e} mm"))
    return [*out, _next(network, start)]


def _next(network: Network, start: np.ndarray) -> Row:
    """What to measure next: all candidates at once, against an adjustment for each of fifty."""
    found = adjust(lambda v: linearise(network, v.reshape(-1, 3)), start)
    x, q = found.x.reshape(-1, 3), covariance_of(found.normal)
    wished = wishes(network.names, x, network.readings)
    count = 50

    def ours() -> np.ndarray:
        return gains(q, wished)

    def theirs() -> np.ndarray:
        worst = _worst(q)
        return np.array(
            [1.0 - _worst(_with(found.normal, wished, k)) / worst for k in range(count)]
        )

    off = float(np.abs(ours()[:count] - theirs()).max())
    return compare(
        f"gain of {len(wished.kinds)} candidate readings (theirs: the first {count} only)",
        f"numpy {np.__version__}, inverse for each",
        ours,
        theirs,
        agree=f"to {off:.1e}",
    )


def _with(normal: np.ndarray, wished: object, k: int) -> np.ndarray:
    j = np.zeros(len(normal))
    for mark, gradient in zip(wished.marks[k], wished.gradient[k], strict=True):
        if mark >= 0:
            j[3 * mark : 3 * mark + 3] += gradient
    return np.linalg.inv(normal + np.outer(j, j))


def _worst(q: np.ndarray) -> float:
    n = len(q) // 3
    blocks = q.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n), :]
    return float(np.sqrt(np.linalg.eigvalsh(blocks)[:, -1].max()))
