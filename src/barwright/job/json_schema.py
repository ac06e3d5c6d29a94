"""The JSON Schema of job.toml, for editors that complete and check as one types."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

from barwright.job.schema import Job

DIALECT = "https://json-schema.org/draft/2020-12/schema"


@cache
def schema() -> dict[str, Any]:
    """The schema of job.toml, JSON Schema 2020-12. Do not change the object handed back.

    >>> sorted(schema()["properties"])[:3]
    ['bar', 'bender', 'bought']
    """
    made = Job.model_json_schema(by_alias=True)
    for read in ("readings", "drawings"):  # they come from files of their own
        del made["properties"][read]
    inner = {"Reading", "Drawing", "DrawnLine"}
    made["$defs"] = {n: d for n, d in made["$defs"].items() if n not in inner}
    head = {
        "$schema": DIALECT,
        "title": "Barwright job.toml",
        "description": "A job as written down. Lengths: a number in the job's unit, or text "
        "such as 23 7/16, 1' 3-1/2\" or 38.1 mm. Angles: degrees.",
    }
    return {**_for_people(made), **head}


def _for_people(node: Any) -> Any:  # noqa: ANN401 - any JSON
    """Defaults as written in the file, no titles that repeat the name, no null (TOML has none)."""
    if isinstance(node, list):
        return [_for_people(v) for v in node]
    if not isinstance(node, dict):
        return node
    kept = {k: _for_people(v) for k, v in node.items() if not _left_out(k, v)}
    options = [o for o in kept.get("anyOf", ()) if o != {"type": "null"}]
    if "anyOf" in kept:
        del kept["anyOf"]
        kept |= options[0] if len(options) == 1 else {"anyOf": options}
    if isinstance(kept.get("default"), float) and "quantity" in kept:
        kept["default"] = _as_written(kept["default"], kept["quantity"])
    kept.pop("quantity", None)
    if "patternProperties" in kept:  # tables by name: any other name is wrong
        kept["additionalProperties"] = False
    return kept


def _left_out(key: str, value: object) -> bool:
    """Titles (text, not a field called title), and defaults that say nothing."""
    return (key == "title" and isinstance(value, str)) or (
        key == "default" and (value is None or isinstance(value, dict | list))
    )


def _as_written(value: float, quantity: str) -> str | float:
    if quantity == "angle":
        return round(math.degrees(value), 9)
    return f"{value:g} mm"
