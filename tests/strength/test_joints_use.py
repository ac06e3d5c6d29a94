"""Bolts, cheeks and seams against the same sums by hand."""

import math
from itertools import pairwise

import numpy as np
import pytest
from side_scene import PARTS

from barwright.plates.outline import circle, rectangle
from barwright.plates.part import Part, Parts
from barwright.strength.joints_use import bolt_use, bolts_of, cheek_strength
from barwright.strength.materials import BOLTS, MATERIALS
from barwright.strength.pins import pin_bending, pin_shear

A36 = MATERIALS["a36"]


def _cheek(hole: float = 12.95, size: float = 50.0) -> Part:
    return Part(
        name="side.hinge.cheek-upper",
        thickness=3.175,
        material="a36",
        outline=rectangle(-size / 2, -size / 2, size / 2, size / 2),
        holes=(circle((0.0, 0.0), hole / 2, hole=True), circle((15.0, 15.0), 2.0, hole=True)),
    )


def test_a_cheek_as_a_lug_by_hand():
    """Edge 25 mm: bearing 0.75 · 1.8 · fy · d · t governs for a 1/2 in bolt in 1/8 in plate."""
    got = cheek_strength(_cheek(), 12.7, A36)
    assert got == pytest.approx(0.75 * 1.8 * A36.fy * 12.7 * 3.175, rel=1e-9)
    narrow = cheek_strength(_cheek(size=20.0), 12.7, A36)
    assert narrow < got


def test_a_cheek_without_a_hole_for_the_bolt_is_not_judged():
    assert cheek_strength(_cheek(hole=10.0), 12.7, A36) == 0.0
    assert cheek_strength(_cheek(size=12.0), 12.7, A36) == 0.0


def test_a_striker_is_a_cantilever_and_a_hinge_bolt_a_pin():
    hinge, latch = bolts_of(PARTS, "side", "8.8")
    fy, fu = BOLTS["8.8"]
    use = bolt_use(latch, 9000.0)
    assert use.shear == pytest.approx(9000 / pin_shear(12.7, fu))
    assert use.bend == pytest.approx(9000 * 7.0 / pin_bending(12.7, fy))
    assert bolt_use(hinge, 9000.0).bend == pytest.approx(
        9000 / 8 * (63.5 + 1.0 + 2 * 3.175) / pin_bending(12.7, fy)
    )
    assert bolt_use(hinge, 0.0).worst == 0.0
    assert bolts_of(Parts(), "side", "8.8") == ()


def test_shares_grow_with_the_force():
    hinge, _ = bolts_of(PARTS, "side", "8.8")
    uses = [bolt_use(hinge, f).worst for f in np.linspace(0, 3e4, 7)]
    assert all(b > a for a, b in pairwise(uses))
    assert math.isfinite(uses[-1])
