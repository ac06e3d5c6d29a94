"""Closed forms: three tapes along one line, and what a free network cannot know.

The misclosure of AB + BC against AC is shared equally among three equal tapes. A network of
lengths alone is free to move as one piece: rank defect 6 in space and 3 in the plane (datum
theory, as in B. Harvey's course notes GMAT3100, UNSW).
"""

import itertools
import math

import numpy as np
import pytest

from barwright.job.schema import Reading
from barwright.survey.adjust import dense
from barwright.survey.compile import network_of
from barwright.survey.equations import linearise
from barwright.survey.solve import solve


def reading(line, kind, marks, value, sd):
    return Reading(line=line, kind=kind, marks=tuple(marks.split()), value=value, plus_minus=sd)


def test_misclosure_is_shared_by_three():
    marks = solve(
        (
            Reading(line=2, kind="fixed", marks=("A",), at=(0.0, 0.0, 0.0), plus_minus=1e-6),
            *(reading(3, "height", name, 0.0, 1e-6) for name in "BC"),
            *(reading(4, "offset", name, 0.0, 1e-6) for name in "BC"),
            reading(5, "tape", "A B", 100.01, 0.01),
            reading(6, "tape", "B C", 200.02, 0.01),
            reading(7, "tape", "A C", 300.00, 0.01),
        )
    )
    a, b, c = (np.array(marks.at(name)) for name in "ABC")
    assert math.dist(a, b) == pytest.approx(100.000, abs=1e-9)
    assert math.dist(b, c) == pytest.approx(200.010, abs=1e-9)
    assert math.dist(a, c) == pytest.approx(300.010, abs=1e-9)
    assert [f.residual for f in marks.fitted[-3:]] == pytest.approx([-0.01, -0.01, 0.01], abs=1e-9)
    assert marks.sigma0 * 0.01 == pytest.approx(0.0173, abs=5e-5)
    assert [f.redundancy for f in marks.fitted[-3:]] == pytest.approx([1 / 3] * 3, abs=1e-6)
    assert marks.freedom == 1


def tapes_between(points):
    return [
        reading(line, "tape", f"{a} {b}", math.dist(points[a], points[b]), 1.0)
        for line, (a, b) in enumerate(itertools.combinations(points, 2), 2)
    ]


@pytest.mark.parametrize("seed", range(5))
def test_without_noise_the_truth_comes_back(seed):
    random = np.random.default_rng(seed)
    points = {f"M{i}": random.uniform(-900.0, 1400.0, 3) for i in range(9)}
    fixed = [
        Reading(line=90 + i, kind="fixed", marks=(n,), at=tuple(points[n]), plus_minus=1.0)
        for i, n in enumerate(("M0", "M1", "M2"))
    ]
    # three fixed marks leave the mirror image; one height tells which side is which
    side = reading(99, "height", "M5", float(points["M5"][2]), 1.0)
    marks = solve((*tapes_between(points), *fixed, side))
    assert marks.sigma0 == pytest.approx(0.0, abs=1e-9)
    for name, truth in points.items():
        assert marks.at(name) == pytest.approx(tuple(truth), abs=1e-9 * 2500.0)


@pytest.mark.parametrize(("dimensions", "defect"), [(3, 6), (2, 3)])
def test_rank_defect_of_a_free_network_of_lengths(dimensions, defect):
    random = np.random.default_rng(3)
    points = {f"M{i}": random.uniform(0.0, 2000.0, dimensions) for i in range(8)}
    network = network_of(tapes_between(points), {})
    x = np.array([points[name] for name in network.names])
    j = dense(linearise(network, x), x.size)
    assert x.size - np.linalg.matrix_rank(j) == defect


def test_the_six_missing_motions_are_named():
    random = np.random.default_rng(4)
    points = {f"M{i}": random.uniform(0.0, 2000.0, 3) for i in range(6)}
    marks = solve(tuple(tapes_between(points)))
    assert marks.rank_defect == ("forward", "left", "up", "about x", "about y", "about z")
    assert marks.freedom == 15 - 18 + 6
    for a, b in itertools.combinations(points, 2):
        found = math.dist(marks.at(a), marks.at(b))
        assert found == pytest.approx(math.dist(points[a], points[b]), abs=1e-6)


def test_angles_alone_leave_the_size_open_too():
    random = np.random.default_rng(5)
    points = random.uniform(0.0, 2000.0, (5, 3))
    corners = [
        Reading(
            line=2, kind="corner", marks=(f"M{a}", f"M{b}", f"M{c}"), value=1.0, plus_minus=0.01
        )
        for a, b, c in itertools.permutations(range(5), 3)
        if a < c
    ]
    network = network_of(corners, {})
    x = np.array([points[int(name[1:])] for name in network.names])
    j = dense(linearise(network, x), x.size)
    assert x.size - np.linalg.matrix_rank(j, tol=1e-8) == 7
