"""NIST Special Publication 811 (2008), appendix B.8: factors for lengths.

Inch 2.54 E-02 m and foot 3.048 E-01 m are exact there, mil 2.54 E-05 m; the figures are from
memory. The angle degree is 1.745 329 E-02 rad there, to seven figures.
"""

import pytest

from barwright.job.angles import parse_angle
from barwright.job.lengths import parse_length


@pytest.mark.parametrize(
    ("text", "metres"),
    [("1 in", 2.54e-2), ("1 ft", 3.048e-1), ("1 thou", 2.54e-5), ("1 mm", 1e-3), ("1 m", 1.0)],
)
def test_lengths(text, metres):
    assert parse_length(text, "mm") / 1000 == pytest.approx(metres, rel=1e-15)


def test_a_degree():
    assert parse_angle(1) == pytest.approx(1.745329e-2, rel=3e-7)
