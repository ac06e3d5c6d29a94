"""Critical values of the outlier tests: LS9, LS10.

Baarda 1968: w at 0.1 % and 5 %, two-sided (well-known values of the normal distribution), and
lambda zero at 0.1 % and a power of 80 %.
Pope 1976: tau, the formula from memory, its values computed apart from this project.
"""

import pytest

from barwright.survey.quality import noncentrality, normal_deviate, tau


@pytest.mark.parametrize(("alpha", "k"), [(0.001, 3.2905), (0.05, 1.9600)])
def test_baarda(alpha, k):
    assert normal_deviate(alpha) == pytest.approx(k, abs=5e-5)


def test_baarda_lambda_zero():
    assert noncentrality(0.001, 0.2) == pytest.approx(4.1321, abs=5e-5)
    assert noncentrality(0.001, 0.2) ** 2 == pytest.approx(17.075, abs=5e-4)


@pytest.mark.parametrize(
    ("alpha", "values"),
    [
        (0.05, (1.4099, 1.6454, 1.8143, 1.9039, 1.9358)),
        (0.01, (1.4140, 1.7147, 2.0509, 2.3236, 2.4539)),
        (0.001, (1.4142, 1.7303, 2.1781, 2.6786, 2.9749)),
    ],
)
def test_pope(alpha, values):
    found = [tau(freedom, alpha) for freedom in (2, 3, 5, 10, 20)]
    assert found == pytest.approx(values, abs=5e-5)
