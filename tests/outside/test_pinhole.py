"""The pinhole camera, closed form (PH4): a face Δz nearer than the board looks Δz/Z larger.

2 mm proud at 1000 mm is 0.2 %, 0.6 mm on 300 mm. tests/survey/test_template_trace.py traces a photo
made so.
"""

import numpy as np
import pytest

from barwright.survey.template_camera import Camera, project, unproject

DOWN = np.diag([1.0, -1.0, -1.0])
"""Straight down: the photo's x is the board's, its y runs the other way."""


def above(height):
    shift = -DOWN @ np.array([150.0, 100.0, height])
    return Camera(focal=3000.0, centre=(2000.0, 1500.0), k1=0.0, k2=0.0, turn=DOWN, shift=shift)


@pytest.mark.parametrize(("proud", "height"), [(2.0, 1000.0), (3.0, 450.0), (6.0, 800.0)])
def test_ph4_off_plane_scale(proud, height):
    camera = above(height)
    ends = np.array([[0.0, 100.0, proud], [300.0, 100.0, proud]])
    seen = project(camera, ends)
    flat = unproject(camera, seen)  # taken for the board's own face
    stretch = float(np.linalg.norm(flat[1] - flat[0])) / 300.0 - 1.0
    assert stretch == pytest.approx(proud / (height - proud), rel=1e-9)
    assert stretch == pytest.approx(proud / height, rel=0.02)
    right = unproject(camera, seen, proud)
    assert float(np.linalg.norm(right[1] - right[0])) == pytest.approx(300.0, abs=1e-9)


def test_ph4_two_millimetres_at_a_metre_is_0_6_mm_on_300():
    flat = unproject(above(1000.0), project(above(1000.0), [[0.0, 0.0, 2.0], [300.0, 0.0, 2.0]]))
    assert float(np.linalg.norm(flat[1] - flat[0])) - 300.0 == pytest.approx(0.6, abs=0.01)
