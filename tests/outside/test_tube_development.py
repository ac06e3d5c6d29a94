"""Closed form: a cylinder unrolls to pi D; with paper on it, its middle to pi (D + t). DX4."""

import math

import numpy as np
import pytest
from made_up import build

from barwright.pack.drawing import CUT, Loop
from barwright.pack.wrap import PAPER, crotch_and_heel, template, unrolled_width, wraps_of


@pytest.mark.parametrize(("od", "printed"), [(38.0, 119.3805), (38.1, 119.6947)])
def test_dx4_once_round(od, printed):
    assert unrolled_width(od, paper=0.0) == pytest.approx(printed, abs=5e-5)
    assert unrolled_width(od) == pytest.approx(printed + math.pi * PAPER, abs=5e-5)


def test_the_drawn_cut_is_the_cope_laid_out_degree_by_degree():
    bar = build().bars.named("brace")
    wrap = wraps_of(bar)[0]
    cut = next(p for p in template(wrap, "mm") if isinstance(p, Loop) and p.layer == CUT)
    x, y, _ = np.array(cut.vertices).T
    assert len(x) == 361
    assert x[-1] - x[0] == pytest.approx(math.pi * (2 * bar.radius + PAPER))
    assert np.diff(x) == pytest.approx(np.full(360, x[-1] / 360))
    assert y[:360] == pytest.approx(bar.start.cope)
    assert y[360] == y[0]


def test_a_slanted_saddle_has_its_crotch_on_the_sharp_side():
    """Equal tubes at 45°: cut at r cos(phi) cot(45°) + r |sin| …: deepest where they close."""
    phi = np.radians(np.arange(360))
    cope = tuple(19.05 * (np.abs(np.cos(phi)) / math.sin(math.pi / 4) + 0.8 * np.cos(phi)))
    assert crotch_and_heel(cope) == (0, 180)
