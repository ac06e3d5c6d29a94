"""Wrong readings are found, named, and explained where a usual mistake fits."""

import math

import pytest
from network_maker import Plan, several

from barwright.findings import Level
from barwright.job.schema import Reading
from barwright.survey.check import check
from barwright.survey.solve import solve

DENSE = Plan(marks=(12, 16), tapes=(6, 7), heights=0.8, offsets=0.6, stations=0.6)
CASE = next(case for _, case in several(1, DENSE))
RADII = dict.fromkeys(CASE.names, 19.05)


def with_wrong(changes):
    out = list(CASE.readings)
    for i, change in changes.items():
        out[i] = out[i].model_copy(update=change(out[i]))
    return tuple(out)


def off_by(amount):
    return lambda r: {"value": r.value + amount}


def lines_of(marks):
    return tuple(f.reading.line for f in marks.fitted if f.suspect)


def test_clean_readings_have_no_suspects():
    marks = solve(CASE.readings)
    assert lines_of(marks) == ()
    assert {f.code for f in check(marks) if f.level is Level.MUST} == set()


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        (25.4, "an inch too long"),
        (-25.4, "an inch too short"),
        (304.8, "a foot too long"),
        (19.05, "hooked over the outside of the tube"),
        (38.1, "taken outside to outside"),
    ],
)
def test_one_blunder_and_its_mistake(amount, words):
    marks = solve(with_wrong({5: off_by(amount)}), radius_of=RADII)
    line = CASE.readings[5].line
    assert lines_of(marks) == (line,)
    assert marks.fitted[5].residual == pytest.approx(-amount, abs=6.0)
    assert any(words in m.says for m in marks.mistakes if m.line == line)
    finding = next(f for f in check(marks) if f.code == "survey.suspect")
    assert finding.subject == f"readings.csv line {line}"
    assert "again" in finding.remedy


def test_three_blunders_one_after_another():
    wrong = {3: off_by(25.4), 17: off_by(-60.0), 30: off_by(140.0)}
    marks = solve(with_wrong(wrong))
    assert lines_of(marks) == tuple(CASE.readings[i].line for i in wrong)
    clean = solve(CASE.readings)
    assert marks.xyz == pytest.approx(clean.xyz, abs=4.0)


def test_wrong_mark():
    r = CASE.readings[2]
    i = {n: k for k, n in enumerate(CASE.names)}
    taken = {frozenset(x.marks) for x in CASE.readings}
    other = next(
        n for n in CASE.names if n not in r.marks and frozenset((r.marks[0], n)) not in taken
    )
    value = math.dist(CASE.truth[i[r.marks[0]]], CASE.truth[i[other]])
    marks = solve(with_wrong({2: lambda _: {"value": value}}))
    assert lines_of(marks) == (r.line,)
    assert (r.marks[0], other) in [m.marks for m in marks.mistakes]


def test_two_digits_swapped_in_what_was_written():
    r = next(r for r in CASE.readings if r.kind == "tape" and r.value > 500.0)
    i = CASE.readings.index(r)
    right = f"{r.value:.0f}"
    k = next(k for k in range(len(right) - 1) if abs(int(right[k]) - int(right[k + 1])) > 1)
    wrong = right[:k] + right[k + 1] + right[k] + right[k + 2 :]
    marks = solve(with_wrong({i: lambda _: {"value": float(wrong), "written": wrong}}))
    assert lines_of(marks) == (r.line,)
    told = [m for m in marks.mistakes if "two digits swapped" in m.says]
    assert told
    assert told[0].instead == pytest.approx(float(right))


FOUR = {"A": (0, 0, 0), "B": (200, 0, 0), "C": (100, 300, 0), "D": (90, 120, 260)}


def four_marks(again):
    """Six tapes that no other checks, and the first of them read again."""
    readings = [
        Reading(
            line=k,
            kind="tape",
            marks=tuple(pair),
            value=math.dist(FOUR[pair[0]], FOUR[pair[1]]),
            plus_minus=1.0,
        )
        for k, pair in enumerate(("AB", "AC", "AD", "BC", "BD", "CD"), 2)
    ]
    other = Reading(line=9, kind="tape", marks=("A", "B"), value=again, plus_minus=1.0)
    return solve((*readings, other))


def test_two_readings_that_contradict_one_another_are_both_named():
    marks = four_marks(225.4)
    assert marks.either == ((2, 9),)
    assert lines_of(marks) == (2, 9)
    (finding,) = [f for f in check(marks) if f.code == "survey.contradiction"]
    assert finding.level is Level.MUST
    assert "line 2" in finding.says
    assert "line 9" in finding.says


def test_two_metres_between_marks_200_mm_apart():
    """No triangle closes over it, so it is known to be the wrong one of the two."""
    marks = four_marks(2000.0)
    assert lines_of(marks) == (9,)
    assert marks.fitted[-1].residual == pytest.approx(-1800.0, abs=1e-6)


def test_two_metres_between_marks_near_one_another():
    r = min((r for r in CASE.readings if r.kind == "tape"), key=lambda r: r.value)
    i = CASE.readings.index(r)
    marks = solve(with_wrong({i: lambda _: {"value": 2000.0}}))
    assert lines_of(marks) == (r.line,)
    assert marks.fitted[i].residual == pytest.approx(r.value - 2000.0, abs=6.0)


def test_where_the_plus_minus_is_not_to_be_trusted():
    """Everything three times as rough as promised: no suspects by tau, and a raised doubt."""
    rough = next(
        case
        for _, case in several(1, Plan(marks=(12, 16), tapes=(6, 7), heights=0.9, sd=3.0), first=60)
    )
    promised = tuple(r.model_copy(update={"plus_minus": 1.0}) for r in rough.readings)
    marks = solve(promised, sigma_known=False)
    assert lines_of(marks) == ()
    assert marks.sigma0 == pytest.approx(3.0, rel=0.25)
    assert marks.report.scaled == pytest.approx(marks.sigma0)
    assert {f.code: f.level for f in check(marks)}["survey.fit"] is Level.LOOK
