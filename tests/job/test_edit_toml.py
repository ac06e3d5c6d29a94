"""One value of job.toml changes, and nothing else does."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.job.edit_toml import set_value
from barwright.job.errors import BadInput

HERON = (Path(__file__).parents[2] / "examples" / "heron" / "job.toml").read_text()
TEXT = """\
# top
[job]           # what
name = "x"      # a name
unit = "in"

[bar.upper]     # the bent one
stock = "main"
path = [
  "A",  # bottom
  "B",
]
cope = { from = ["m"], to = [] }

# the end
"""


def test_comments_order_and_the_rest_stay():
    after = set_value(TEXT, "job.name", "y")
    assert after == TEXT.replace('name = "x" ', 'name = "y" ')


def test_a_value_inside_an_inline_table():
    after = set_value(TEXT, "bar.upper.cope.to", ["n"])
    assert after == TEXT.replace("to = []", 'to = ["n"]')


def test_a_new_value_and_a_new_table():
    after = set_value(set_value(TEXT, "job.root_gap", "1/32 in"), "bar.sill.stock", "main")
    data = tomllib.loads(after)
    assert data["job"]["root_gap"] == "1/32 in"
    assert data["bar"]["sill"] == {"stock": "main"}
    assert data["bar"]["upper"]["path"] == ["A", "B"]
    assert all(c in after for c in ("# top", "# what", "# a name", "# bottom", "# the end"))


def test_an_entry_taken_out_and_one_that_was_not_there():
    after = set_value(TEXT, "bar.upper.path", None)
    assert "path" not in tomllib.loads(after)["bar"]["upper"]
    assert set_value(TEXT, "bar.none.path", None) == TEXT
    assert set_value(TEXT, "job.none", None) == TEXT


def test_an_empty_file_gets_its_table():
    assert tomllib.loads(set_value("", "bar.upper.stock", "main")) == {
        "bar": {"upper": {"stock": "main"}}
    }


def test_line_ends_stay():
    crlf = TEXT.replace("\n", "\r\n")
    after = set_value(crlf, "job.root_gap", 0.5)
    assert "\n" not in after.replace("\r\n", "")


@pytest.mark.parametrize(
    ("text", "entry", "value"),
    [
        ("[job\n", "job.name", "x"),
        (TEXT, "job.name.first", "x"),
        (TEXT, "bar.upper.path.0", "x"),
        (TEXT, "job.name", object()),
        (TEXT, "job.name", float("nan")),
        ("x = " + "[" * 3000 + "]" * 3000, "job.name", "x"),
    ],
)
def test_what_cannot_be_changed_is_refused(text, entry, value):
    with pytest.raises(BadInput):
        set_value(text, entry, value)


ENTRIES = [
    "job.name",
    "job.unit",
    "stock.main.od",
    "stock.new.od",
    "bender.main.springback",
    "bar.hoop.path",
    "bar.new.stock",
    "bar.upper.prebent",
    "leaf.side.opens",
    "leaf.side.hinge.fitting",
    "leaf.side.hinge.gap",
    "twin.of",
]
VALUES = st.one_of(
    st.text(max_size=8),
    st.integers(-(2**40), 2**40),
    st.floats(allow_nan=False),
    st.booleans(),
    st.lists(st.text(max_size=3), max_size=3),
    st.none(),
)


@given(st.lists(st.tuples(st.sampled_from(ENTRIES), VALUES), max_size=4))
def test_any_edits_of_the_heron_say_what_was_meant_and_keep_every_comment(edits):
    """The parsed file is what a plain dictionary with the same edits is (tomllib as the judge)."""
    text, data = HERON, tomllib.loads(HERON)
    for entry, value in edits:
        try:
            text = set_value(text, entry, value)
        except BadInput:  # it leads through a value set before
            continue
        put(data, entry.split("."), value)
        assert tomllib.loads(text) == data
    removed = [e for e, v in edits if not isinstance(v, str)]
    if not removed:
        assert [line for line in text.splitlines() if line.startswith("#")] == [
            line for line in HERON.splitlines() if line.startswith("#")
        ]


def put(data, steps, value):
    *tables, key = steps
    for step in tables:
        if value is None and step not in data:
            return
        data = data.setdefault(step, {})
    if value is None:
        data.pop(key, None)
    else:
        data[key] = value
