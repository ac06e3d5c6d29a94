"""RFC 4180, Common Format and MIME Type for CSV Files (2005), section 2: rules 2, 4, 5, 6, 7.

Read with our reader, and our own lines read back with the rule itself written out. The wording of
the rules is from memory.
"""

import pytest

from barwright.job.edit_readings import add_reading
from barwright.job.load import parse
from barwright.job.row import Row


def only(text):
    (reading,) = parse("", text).readings
    return reading


@pytest.mark.parametrize(
    "text",
    [
        "kind,marks,value\r\nheight,A,10\r\n",  # rules 1 and 3: records end in CRLF, a header
        "kind,marks,value\r\nheight,A,10",  # rule 2: the last record may have no line end
        'kind,marks,value\r\n"height","A","10"\r\n',  # rule 5: fields may be enclosed
    ],
)
def test_records_and_enclosed_fields(text):
    assert (only(text).kind, only(text).marks, only(text).value) == ("height", ("A",), 10.0)


def test_rule_6_a_comma_inside_an_enclosed_field():
    assert only('kind,marks,value,note\r\nheight,A,10,"a, b"\r\n').note == "a, b"


def test_rule_7_a_double_quote_inside_is_doubled():
    assert only('kind,marks,value,note\r\nheight,A,10,"a ""b"" c"\r\n').note == 'a "b" c'


def test_what_we_write_encloses_and_doubles():
    row = Row(line=0, kind="height", marks="A", value="1' 3\"", note='a, "b"')
    line = add_reading("kind,marks,value,note\r\n", row).split("\r\n")[1]
    assert line == 'height,A,"1\' 3""","a, ""b"""'
