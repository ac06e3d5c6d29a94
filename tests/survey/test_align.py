"""The turns tried when a frame is laid onto its axes, and what it may still move by."""

import numpy as np
import pytest

from barwright.survey.align import _allowed, _turns
from barwright.survey.motion import moved


@pytest.mark.parametrize(
    ("anchored", "count"), [((), 48), ((0,), 12), ((1,), 12), ((2,), 12), ((0, 2), 2), ((1, 2), 2)]
)
def test_turns_and_mirrors_leave_the_anchored_axes_alone_and_are_all_different(anchored, count):
    """48 of a cube; six turns by 60° about one axis, mirrored or not; one axis either way."""
    found = np.array(_turns(frozenset(anchored)))
    assert len(found) == count
    for m in found:
        assert m @ m.T == pytest.approx(np.eye(3), abs=1e-12)
        for axis in anchored:
            assert m[axis] == pytest.approx(np.eye(3)[axis])
    apart = np.abs(found[:, None] - found[None]).max(axis=(2, 3))
    assert apart[~np.eye(count, dtype=bool)].min() > 0.4
    assert sorted(np.linalg.det(found).round()) == [-1.0] * (count // 2) + [1.0] * (count // 2)


def test_about_one_axis_the_turns_are_sixty_degrees_apart():
    proper = [m for m in _turns(frozenset({2})) if np.linalg.det(m) > 0]
    angles = sorted(np.degrees(np.arctan2(m[1, 0], m[0, 0])) % 360.0 for m in proper)
    assert np.allclose(np.exp(1j * np.radians(angles)) ** 6, 1.0)
    assert len({round(a) % 360 for a in angles}) == 6


@pytest.mark.parametrize(("anchored", "count"), [((), 6), ((2,), 3), ((0,), 3), ((0, 1), 1)])
def test_the_moves_left_keep_every_anchored_coordinate(anchored, count):
    base = _allowed(frozenset(anchored))
    assert base.shape == (6, count)
    x = np.random.default_rng(3).uniform(-500.0, 500.0, (6, 3))
    for twist in base.T:
        assert moved(x, 0.1 * twist)[:, list(anchored)] == pytest.approx(x[:, list(anchored)])
