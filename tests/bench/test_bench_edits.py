from __future__ import annotations

import tomllib

import pytest

from barwright.bench.edits import EDIT, Conflict, as_toml, edited
from barwright.job.errors import BadInput

TOML = '# mine\n[job]\nunit = "in"\n\n[stock.main]\nod = 1.75  # inches\nwall = 0.095\n'
CSV = "kind,marks,value,plus_minus,note\nheight,A,10 1/2,,\n# a remark\ntape,A B,23 7/16,,by two\n"
TEXTS = {"job.toml": TOML, "readings.csv": CSV}
TAPE = {"kind": "tape", "marks": "A B", "value": "23 7/16", "note": "by two"}


def ask(**what: object) -> object:
    return EDIT.validate_python(what)


def test_a_reading_is_added_as_it_was_typed() -> None:
    row = {"kind": "tape", "marks": "A C", "value": "1' 3-1/2\""}
    done = edited(TEXTS, ask(do="add", row=row))
    assert done.file == "readings.csv"
    assert done.text.startswith(CSV)
    assert done.text.splitlines()[-1] == 'tape,A C,"1\' 3-1/2""",,'


def test_a_reading_is_changed_and_every_other_line_stays() -> None:
    done = edited(TEXTS, ask(do="alter", line=4, old=TAPE, row={**TAPE, "value": "23 1/2"}))
    assert done.text == CSV.replace("23 7/16", "23 1/2")
    assert "23 7/16" in done.what


def test_a_row_that_moved_is_found_where_it_stands_now() -> None:
    moved = {**TEXTS, "readings.csv": CSV.replace("height", "height,Z,1,,\nheight", 1)}
    done = edited(moved, ask(do="drop", line=4, old=TAPE))
    assert "tape" not in done.text
    assert "height,Z" in done.text


def test_a_row_changed_by_another_is_not_written_over() -> None:
    now = {**TEXTS, "readings.csv": CSV.replace("23 7/16", "24")}
    with pytest.raises(Conflict) as both:
        edited(now, ask(do="alter", line=4, old=TAPE, row={**TAPE, "value": "23 1/2"}))
    said = both.value
    assert (said.seen, said.theirs, said.yours) == (
        "tape A B 23 7/16",
        "tape A B 24",
        "tape A B 23 1/2",
    )


def test_what_cannot_be_read_is_refused_with_what_to_do() -> None:
    with pytest.raises(BadInput) as wrong:
        edited(TEXTS, ask(do="add", row={"kind": "tape", "marks": "A", "value": "23,5"}))
    assert {f.entry for f in wrong.value.faults} >= {"value"}


def test_an_edit_elsewhere_is_let_through_while_something_else_is_wrong() -> None:
    broken = {**TEXTS, "readings.csv": CSV + "tape,A,nonsense,,\n"}
    done = edited(broken, ask(do="add", row={"kind": "height", "marks": "B", "value": "4"}))
    assert done.text.endswith("height,B,4,,\n")


def test_a_value_of_job_toml_is_set_and_its_comment_stays() -> None:
    one = {"entry": "stock.main.od", "old": "1.75", "value": "1 3/4"}
    done = edited(TEXTS, ask(do="set", sets=[one]))
    assert 'od = "1 3/4"  # inches' in done.text
    assert done.text.startswith("# mine\n")


def test_a_value_changed_by_another_is_not_written_over() -> None:
    one = {"entry": "stock.main.od", "old": "1.5", "value": "2.0"}
    with pytest.raises(Conflict) as both:
        edited(TEXTS, ask(do="set", sets=[one]))
    assert (both.value.theirs, both.value.yours) == ("1.75", "2.0")


def test_a_bar_of_no_stock_is_refused() -> None:
    sets = [
        {"entry": "bar.sill.stock", "value": '"nothing"'},
        {"entry": "bar.sill.path", "value": '["A", "B"]'},
    ]
    with pytest.raises(BadInput, match="nothing"):
        edited(TEXTS, ask(do="set", sets=sets))


def test_an_entry_is_taken_out() -> None:
    one = {"entry": "job.unit", "old": '"in"', "value": ""}
    done = edited(TEXTS, ask(do="set", sets=[one]))
    assert "unit" not in done.text
    assert done.text.startswith("# mine\n[job]\n")


@pytest.mark.parametrize("value", [1.5, 'a"b', [1, "A"], {"through": "H", "at": [1, 2]}, True])
def test_a_value_is_written_as_toml_reads_it(value: object) -> None:
    assert tomllib.loads(f"v = {as_toml(value)}")["v"] == value


TRIMS = TOML + '\n[[trim]]\npart = "lid"  # the first\ncorner = 2\nchamfer = 0.25\n'


def set_(*sets: tuple[str, str, str]) -> object:
    return ask(do="set", sets=[{"entry": e, "old": o, "value": v} for e, o, v in sets])


def test_a_trim_is_changed_by_its_number_and_its_remark_stays() -> None:
    done = edited({**TEXTS, "job.toml": TRIMS}, set_(("trim.1.chamfer", "0.25", "3/8")))
    assert done.text == TRIMS.replace("0.25", '"3/8"')


def test_a_trim_is_added_after_the_last() -> None:
    more = set_(("trim.2.part", "", '"lid"'), ("trim.2.edge", "", "3"), ("trim.2.back", "", "0.1"))
    done = edited({**TEXTS, "job.toml": TRIMS}, more)
    assert done.text.startswith(TRIMS.rstrip())
    assert tomllib.loads(done.text)["trim"][1] == {"part": "lid", "edge": 3, "back": 0.1}


def test_the_first_trim_makes_its_own_heading() -> None:
    first = (("trim.1.part", "", '"lid"'), ("trim.1.corner", "", "1"), ("trim.1.round", "", "1/2"))
    done = edited(TEXTS, set_(*first))
    assert done.text.startswith(TOML)
    assert "[[trim]]" in done.text
    assert tomllib.loads(done.text)["trim"] == [{"part": "lid", "corner": 1, "round": "1/2"}]


def test_a_trim_is_taken_out_whole() -> None:
    out = (("trim.1.part", '"lid"', ""), ("trim.1.corner", "2", ""), ("trim.1.chamfer", "0.25", ""))
    done = edited({**TEXTS, "job.toml": TRIMS}, set_(*out))
    assert done.text.strip() == TOML.strip()


def test_half_a_trim_is_refused() -> None:
    with pytest.raises(BadInput, match="chamfer"):
        edited({**TEXTS, "job.toml": TRIMS}, set_(("trim.1.chamfer", "0.25", "")))


def test_the_last_table_under_a_heading_is_taken_out() -> None:
    sheet = TOML + "\n[sheet.main]\nthickness = 0.125\n"
    one = set_(("sheet.main", "{thickness = 0.125}", ""))
    assert edited({**TEXTS, "job.toml": sheet}, one).text.strip() == TOML.strip()
