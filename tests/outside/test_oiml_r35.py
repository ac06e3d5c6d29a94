"""OIML R 35, material measures of length: the largest error of tapes, ±(a + b L).

The nine values are a tape maker's printed table; the formula (from memory) gives all of them.
"""

import pytest

from barwright.survey.tapes import allowed_error

TABLE = {3.0: (0.4, 0.9, 1.8), 5.0: (0.6, 1.3, 2.6), 8.0: (0.9, 1.9, 3.8)}


@pytest.mark.parametrize("metres", TABLE)
def test_classes(metres):
    found = [allowed_error(metres * 1000.0, accuracy) for accuracy in ("I", "II", "III")]
    assert found == pytest.approx(TABLE[metres], abs=1e-9)
