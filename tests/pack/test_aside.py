"""Work done beside the rest gives what it would give here, and fails as it would here."""

import os
import threading

import pytest

from barwright.pack import aside
from barwright.pack.aside import beside


def test_it_is_done_in_another_process_where_that_is_safe(monkeypatch):
    monkeypatch.setattr(aside, "can_fork", lambda: True)
    assert beside(os.getpid)() != os.getpid()


def test_with_other_threads_about_it_is_done_here():
    stop = threading.Event()
    other = threading.Thread(target=stop.wait)
    other.start()
    try:
        assert beside(os.getpid)() == os.getpid()
    finally:
        stop.set()
        other.join()


def test_its_error_is_raised_where_the_result_is_asked_for(monkeypatch):
    monkeypatch.setattr(aside, "can_fork", lambda: True)
    asked = beside(lambda: 1 // 0)
    with pytest.raises(ZeroDivisionError):
        asked()


def test_a_copy_that_is_killed_is_made_up_for_here(monkeypatch):
    monkeypatch.setattr(aside, "can_fork", lambda: True)
    here = os.getpid()
    asked = beside(lambda: "done" if os.getpid() == here else os.kill(os.getpid(), 9))
    assert asked() == "done"
