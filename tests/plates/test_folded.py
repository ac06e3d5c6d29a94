"""Folding: where the panels come to lie, any number of bends, both ways."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from barwright.geometry.pose import UNMOVED, turned
from barwright.plates.bends import allowance
from barwright.plates.blank import Plate, blank, bored, flange, part_of
from barwright.plates.folded import flat_volume, folded, folded_volume
from barwright.plates.outline import circle, rectangle
from barwright.plates.part import Fold, Part


def strip_of(*angles, leg=30.0, r=3.0, t=2.0, width=20.0):
    """A long strip folded again and again, its legs `leg` between tangent lines."""
    x, folds = leg / 2.0, []
    for a in angles:
        used = allowance(angle=a, radius=r, thickness=t)
        middle = x + used / 2.0
        folds.append(Fold(start=(middle, 0.0), end=(middle, width), angle=a, radius=r))
        x += used + leg
    shape = rectangle(-leg / 2.0, 0.0, x, width)
    return Part(name="s", thickness=t, material="", outline=shape, folds=tuple(folds))


def test_a_right_angle_up_stands_its_inside_a_radius_off_the_face():
    part = strip_of(math.pi / 2.0)
    f = folded(part)
    up = f.panels[1]
    x0 = float(up.shape.bounds[0])
    start_far, start_seen = up.pose.points([(x0, 0.0, 0.0), (x0, 0.0, 2.0)])
    assert np.allclose(start_far, (15.0 + 3.0 + 2.0, 0.0, 2.0 + 3.0))
    assert np.allclose(start_seen, (15.0 + 3.0, 0.0, 5.0))


def test_a_right_angle_down_goes_the_other_way():
    f = folded(strip_of(-math.pi / 2.0))
    down = f.panels[1]
    x0, _, x1, _ = down.shape.bounds
    tip = down.pose.points((x1, 0.0, 0.0))
    assert np.allclose(tip, (15.0 + 3.0, 0.0, -3.0 - (x1 - x0)))


def test_up_and_down_again_is_a_step():
    f = folded(strip_of(math.pi / 3.0, -math.pi / 3.0))
    assert np.allclose(f.panels[2].pose.matrix, np.eye(3))
    assert f.panels[2].pose.shift[2] > 20.0


def test_four_right_angles_close_a_box():
    """A strip folded four times comes back to its own plane, under its beginning."""
    f = folded(strip_of(*[math.pi / 2.0] * 4, leg=40.0))
    assert len(f.panels) == 5
    assert np.allclose(f.panels[4].pose.matrix, np.eye(3), atol=1e-12)
    x = f.panels[4].pose.points((f.panels[4].shape.bounds[0], 0.0, 0.0))
    assert np.allclose(x, (-20.0, 0.0, 0.0), atol=1e-9)


angles = st.lists(st.floats(-2.4, 2.4).filter(lambda a: abs(a) > 0.05), min_size=1, max_size=5)


@given(angles, st.floats(0.8, 6.0), st.floats(0.8, 6.0))
def test_bends_keep_lengths_square_to_them_and_strips_meet_their_panels(turns, r, t):
    """A strip's two edges lie on the two panels they hang from."""
    part = strip_of(*turns, r=r, t=t)
    f = folded(part)
    assert len(f.panels) == len(turns) + 1
    assert f.loose == 0.0
    for i, s in enumerate(f.strips):
        ring = np.array(s.shape.exterior.coords)
        u = s.across(ring)
        for z in (0.0, t):
            space = s.space(ring, np.full(len(ring), z))
            for panel, edge in ((f.panels[i], u < 1e-6), (f.panels[i + 1], u > s.width - 1e-6)):
                flat = np.column_stack([ring[edge], np.full(int(edge.sum()), z)])
                assert np.allclose(panel.pose.points(flat), space[edge], atol=1e-6)


@given(angles, st.floats(0.8, 6.0), st.floats(0.8, 6.0))
def test_volume_changes_by_the_bends_own_difference(turns, r, t):
    """Pappus: a bend holds θ t (r + t/2) w; its flat strip held θ (r + K t) t w."""
    part = strip_of(*turns, r=r, t=t)
    own = sum(
        20.0 * t * (abs(a) * (r + t / 2.0) - allowance(angle=a, radius=r, thickness=t))
        for a in turns
    )
    assert folded_volume(part) - flat_volume(part) == pytest.approx(own, rel=1e-6, abs=1e-6)


def test_where_the_neutral_line_is_the_middle_nothing_changes():
    part = strip_of(1.0, r=30.0, t=3.0)
    assert folded_volume(part) == pytest.approx(flat_volume(part), rel=1e-9)


def test_flanges_on_flanges_and_on_every_side():
    plate = Plate(thickness=2.0, radius=2.0)
    b = blank(plate, box(0, 0, 60, 40), UNMOVED)
    b = flange(b, (60, 2), (60, 38), reach=20, angle=math.pi / 2.0)
    b = flange(b, (0, 38), (0, 2), reach=20, angle=math.pi / 2.0)
    b = flange(b, (2, 0), (58, 0), reach=15, angle=-math.pi / 2.0)
    x = float(b.regions[2].shape.bounds[2])
    b = flange(b, (x, 2), (x, 38), reach=12, angle=math.pi / 2.0, on=2)
    part = part_of(bored(b, circle((30, 20), 4.0, hole=True)), "tray", keep=(10, 10))
    f = folded(part)
    assert len(f.panels) == 5
    assert len(f.strips) == 4
    assert f.loose == 0.0
    lip = f.panels[-1]
    corners = lip.pose.points([(*p, 0.0) for p in lip.shape.exterior.coords])
    assert float(corners[:, 0].max()) < 64.0  # folded back over the base
    assert float(corners[:, 2].min()) > 20.0


def test_a_part_folds_the_same_wherever_it_stands():
    part = strip_of(1.0, -0.7)
    pose = turned((1, 2, 3), (1, 1, 0), 0.8)
    there = folded(replace(part, placed=pose))
    for a, b in zip(folded(part).panels, there.panels, strict=True):
        p = np.array([[3.0, 4.0, 1.0], [0.0, 9.0, 2.0]])
        assert np.allclose(pose.points(a.pose.points(p)), b.pose.points(p))
