"""The JSON Schema says what the loader does."""

import json
import tomllib
from pathlib import Path

import pytest

from barwright.job.errors import BadInput
from barwright.job.json_schema import schema
from barwright.job.load import parse
from barwright.job.schema import Job

HERON = Path(__file__).parents[2] / "examples" / "heron" / "job.toml"


def resolved(node):
    if "$ref" in node:
        return schema()["$defs"][node["$ref"].rpartition("/")[2]]
    return node


def field(node, name):
    """The schema of one field of a table, whichever of its alternatives the table is."""
    for option in (node, *node.get("anyOf", ()), *node.get("oneOf", ())):
        table = resolved(option)
        if name in table.get("properties", {}):
            return table["properties"][name]
        if "patternProperties" in table:
            return next(iter(table["patternProperties"].values()))
    return None


def unknown(value, node, path=()):
    """Every entry of a file that the schema has no field for."""
    if isinstance(value, dict):
        for name, inner in value.items():
            known = field(resolved(node), name)
            if known is None and resolved(node).get("additionalProperties") is not True:
                yield (*path, name)
            elif known is not None:
                yield from unknown(inner, known, (*path, name))


def test_every_entry_of_the_heron_is_in_the_schema():
    assert list(unknown(tomllib.loads(HERON.read_text()), schema())) == []
    assert list(unknown({"bar": {"a": {"stok": "m"}}}, schema())) == [("bar", "a", "stok")]


def test_it_is_of_a_published_dialect_and_plain_json():
    assert schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert json.loads(json.dumps(schema(), allow_nan=False)) == schema()


def test_every_table_of_a_job_but_not_its_readings():
    assert set(schema()["properties"]) == set(Job.model_fields) - {"readings", "drawings"}
    assert "Reading" not in schema()["$defs"]
    assert schema()["additionalProperties"] is False


def test_toml_has_no_null_and_neither_has_the_schema():
    assert '"null"' not in json.dumps(schema())


def test_defaults_stand_as_they_are_written_in_the_file():
    fields = schema()["$defs"]["DefaultPlusMinus"]["properties"]
    assert fields["tape"]["default"] == "0.8 mm"
    assert fields["incline"]["default"] == pytest.approx(0.2)
    toml = "[default_plus_minus]\n" + "".join(
        f"{name} = {json.dumps(f['default'])}\n" for name, f in fields.items()
    )
    assert parse(toml).default_plus_minus == parse("").default_plus_minus


def test_what_the_schema_forbids_the_loader_refuses():
    for toml in ("[bar.a]\nstock = 'm'\nwidth = 3\n", "[job]\nunit = 'cm'\n"):
        with pytest.raises(BadInput):
            parse(toml)
