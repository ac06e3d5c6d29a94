from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.bench.change import between, redone, undone

texts = st.text(alphabet="ab\n\r,é", max_size=40)


@given(texts, texts)
@settings(derandomize=True, deadline=None)
def test_a_change_leads_there_and_back(before: str, after: str) -> None:
    change = between("f", before, after)
    assert redone(before, change) == after
    assert undone(after, change) == before


@given(texts, texts)
@settings(derandomize=True, deadline=None)
def test_a_change_holds_no_more_than_what_differs(before: str, after: str) -> None:
    change = between("f", before, after)
    if change.old and change.new:
        assert change.old[0] != change.new[0]
        assert change.old[-1] != change.new[-1]
    if before == after:
        assert (change.old, change.new) == ("", "")


def test_a_change_is_not_made_on_another_text() -> None:
    change = between("f", "one two", "one 2")
    with pytest.raises(ValueError, match="not the text"):
        undone("one 2!", change)
    with pytest.raises(ValueError, match="not the text"):
        redone("one three", change)
