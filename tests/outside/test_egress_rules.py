"""HU5, HU6, HU7: the rule template of a driver, the time to get out, what clothes add.

FSAE rules 2026, F.5.6.6 (95th percentile male template) and IN.9.2.1 (egress), both read;
clothing allowances on hip breadth: City University of Hong Kong, anthropometry, ch. 2-19, read.
"""

from barwright.swing import opening
from barwright.swing.opening import Opening
from barwright.swing.room_findings import opening_finding


def test_hu5_template_of_a_95th_percentile_man():
    assert (opening.TORSO, opening.HELMET) == (200.0, 300.0)
    assert (opening.UPRIGHT, opening.NECK, opening.TO_PEDALS) == (490.0, 280.0, 915.0)


def test_hu5_an_opening_smaller_than_the_helmet_says_so():
    free = {"area": 2e5, "middle": (0.0, 0.0, 0.0), "breadth": 600.0, "depth": 298.0}
    small = Opening(circle=299.0, men=0.5, women=0.9, **free)
    large = Opening(circle=301.0, men=0.5, women=0.9, **free)
    assert "No helmet of 300 mm passes" in opening_finding("side", small).says
    assert "helmet of" not in opening_finding("side", large).says


def test_hu6_five_seconds_to_the_side():
    free = Opening(
        area=4e5, circle=600.0, middle=(0, 0, 0), breadth=700.0, depth=298.0, men=0.9, women=0.9
    )
    assert opening.OUT_IN == 5.0
    assert "5 s" in opening_finding("side", free).remedy


def test_hu7_clothes():
    assert opening.CLOTHING == {"light": 10.0, "medium": 25.0, "heavy": 50.0}
