"""ANSUR II (US Army, 2012), public release: our own percentiles of its measurements, HU1-HU4.

`ansur2_extract_mm.csv` holds ten measurements in mm of 4 082 men and 1 986 women, taken from the
survey's public tables.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from barwright.swing.opening import CHEST_DEPTH_95, SHOULDERS_MEN, SHOULDERS_WOMEN


@pytest.fixture(scope="module")
def people() -> dict[str, dict[str, np.ndarray]]:
    with (Path(__file__).parent / "ansur2_extract_mm.csv").open() as file:
        rows = list(csv.DictReader(file))
    return {
        sex: {
            key: np.array([float(r[key]) for r in rows if r["sex"] == sex])
            for key in rows[0]
            if key != "sex"
        }
        for sex in ("male", "female")
    }


@pytest.mark.parametrize(
    ("sex", "known", "size"),
    [
        ("male", (4082, 510.42, 32.51), SHOULDERS_MEN),
        ("female", (1986, 450.32, 28.69), SHOULDERS_WOMEN),
    ],
)
def test_hu1_hu2_shoulder_breadth(people, sex, known, size) -> None:
    count, mean, sd = known
    data = people[sex]["bideltoidbreadth"]
    assert len(data) == count
    assert data.mean() == pytest.approx(mean, abs=0.01)
    assert data.std(ddof=1) == pytest.approx(sd, abs=0.01)
    for per_cent, length in size.percentiles:
        assert np.percentile(data, per_cent) == pytest.approx(length, abs=1.0)
    for length in np.arange(mean - 2.2 * sd, mean + 2.2 * sd, 7.0):
        assert size.share_below(length) == pytest.approx((data <= length).mean(), abs=0.025)


def test_hu3_hu4_other_sizes(people) -> None:
    man, woman = people["male"], people["female"]
    assert np.percentile(man["chestdepth"], 95) == pytest.approx(CHEST_DEPTH_95, abs=1.0)
    assert np.percentile(man["hipbreadthsitting"], 95) == pytest.approx(431.0, abs=1.0)
    assert np.percentile(woman["hipbreadthsitting"], 95) == pytest.approx(456.0, abs=1.0)
    assert np.percentile(man["abdominalextensiondepthsitting"], 95) == pytest.approx(320.0, abs=1.0)
    assert np.percentile(man["forearmforearmbreadth"], 95) == pytest.approx(667.0, abs=1.0)
    assert np.percentile(man["sittingheight"], 95) == pytest.approx(977.0, abs=1.0)
    assert np.percentile(woman["sittingheight"], 5) == pytest.approx(803.0, abs=1.0)
