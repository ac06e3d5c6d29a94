"""JCGM 100:2008 (GUM), H.3: the calibration of a thermometer by a straight line.

The readings and the printed answers y1 = -0.1712(29), y2 = 0.00218(67), r = -0.930,
s = 0.0035, b(30) = -0.1494(41).
"""

import numpy as np
import pytest

from barwright.survey.adjust import Block, Linearised, adjust, covariance_of

T = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
B = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


def test_h3_line_and_its_covariance():
    t, b = np.array(T) - 20.0, np.array(B)
    values = np.column_stack((np.ones_like(t), t))
    columns = np.tile(np.arange(2), (len(t), 1))

    def line(y):
        return Linearised(residual=values @ y - b, blocks=(Block(columns=columns, values=values),))

    found = adjust(line, np.zeros(2))
    s = np.sqrt(found.cost / (len(t) - 2))
    q = covariance_of(found.normal) * s**2
    sd = np.sqrt(np.diagonal(q))
    assert found.x == pytest.approx([-0.1712, 0.00218], abs=5e-5)
    assert found.x[1] == pytest.approx(0.00218, abs=5e-6)
    assert sd == pytest.approx([0.0029, 0.00067], abs=5e-5)
    assert sd[1] == pytest.approx(0.00067, abs=5e-6)
    assert q[0, 1] / (sd[0] * sd[1]) == pytest.approx(-0.930, abs=5e-4)
    assert s == pytest.approx(0.0035, abs=5e-5)
    assert found.cost == pytest.approx(1.10096583e-4, rel=1e-6)
    at30 = np.array([1.0, 10.0])
    assert at30 @ found.x == pytest.approx(-0.1494, abs=5e-5)
    assert np.sqrt(at30 @ q @ at30) == pytest.approx(0.0041, abs=5e-5)
