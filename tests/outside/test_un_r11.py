"""UN Regulation No. 11 (GTR 1), latches and hinges: figures read in public copies."""

from barwright.strength.rules import RULES


def test_latch_and_hinge_loads():
    """6.1.1: 11 000 N across the face, 4 500 N secondary; 6.1.2: 9 000 N; 6.1.5: 11 000, 9 000."""
    got = {name: RULES[name].force for name in RULES if name.startswith("r11")}
    assert got == {
        "r11-latch": 11000.0,
        "r11-latch-out": 9000.0,
        "r11-latch-secondary": 4500.0,
        "r11-hinge": 11000.0,
        "r11-hinge-out": 9000.0,
    }
    assert all("UN Regulation No. 11" in RULES[n].source for n in got)


def test_every_rule_says_whether_it_was_read_or_remembered():
    assert all(("from memory" in r.source) != ("read in" in r.source) for r in RULES.values())
