from __future__ import annotations

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
    import tomllib

    assert tomllib.loads(f"v = {as_toml(value)}")["v"] == value
