"""Work handed to the helper gives what it would give here, and fails as it would here."""

import os
import time
from collections.abc import Iterator
from functools import partial
from operator import truediv

import pytest

from barwright import helper
from barwright.helper import handed, stand_by, stand_down


@pytest.fixture
def standing() -> Iterator[None]:
    stand_by("math")
    yield
    stand_down()


def test_it_is_done_by_another_process(standing):
    assert handed(os.getpid)() != os.getpid()
    assert handed(os.getpid)() == handed(os.getpid)()


def test_with_none_standing_by_it_is_done_here():
    assert handed(os.getpid)() == os.getpid()


def test_its_error_is_raised_where_the_result_is_asked_for(standing):
    asked = handed(partial(truediv, 1, 0))
    with pytest.raises(ZeroDivisionError):
        asked()


def test_what_cannot_be_sent_is_done_here(standing):
    here = object()
    assert handed(lambda: here)() is here


def test_a_result_is_kept(standing):
    asked = handed(partial(list, "ab"))
    assert asked() is asked()


def test_what_was_dropped_is_done_here_and_does_not_stand_in_the_way(standing):
    slow = handed(partial(time.sleep, 0.3))
    gone = handed(os.getpid)
    gone.drop()
    assert gone() == os.getpid()
    assert handed(os.getpid)() != os.getpid()
    assert slow.ready
    assert slow() is None


def test_a_large_result_waits_without_standing_in_the_way_of_what_is_asked(standing):
    large = handed(partial(bytes, 5_000_000))
    time.sleep(0.1)
    more = [handed(partial(len, b"x" * 1_000_000)) for _ in range(3)]
    assert [one() for one in more] == [1_000_000] * 3
    assert large.ready
    assert len(large()) == 5_000_000


def test_a_helper_that_is_killed_is_made_up_for_here(standing):
    asked = handed(partial(time.sleep, 20.0))
    (one,) = helper._standing
    one._process.kill()
    other = handed(os.getpid)
    assert other() == os.getpid()
    asked.drop()
