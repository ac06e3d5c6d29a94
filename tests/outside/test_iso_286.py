"""ISO 286 limits as in the Aeronautical Engineer's Data Book p. 227 (BS 4500 / EN 20286)."""

import pytest

from barwright.fits.iso286 import fit, limits, tolerance, unit_of_tolerance

PRINTED = {
    14.0: {  # 10 to 18 mm
        "H7": (0, 18), "H8": (0, 27), "f7": (-34, -16), "g6": (-17, -6), "h6": (-11, 0),
        "k6": (1, 12), "n6": (12, 23), "p6": (18, 29), "s6": (28, 39), "e9": (-75, -32),
        "H11": (0, 110),
    },
    22.0: {  # 18 to 30 mm
        "H7": (0, 21), "H8": (0, 33), "f7": (-41, -20), "g6": (-20, -7), "h6": (-13, 0),
        "k6": (2, 15), "n6": (15, 28), "p6": (22, 35), "s6": (35, 48),
    },
    8.0: {  # 6 to 10 mm; f7 is misprinted -12/-28 there, the standard's is -13/-28
        "H7": (0, 15), "H8": (0, 22), "g6": (-14, -5), "h6": (-9, 0), "p6": (15, 24),
        "f7": (-28, -13),
    },
}  # fmt: skip


@pytest.mark.parametrize(
    ("size", "code", "printed"),
    [(size, code, p) for size, row in PRINTED.items() for code, p in row.items()],
)
def test_printed_limits(size, code, printed):
    got = limits(size, code)
    assert (1000 * got.lower, 1000 * got.upper) == pytest.approx(printed, abs=1e-6)


@pytest.mark.parametrize(
    ("size", "hole", "shaft", "least", "most"),
    [
        (12, "H7", "f7", 16, 52), (12, "H7", "g6", 6, 35), (12, "H7", "h6", 0, 29),
        (12, "H8", "f7", 16, 61), (12, "H7", "p6", -29, 0), (20, "H7", "f7", 20, 62),
        (20, "H7", "g6", 7, 41), (20, "H7", "h6", 0, 34), (20, "H8", "f7", 20, 74),
        (20, "H7", "p6", -35, -1), (20, "H7", "s6", -48, -14),
    ],
)  # fmt: skip
def test_clearances_that_follow(size, hole, shaft, least, most):
    got = fit(size, hole, shaft)
    assert (1000 * got.least, 1000 * got.most) == pytest.approx((least, most), abs=1e-6)


def test_the_standards_formulas_stand_behind_the_table():
    """IT6 = 10 i, IT7 = 16 i, IT8 = 25 i; f = 5.5 D^0.41, g = 2.5 D^0.34 (from memory), rounded."""
    for size, i in ((14.0, 1.083), (22.0, 1.307)):
        assert unit_of_tolerance(size) == pytest.approx(i, abs=6e-4)
        for grade, times in ((6, 10), (7, 16), (8, 25)):
            assert tolerance(size, grade) == pytest.approx(times * i, abs=0.7)
    for low, high in ((10, 18), (18, 30)):
        mean = (low * high) ** 0.5
        middle = (low + high) / 2
        assert -1000 * limits(middle, "f7").upper == pytest.approx(5.5 * mean**0.41, abs=0.6)
        assert -1000 * limits(middle, "g6").upper == pytest.approx(2.5 * mean**0.34, abs=0.6)


@pytest.mark.parametrize("letter", "dfgh")
def test_wider_sizes_follow_the_formulas_too(letter):
    """The rows that were not read: 3-6, 30-50, 50-80 mm, to a rounding of 8 %."""
    rule = {"d": (16.0, 0.44), "f": (5.5, 0.41), "g": (2.5, 0.34), "h": (0.0, 1.0)}[letter]
    for low, high in ((3, 6), (30, 50), (50, 80)):
        es = -1000 * limits((low + high) / 2, f"{letter}7").upper
        assert es == pytest.approx(rule[0] * (low * high) ** (0.5 * rule[1]), rel=0.08, abs=0.6)


@pytest.mark.parametrize("size", [4.0, 8.0, 14.0, 22.0, 40.0, 65.0])
def test_grade_5_to_13_of_every_step_follow_the_unit(size):
    """IT5 7 i, 6 10 i, 7 16 i, 8 25 i, 9 40 i, 10 64 i, 11 100 i, 12 160 i, 13 250 i."""
    for grade, times in zip(range(5, 14), (7, 10, 16, 25, 40, 64, 100, 160, 250), strict=True):
        assert tolerance(size, grade) == pytest.approx(
            times * unit_of_tolerance(size), rel=0.06, abs=0.7
        )


@pytest.mark.parametrize(
    ("code", "printed"),
    [("F7", (16, 34)), ("G7", (6, 24)), ("K7", (-12, 6)), ("N7", (-23, -5)), ("P7", (-29, -11))],
)
def test_holes_10_to_18_mm(code, printed):
    """ISO 286-2 hole tables, from memory."""
    got = limits(14.0, code)
    assert (1000 * got.lower, 1000 * got.upper) == pytest.approx(printed, abs=1e-6)
