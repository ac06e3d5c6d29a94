"""Outside corners are rounded by default, bends and inside corners are left."""

import math
from dataclasses import replace

import numpy as np
import pytest
from joints import side
from shapely.geometry import Point, Polygon

from barwright.plates.ease import SHARP, eased
from barwright.plates.folded import strip_region
from barwright.plates.make import parts
from barwright.plates.outline import area, rectangle, region
from barwright.plates.part import Fold, Loop, Part

PLATE = Part(name="p", thickness=3.0, material="", outline=rectangle(0, 0, 60, 20))


def sharp_corners(part, least=3.5):
    """Outside corners between two straights, away from bends, that a hand would feel."""
    v, found = part.outline.vertices, []
    for i in range(len(v)):
        a, b, c = (np.array(v[k % len(v)][:2]) for k in (i - 1, i, i + 1))
        if v[i - 1][2] or v[i][2] or min(np.hypot(*(b - a)), np.hypot(*(c - b))) < least:
            continue
        u, w = b - a, c - b
        turn = math.atan2(u[0] * w[1] - u[1] * w[0], u @ w)
        if turn > SHARP:
            found.append(b)
    bends = [strip_region(f, part.thickness).buffer(part.thickness + 0.01) for f in part.folds]
    return [b for b in found if not any(s.contains(Point(b)) for s in bends)]


def test_four_corners_of_a_rectangle():
    """Each loses r² - πr²/4: the square less its quarter circle."""
    r = 4.0
    assert area(eased(PLATE, r).outline) == pytest.approx(1200.0 - 4.0 * (1.0 - math.pi / 4) * r**2)
    assert eased(PLATE, 0.0) is PLATE


def test_an_inside_corner_and_the_ends_of_a_bend_stay():
    ell = ((0, 0, 0.0), (60, 0, 0.0), (60, 20, 0.0), (20, 20, 0.0), (20, 60, 0.0), (0, 60, 0.0))
    part = eased(replace(PLATE, outline=Loop(vertices=ell)), 2.0)
    assert (20, 20, 0.0) in part.outline.vertices
    fold = Fold(start=(58.0, 0.0), end=(58.0, 20.0), angle=1.5, radius=3.0)
    bent = eased(replace(PLATE, folds=(fold,)), 2.0)
    assert {(60, 0), (60, 20)} <= {v[:2] for v in bent.outline.vertices}
    assert (0, 0) not in {v[:2] for v in bent.outline.vertices}


@pytest.mark.parametrize("name", ["side.striker.gusset", "side.hinge.cheek-upper"])
def test_strikers_and_cheeks_are_rounded_unless_told_otherwise(name):
    plain = {"striker": {"corner": 0}, "hinge": {"corner": 0}}
    round_, square = (
        next(p for p in parts(*side(written=w)).parts if p.name == name) for w in (None, plain)
    )
    assert sharp_corners(square)
    assert not sharp_corners(round_)
    assert area(round_.outline) < area(square.outline)
    whole = region(square.outline)
    assert region(round_.outline).difference(whole.buffer(1e-6)).area < 1e-6
    assert Polygon(whole.exterior).is_valid
