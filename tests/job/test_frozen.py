"""A frozen map cannot change, and is a key."""

import copy
import pickle

import pytest
from pydantic import TypeAdapter, ValidationError

from barwright.job.frozen import FrozenMap, frozen
from barwright.job.load import parse


def test_equal_maps_are_one_key_and_order_counts():
    one, two = FrozenMap({"a": 1, "b": 2}), FrozenMap({"a": 1, "b": 2})
    turned = FrozenMap({"b": 2, "a": 1})
    assert one == two
    assert hash(one) == hash(two)
    assert {one: "x"}[two] == "x"
    assert one != turned
    assert one != {"a": 1, "b": 2}
    assert (list(one), len(one), one["b"], repr(FrozenMap())) == (["a", "b"], 2, 2, "FrozenMap({})")


def test_it_cannot_be_changed_even_through_what_it_was_made_from():
    source = {"a": 1}
    made = FrozenMap(source)
    source["a"] = 2
    assert made["a"] == 1
    with pytest.raises(TypeError):
        made["a"] = 2


def test_it_survives_copying_and_pickling():
    made = FrozenMap({"a": (1, 2)})
    assert copy.deepcopy(made) == pickle.loads(pickle.dumps(made)) == made  # noqa: S301 - our own


def test_pydantic_reads_its_values_and_names():
    read = TypeAdapter(FrozenMap[int]).validate_python
    assert read({"a": "3"}) == FrozenMap({"a": 3})
    for wrong in ({"a b": 3}, {"a": "x"}, {"": 3}, {"-a": 3}, {"a/b": 3}, {"x" * 61: 3}, [1]):
        with pytest.raises(ValidationError):
            read(wrong)
    assert TypeAdapter(FrozenMap[int]).dump_python(FrozenMap({"a": 3})) == {"a": 3}


def test_what_a_fitting_is_given_is_frozen_all_the_way_down():
    toml = "[fitting.x]\nfitting = 'f'\nholes = [1, [2, 3]]\ninner = { a = [1] }\n"
    extra = parse(toml).fitting["x"].model_extra
    assert extra == {"holes": (1, (2, 3)), "inner": FrozenMap({"a": (1,)})}
    hash(tuple(extra.values()))
    assert parse(toml) == parse(toml)
    assert parse(toml) != parse(toml.replace("2, 3", "2, 4"))
    assert frozen("text") == "text"
