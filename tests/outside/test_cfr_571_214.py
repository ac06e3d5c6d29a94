"""49 CFR 571.214, static side door test: stages in pounds-force, from memory."""

import pytest

from barwright.job.load_cases import parse_force
from barwright.strength.rules import RULES


@pytest.mark.parametrize(
    ("lbf", "newtons"),
    [(2250, 10008.5), (3500, 15568.8), (7000, 31137.6), (4375, 19461), (12000, 53378.6)],
)
def test_pounds_force(lbf, newtons):
    """4.4482216 N/lbf (NIST SP 811)."""
    assert parse_force(f"{lbf} lbf") == pytest.approx(newtons, abs=0.5)


@pytest.mark.parametrize(
    ("name", "lbf"), [("initial", 2250), ("intermediate", 3500), ("peak", 7000)]
)
def test_stages_with_seats_out(name, lbf):
    rule = RULES[f"214-{name}"]
    assert rule.force == pytest.approx(lbf * 4.4482216, rel=1e-7)
    assert "from memory" in rule.source
