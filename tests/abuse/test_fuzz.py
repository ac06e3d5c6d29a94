"""A seeded slice of what `fuzz.py` does by the hundred thousand."""

import fuzz
import pytest

SLICE = {"job": 150, "dxf": 60, "template": 60, "photo": 8, "trace": 4, "route": 4}
MORE = {"job": 2500, "dxf": 700, "template": 900, "photo": 60, "trace": 12, "route": 25}


@pytest.mark.parametrize("kind", SLICE)
def test_spoilt_files_are_answered_or_refused(kind):
    totals = fuzz.fuzz(kind, SLICE[kind], seed=3)
    assert not totals.blunders, totals.told()
    assert totals.answered + totals.refused == SLICE[kind]


def test_invented_jobs_are_answered_or_refused():
    totals = fuzz.invented(100, seed=3)
    assert not totals.blunders, totals.told()
    assert totals.answered + totals.refused == totals.cases == 100


@pytest.mark.study
@pytest.mark.parametrize("kind", MORE)
def test_many_spoilt_files_are_answered_or_refused(kind):
    totals = fuzz.fuzz(kind, MORE[kind], seed=4)
    assert not totals.blunders, totals.told()


def test_the_watch_itself_sees_blunders():
    totals = fuzz.Totals()

    def crashes():
        raise KeyError("upper")

    def spins():
        while True:
            pass

    assert "KeyError" in fuzz.one(totals, crashes)
    patience, fuzz.SECONDS = fuzz.SECONDS, 0.05
    try:
        assert "TooLong" in fuzz.one(totals, spins)
    finally:
        fuzz.SECONDS = patience
    assert totals.cases == 2
    assert totals.answered == totals.refused == 0
    assert "without do" in fuzz.ill_said((fuzz.Fault(file="a", entry="b", expected="c"),))
