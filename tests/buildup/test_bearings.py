"""A direction told in words is set out again from the words alone, with square and protractor."""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.buildup.bearings import line, toward
from barwright.geometry.vectors import unit

ENDS = {
    "front": (1.0, 0.0, 0.0),
    "rear": (-1.0, 0.0, 0.0),
    "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0),
}
UP = np.array([0.0, 0.0, 1.0])
WITHIN = 1.2
"""Two angles told to a degree, each off by half of one [°]; a little for both together."""

directions = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda v: math.hypot(*v) > 0.1)


def swung(first, degrees, second):
    a, b = np.array(ENDS[first]), np.array(ENDS[second])
    return math.cos(math.radians(degrees)) * a + math.sin(math.radians(degrees)) * b


def raised(level, degrees):
    return math.cos(math.radians(degrees)) * level + math.sin(math.radians(degrees)) * UP


def in_plan(words):
    """ "the front and 14° round to the right" set out on the floor."""
    found = re.fullmatch(r"the (\w+)(?: and (\d+)° round to the (\w+))?", words)
    first, degrees, second = found.groups()
    return swung(first, float(degrees or 0), second or first)


def set_out(words):
    """The line or the way that some words tell of."""
    if steep := re.fullmatch(r"a line (\d+)° off upright, its top toward (.+)", words):
        return raised(in_plan(steep[2]), 90.0 - float(steep[1]))
    slope = re.search(r"(\d+)° (up|down)$", words)
    rise = float(slope[1]) * (1 if slope[2] == "up" else -1) if slope else 0.0
    end = re.search(r"its (\w+) end", words)[1]
    aside = re.search(r"a line (\d+)° from .+? toward the (\w+)", words)
    level = swung(end, float(aside[1]), aside[2]) if aside else np.array(ENDS[end])
    return raised(level, rise)


def off(one, other):
    return math.degrees(math.acos(min(1.0, float(unit(one) @ unit(other)))))


@settings(derandomize=True, deadline=None, max_examples=300)
@given(directions)
def test_a_line_is_found_again_from_its_words(v):
    plain = {"fore and aft": (1, 0, 0), "across": (0, 1, 0), "up and down": (0, 0, 1)}
    words = line(v)
    if words in plain:
        assert min(off(v, plain[words]), off(np.negative(v), plain[words])) <= 15.0 + 1e-6
    else:
        there = set_out(words)
        assert min(off(v, there), off(np.negative(v), there)) < WITHIN, words
        assert line(np.negative(v)) == words


@settings(derandomize=True, deadline=None, max_examples=300)
@given(directions)
def test_a_way_is_found_again_from_its_words(v):
    words = toward(v)
    if words in {"above", "the ground"}:
        assert off(v, UP if words == "above" else -UP) < 5.0 + 1e-6
        return
    plan, _, slope = words.partition(", ")
    rise = re.fullmatch(r"(\d+)° (up|down)", slope) if slope else None
    degrees = float(rise[1]) * (1 if rise[2] == "up" else -1) if rise else 0.0
    assert off(v, raised(in_plan(plan), degrees)) < WITHIN, words


@pytest.mark.parametrize(
    ("direction", "words"),
    [
        ((0.78, -0.62, 0.0), "a line 38° from fore and aft, its front end toward the right, level"),
        ((0.62, -0.78, 0.0), "a line 38° from across, its left end toward the rear, level"),
        ((0.0, 0.5, 0.5), "a line across, its left end 45° up"),
        (
            (0.5, 0.5, -0.3),
            "a line 45° from fore and aft, its front end toward the left and 23° down",
        ),
    ],
)
def test_no_reader_has_to_read_a_vector(direction, words):
    assert line(direction) == words
