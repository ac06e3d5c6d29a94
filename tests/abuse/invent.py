"""Job files invented from the schema: each field of the right kind, or nearly, or not at all."""

import json
import math
from typing import Any

from hypothesis import strategies as st

from barwright.job.json_schema import schema
from barwright.job.kinds import RULES

NAMES = ("A", "B", "C", "D", "E", "upper", "post", "main", "side", "Ω-1", "x" * 60)
WORDS = (
    *("level", "up", "down", "from", "to", "both", "boxed-hinge", "latch-carrier", "light", "in"),
    *("striker-gusset", "tube-tab", "foot-plate", "corner-gusset", "box-gusset", "mm", "s235"),
    *("dom-1020", "a36", "RC4", "FN2", "H7", "p6", "none", "../a.dxf", "a.dxf", "pin", "9 kN"),
)
LENGTHS = ("23 7/16", "1' 3-1/2\"", "0.120 in", "38.1 mm", "1/0", "20 ft", "-3 mm", "1e99 in", "")
WHOLE = schema()

names = st.sampled_from(NAMES)
numbers = st.one_of(
    st.floats(0.01, 3000.0, allow_nan=False).map(lambda v: round(v, 3)),
    st.integers(-5, 400),
    st.floats(),
    st.integers(),
)
texts = st.one_of(names, st.sampled_from(WORDS), st.sampled_from(LENGTHS), st.text(max_size=8))
leaves = st.one_of(numbers, texts, st.booleans())
anything = st.recursive(
    leaves,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=6,
)


def of(node: dict[str, Any], deep: int = 0) -> st.SearchStrategy[Any]:
    """Values that a part of the schema nearly allows: one in ten is anything at all."""
    right = _right(node, deep)
    return st.integers(0, 60).flatmap(lambda n: anything if n == 0 else right)


def _right(node: dict[str, Any], deep: int) -> st.SearchStrategy[Any]:  # noqa: PLR0911 - a switch
    if "$ref" in node:
        return st.deferred(lambda: table(WHOLE["$defs"][node["$ref"].rpartition("/")[2]], deep + 1))
    if "enum" in node:
        return st.sampled_from(node["enum"])
    if options := (*node.get("anyOf", ()), *node.get("oneOf", ()), *node.get("allOf", ())):
        return st.one_of([_right(o, deep) for o in options])
    if "patternProperties" in node:
        (inner,) = node["patternProperties"].values()
        return st.dictionaries(names, of(inner, deep), min_size=1, max_size=3)
    kind = node.get("type")
    if isinstance(kind, list):
        return st.one_of(numbers, st.sampled_from(LENGTHS))
    if kind == "array":
        return _array(node, deep)
    if kind == "object":
        return table(node, deep + 1)
    if kind == "boolean":
        return st.booleans()
    return numbers if kind in {"number", "integer"} else texts if kind == "string" else leaves


def _array(node: dict[str, Any], deep: int) -> st.SearchStrategy[Any]:
    if firsts := node.get("prefixItems"):
        return st.tuples(*(of(n, deep) for n in firsts)).map(list)
    most = 5 if deep < 4 else 2
    return st.lists(of(node.get("items", {}), deep), max_size=most)


def table(node: dict[str, Any], deep: int) -> st.SearchStrategy[dict[str, Any]]:
    """A table with all it needs (mostly), and some of what it may have."""
    fields = node.get("properties", {})
    needed = {n: of(fields[n], deep) for n in node.get("required", ())}
    others = {n: of(v, deep) for n, v in fields.items() if n not in needed}
    return st.fixed_dictionaries(needed, optional=others if deep < 5 else {})


jobs = st.fixed_dictionaries(
    {"stock": of(WHOLE["properties"]["stock"])},
    optional={n: of(v) for n, v in WHOLE["properties"].items() if n != "stock"},
)

cells = st.tuples(
    st.sampled_from([*RULES, "nothing"]),
    st.lists(names, max_size=4).map(" ".join),
    st.one_of(st.just(""), numbers.map(str), texts, st.just("1 2 3")),
    st.one_of(st.just(""), numbers.map(str), texts),
    st.text(max_size=5),
).map(lambda row: ",".join(c.replace("\n", " ") for c in row))

FIRST = "fixed,A,0 0 0,,\nfixed,B,0 0 900,,\nfixed,C,1000 0 0,,\nfixed,D,1000 0 900,,\n"
readings = st.lists(cells, max_size=6).map(
    lambda rows: "kind,marks,value,plus_minus,note\n" + FIRST + "\n".join(rows)
)


def toml(data: dict[str, Any]) -> str:
    """The tables as TOML, whatever their keys and values are."""
    return "\n".join(f"{_said(name)} = {_said_any(value)}" for name, value in data.items())


def _said_any(value: Any) -> str:
    if isinstance(value, dict):
        inside = ", ".join(f"{_said(k)} = {_said_any(v)}" for k, v in value.items())
        return "{" + inside + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_said_any, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return (
            ("nan" if math.isnan(value) else "inf" if value > 0 else "-inf")
            if not math.isfinite(value)
            else repr(value)
        )
    return str(value) if isinstance(value, int) else _said(str(value))


def _said(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")
