"""NIST StRD, nonlinear regression, Misra1a: the certified values, through the survey's solver."""

import numpy as np
import pytest

from barwright.survey.adjust import Block, Linearised, adjust, covariance_of

X = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1]
Y = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47]
X, Y = np.array([*X, 760.0]), np.array([*Y, 81.78])


def misra1a(b):
    """Residuals and Jacobian of y = b1 (1 - exp(-b2 x))."""
    fall = np.exp(-b[1] * X)
    values = np.column_stack((1.0 - fall, b[0] * X * fall))
    columns = np.tile(np.arange(2), (len(X), 1))
    return Linearised(
        residual=b[0] * (1.0 - fall) - Y, blocks=(Block(columns=columns, values=values),)
    )


@pytest.mark.parametrize("start", [(500.0, 1e-4), (250.0, 5e-4)])
def test_certified_values_from_both_starts(start):
    found = adjust(misra1a, np.array(start), damping=1e-3)
    assert found.converged
    assert found.x == pytest.approx([2.3894212918e02, 5.5015643181e-04], rel=1e-9)
    assert found.cost == pytest.approx(1.2455138894e-01, rel=1e-9)
    s = np.sqrt(found.cost / (len(X) - 2))
    assert s == pytest.approx(1.0187876330e-01, rel=1e-9)
    sd = s * np.sqrt(np.diagonal(covariance_of(found.normal)))
    assert sd == pytest.approx([2.7070075241, 7.2668688436e-06], rel=1e-8)
