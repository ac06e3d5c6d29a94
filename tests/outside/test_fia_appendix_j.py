"""FIA Appendix J article 253-8, mounting feet: as quoted in public (2009), read there."""

from barwright.findings import Level
from barwright.strength.foot_plates import Foot, foot_findings


def test_mounting_foot():
    """At least 3 mm, three bolts, a reinforcement of 3 mm and 120 cm²."""
    good = Foot(name="PL", plate=3.0, reinforcement=3.0, area=12000.0, bolts=3, bolt=8.0)
    assert {f.level for f in foot_findings(good)} == {Level.GOOD}
    bad = Foot(name="PL", plate=2.9, reinforcement=2.0, area=11999.0, bolts=2, bolt=6.0)
    assert {f.level for f in foot_findings(bad)} == {Level.MUST}
