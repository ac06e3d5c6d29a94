"""Each table and key of a TOML text stands on the line that is said."""

import tomllib

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from barwright.job.toml_lines import line_of, lines_of, too_deep

TEXT = """\
# a [not.a.table]
title = "x = 1"  # y = 2
a.b . "c d" = 3

[bar.upper]
note = '''
[bar.fake]
stock = 1
'''
more = \"\"\"one \\\"\"\" ] two
fake = 2\"\"\"
path = [
  "A",  # [bar.comment]
  "B=C",
]
inline = { x = [1, 2], y = "}" }
[ bar . "lo.wer" ]
[[bar.list]]
k = 1
[[bar.list]]
k = 2
'end' = '#'
"""


def test_headers_keys_and_what_goes_on_over_lines():
    assert tomllib.loads(TEXT)
    lines = lines_of(TEXT)
    assert lines == {
        ("title",): 2,
        ("a",): 3,
        ("a", "b"): 3,
        ("a", "b", "c d"): 3,
        ("bar",): 5,
        ("bar", "upper"): 5,
        ("bar", "upper", "note"): 6,
        ("bar", "upper", "more"): 10,
        ("bar", "upper", "path"): 12,
        ("bar", "upper", "inline"): 16,
        ("bar", "lo.wer"): 17,
        ("bar", "list"): 18,
        ("bar", "list", "k"): 19,
        ("bar", "list", "end"): 22,
    }


def test_an_entry_without_a_line_has_that_of_the_table_round_it():
    lines = lines_of(TEXT)
    assert line_of(lines, ("bar", "upper", "inline", "x", "2")) == 16
    assert line_of(lines, ("bar", "none")) == 5
    assert line_of(lines, ("none",)) is None


@pytest.mark.parametrize(
    ("text", "deep"),
    [
        (".".join("a" * 17) + " = 1", False),
        (".".join("a" * 18) + " = 1", True),
        (" . ".join(["'a.b'"] * 18) + " = 1", True),
        ("x = [" + "0.1, 1.5, " * 30 + "]", False),
        ("# 1.2.3 and ................... so on", False),
    ],
)
def test_keys_with_too_many_dots(text, deep):
    assert too_deep(text) is deep


plain = st.from_regex(r"[A-Za-z0-9_-]{1,6}", fullmatch=True)
values = st.recursive(
    st.one_of(st.text(max_size=20), st.integers(-9, 9), st.booleans()),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=5,
)


@given(st.dictionaries(plain, st.dictionaries(plain, values, max_size=3), max_size=4))
def test_any_file_that_is_written_is_found_again(tables):
    """Held against tomlkit, which writes it, and tomllib, which reads it from that line on."""
    text = tomlkit.dumps(tables)
    lines = lines_of(text)
    for table, keys in tables.items():
        assert text.split("\n")[lines[table,] - 1] == f"[{table}]"
        for key, value in keys.items():
            rest = "\n".join(text.split("\n")[lines[table, key] - 1 :])
            first = tomllib.loads(rest[: rest.find("\n[")] if "\n[" in rest else rest)
            assert first[key] == value
