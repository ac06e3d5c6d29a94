from dataclasses import replace

import pytest

from barwright.findings import Level
from barwright.fits.hinge_findings import hinge_findings
from barwright.fits.hinge_stack import END_FLOAT, Stack, fit_limits, hinge_fit

STACK = Stack(
    leaf="side",
    bushing=63.5,
    bushing_od=28.575,
    spacer=32.004,
    spacer_od=19.05,
    bolt=12.7,
    hole=12.95,
    gap=64.008,
    running="RC4",
    length_tolerance=0.05,
    gap_tolerance=0.25,
    bolt_slack=0.1,
    reach=750.0,
)


def _levels(stack: Stack, **how) -> dict[str, Level]:
    asked = {"wanted": END_FLOAT, "play": 3.0, "welded": False, **how}
    return {f.code: f.level for f in hinge_findings(hinge_fit(stack), **asked)}


def test_end_float_of_20_thou_with_the_bolt_tight():
    """Spacers 0.020 in longer than the bushing: common practice, no source."""
    got = hinge_fit(STACK)
    assert got.end_float.nominal == pytest.approx(0.508)
    assert (got.end_float.least, got.end_float.most) == pytest.approx((0.358, 0.658))
    assert got.end_float_drawn.chance == 1.0
    assert set(_levels(STACK).values()) == {Level.GOOD}


def test_spacers_shorter_than_the_bushing_bind_and_the_remedy_mends_it():
    short = replace(STACK, spacer=31.7)
    found = {f.code: f for f in hinge_findings(
        hinge_fit(short), wanted=END_FLOAT, play=3.0, welded=False)}  # fmt: skip
    said = found["fits.end-float"]
    assert said.level is Level.MUST
    assert said.remedy == "Make each spacer 0.304 mm longer."
    assert _levels(replace(short, spacer=31.7 + 0.304, gap=64.008))["fits.end-float"] is Level.GOOD


def test_a_force_fit_cannot_turn():
    assert _levels(replace(STACK, running="FN2"))["fits.running"] is Level.MUST
    assert _levels(replace(STACK, running="H8/s7"))["fits.running"] is Level.MUST


def test_a_press_takes_bore_away():
    loose = hinge_fit(STACK)
    pressed = hinge_fit(replace(STACK, press="H7/p6", housing_od=38.1))
    assert loose.closes == 0.0
    assert 0.005 < pressed.closes < 0.035  # less than the tightest press itself
    assert pressed.running.least == pytest.approx(loose.running.least - pressed.closes)
    assert pressed.running.least < 0.5 * loose.running.least


def test_a_short_bushing_lets_the_far_end_rattle():
    short = replace(STACK, bushing=12.0, spacer=6.254, gap=12.508)
    assert _levels(short)["fits.play"] is Level.MUST
    assert hinge_fit(short).play > 4 * hinge_fit(STACK).play - 1.5


def test_play_by_hand():
    got = hinge_fit(STACK)
    clearance = 25.4 * 0.0028  # RC4, 0.71 to 1.19 in: 2.8 thou at the loose end
    assert got.play == pytest.approx(0.658 / 2 + clearance / 63.5 * 750.0, rel=1e-6)
    assert got.play_drawn.mean < got.play_drawn.high < got.play


def test_bolt_that_does_not_go_through_and_cheeks_drawn_wrong():
    assert _levels(replace(STACK, hole=12.6))["fits.bolt-hole"] is Level.MUST
    assert _levels(replace(STACK, hole=13.5))["fits.bolt-hole"] is Level.LOOK
    assert _levels(replace(STACK, gap=63.0))["fits.cheeks"] is Level.LOOK


def test_a_welded_bushing_is_reamed_after():
    found = hinge_findings(hinge_fit(STACK), wanted=END_FLOAT, play=3.0, welded=True)
    assert found[-1].code == "fits.weld-heat"
    assert "19.050 to 19.080 mm" in found[-1].remedy


@pytest.mark.parametrize("code", ["RC9", "H8", "f7/H8", "H8/z7", "H44/f7", "", "h7/h6"])
def test_fits_that_are_not_held_are_refused(code):
    with pytest.raises(ValueError, match=r"held|hold|code|class"):
        fit_limits(19.05, code)


@pytest.mark.parametrize("size", [0.0, -3.0, 2.0, 81.0])
def test_sizes_beyond_the_tables_are_refused(size):
    with pytest.raises(ValueError, match="tables run"):
        fit_limits(size, "H7/f7")
