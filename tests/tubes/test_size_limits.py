"""Size limits of the least bore: both ways to have it, and the edges of the rows."""

import pytest

from barwright.tubes.size_limits import INCH, size_limits


@pytest.mark.parametrize("wall", [0.035, 0.065, 0.120, 0.188, 0.250])
def test_the_least_bore_is_the_lesser_of_its_own_limit_and_the_thickest_wall(wall):
    """Nothing that is held to both its own limit and the wall's can be under either."""
    od = 1.5 * INCH
    limits = size_limits(od, wall * INCH)
    over, thickest = limits.od[1] - od, limits.wall[1]
    assert limits.od[0] == od
    assert limits.bore <= od - 2.0 * wall * INCH - over + 1e-9
    assert limits.bore <= od - 2.0 * thickest + 1e-9
    ways = (od - 2.0 * wall * INCH - over, od - 2.0 * thickest)
    assert limits.bore == pytest.approx(min(ways))


def test_en_10219_at_its_bounds():
    """D ±1 %, never under 0.5 nor over 10 mm; T ±10 % to 5 mm, ±0.5 mm above: EN 10219-2."""
    for od, wall, off, thick in (
        (40.0, 2.0, 0.5, 0.2),
        (60.0, 5.0, 0.6, 0.5),
        (60.0, 8.0, 0.6, 0.5),
        (1200.0, 12.0, 10.0, 0.5),
    ):
        limits = size_limits(od, wall, "S235JRH")
        assert limits.od == pytest.approx((od - off, od + off))
        assert limits.wall == pytest.approx((wall - thick, wall + thick))
        assert limits.bore == pytest.approx(od - off - 2.0 * (wall + thick))
    assert size_limits(1200.0, 12.0, "s235").out_of_round == 0.02
    assert size_limits(1201.0, 12.0, "s235").out_of_round is None
