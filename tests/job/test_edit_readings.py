"""A line of readings.csv is added, changed or taken out; every other byte stays."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.job.edit_readings import add_reading, change_reading, delete_reading
from barwright.job.errors import BadInput
from barwright.job.load import parse
from barwright.job.row import Row

TEXT = '''\
# Heron, second visit
kind,marks,value,plus_minus,note
tape,A B, 23 7/16 ,,"said ""firm"""

# heights
height,A,10,,
height,B,"1' 3-1/2""",,
'''
NEW = Row(line=0, kind="tape", marks="A C", value="4' 2\"", plus_minus="1/16 in", note="a, b")


def test_adds_at_the_end_in_the_files_own_columns_and_line_ends():
    assert add_reading(TEXT, NEW) == TEXT + 'tape,A C,"4\' 2""",1/16 in,"a, b"\n'
    turned = "note;value;kind;marks\r\nx;1;height;A"
    assert add_reading(turned, NEW) == turned + '\r\na, b;"4\' 2""";tape;A C\r\n'
    assert add_reading("\ufeff", NEW).startswith("\ufeffkind,marks,value,plus_minus,note\ntape,")


def test_changes_one_line():
    after = change_reading(TEXT, 6, Row(line=6, kind="height", marks="A", value="11"))
    assert after == TEXT.replace("height,A,10,,", "height,A,11,,")


def test_takes_one_line_out():
    assert delete_reading(TEXT, 3) == TEXT.replace('tape,A B, 23 7/16 ,,"said ""firm"""\n', "")


@pytest.mark.parametrize("line", [0, 1, 2, 4, 5, 8, 99, -1])
def test_a_line_without_a_reading_is_refused(line):
    with pytest.raises(BadInput):
        delete_reading(TEXT, line)
    with pytest.raises(BadInput):
        change_reading(TEXT, line, NEW)


def test_a_file_without_a_header_and_a_row_that_would_be_a_comment_are_refused():
    with pytest.raises(BadInput):
        add_reading("tape,A B,10,,\n", NEW)
    with pytest.raises(BadInput):
        add_reading(TEXT, Row(line=0, kind="# no"))
    with pytest.raises(BadInput):
        add_reading(TEXT, Row(line=0))


rows = st.builds(
    Row,
    line=st.just(0),
    kind=st.just("height"),
    marks=st.sampled_from("ABC"),
    value=st.sampled_from(["10", "1' 3-1/2\"", "2 3/8", "38.1 mm"]),
    plus_minus=st.sampled_from(["", "1/16"]),
    note=st.text(max_size=12),
)
ends = st.sampled_from(["\n", "\r\n"])


@given(st.lists(rows, min_size=1, max_size=6), ends, st.sampled_from(",;\t"), st.data())
def test_readings_come_back_as_written_and_edits_undo_to_the_byte(written, end, parting, data):
    header = parting.join(["note", "kind", "marks", "value", "plus_minus"]) + end
    text = header
    for row in written:
        try:
            text = add_reading(text, row)
        except BadInput:  # a note that starts with # would make the line a comment
            return
    for row, reading in zip(written, parse("", text).readings, strict=True):
        assert (reading.kind, reading.marks) == (row.kind, (row.marks,))
        assert reading.note == " ".join(row.note.split())
    line = data.draw(st.integers(2, len(written) + 1))
    longer = add_reading(text, written[0])
    assert delete_reading(longer, len(written) + 2) == text
    assert change_reading(change_reading(text, line, NEW), line, written[line - 2]) == text
    kept = re.findall(r"[^\r\n]*(?:\r\n|\n)", text)
    assert delete_reading(text, line) == "".join(kept[: line - 1] + kept[line:])
