# ruff: noqa: INP001 - a script of the manual, not a package
"""Fill in what the manual takes from the code, so that it cannot fall behind it.

mkdocs calls `on_page_markdown` for every page. A line such as `<!-- made: commands -->` is
replaced by what is made here: the command line's own help, the tables of job.toml from its JSON
Schema, the kinds of reading, the fittings' parameters, the modules of a floor, the outside checks.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
from meanings import MEANINGS

ROOT = Path(__file__).parent.parent.parent
SOURCE = ROOT / "src" / "barwright"
_MADE = re.compile(r"^<!-- made: ([a-z_/ ]+) -->$", re.MULTILINE)


def on_page_markdown(markdown: str, **_: Any) -> str:  # noqa: ANN401 - mkdocs hands over more
    """The page's text with everything filled in. Raises KeyError for what nobody makes."""
    return _MADE.sub(lambda found: made(found[1]), markdown)


def made(what: str) -> str:
    """What one placeholder stands for."""
    name, _, of = what.partition(" ")
    return MAKERS[name](of)


# ---- the command line ---------------------------------------------------------------------------


def commands(_: str) -> str:
    """Every command's own help."""
    from typer.main import get_command
    from typer.testing import CliRunner

    from barwright.cli.shop_app import app

    def told(*args: str) -> str:
        told = CliRunner().invoke(app, [*args, "--help"], prog_name="barwright", color=False)
        return f"```text\n{told.output.strip()}\n```\n"

    names = sorted(getattr(get_command(app), "commands", {}))
    return "\n".join([told(), *(f"## barwright {n}\n\n{told(n)}" for n in names)])


# ---- job.toml -----------------------------------------------------------------------------------


def tables(_: str) -> str:
    """Every table of job.toml with its fields, and the tables that stand inside them."""
    from barwright.job.json_schema import schema

    whole = schema()
    inner: dict[str, str] = {}
    text = []
    for name, node in whole["properties"].items():
        named = next(iter(node.get("patternProperties", {}).values()), None)
        many = node.get("items")
        where = f"[{name}.NAME]" if named else f"[[{name}]]" if many else f"[{name}]"
        text.append(_table(where, _ref(named or many or node), whole, inner))
    told: set[str] = set()
    while rest := [ref for ref in inner if ref not in told]:
        for ref in rest:
            told.add(ref)
            text.append(_table(ref, ref, whole, inner))
    return "\n".join(text)


def _ref(node: dict[str, Any]) -> str:
    for option in (node, *node.get("allOf", ()), *node.get("anyOf", ())):
        if "$ref" in option:
            return str(option["$ref"]).rpartition("/")[2]
    return ""


def _table(title: str, ref: str, whole: dict[str, Any], inner: dict[str, str]) -> str:
    says, fields = _doc(ref)
    node = whole["$defs"][ref]
    needed = set(node.get("required", ()))
    rows = [
        f"| `{field}` | {_kind(inside, inner, _quantity(ref, field))} "
        f"| {_usual(inside, _quantity(ref, field), needed=field in needed)} "
        f"| {_meaning(ref, field, fields)} |"
        for field, inside in node.get("properties", {}).items()
    ]
    head = ["| field | is | if left out | what it says |", "|---|---|---|---|"]
    anchor = f"## {title} {{ #{ref.lower()} }}" if title == ref else f"## `{title}`"
    return "\n".join([anchor, "", _plain(says), "", *(head if rows else ()), *rows, ""])


def _meaning(ref: str, field: str, fields: dict[str, str]) -> str:
    """What a field says: the manual's own words, or its table's."""
    says = MEANINGS.get((ref, field)) or fields.get(field) or fields.get(f"{field}_") or ""
    if not says and ref == "DefaultPlusMinus":
        says = f"of a reading of the kind [{field}](readings.md)"
    return _cell(re.sub(r"\bNone\b", "left out", _plain(says)))


def _plain(says: str) -> str:
    """Without the units it is kept in: people write their own."""
    return re.sub(r" ?\[(?:mm|rad|mm or rad)\]", "", says)


@cache
def _raw() -> dict[str, Any]:
    from barwright.job.schema import Job

    whole: dict[str, Any] = Job.model_json_schema(by_alias=True)["$defs"]
    return whole


def _quantity(ref: str, field: str) -> str:
    """Length, angle or force, which the schema for editors leaves out."""
    found = re.search(r"'quantity': '(\w+)'", str(_raw()[ref]["properties"].get(field, "")))
    return found[1] if found else ""


def _kind(node: dict[str, Any], inner: dict[str, str], quantity: str = "") -> str:
    """What a field is, in a fabricator's words."""
    if node.get("type") in (["number", "string"], "string") and quantity:
        return quantity
    if ref := _ref(node):
        inner.setdefault(ref, ref)
        return f"[table](#{ref.lower()})"
    if "enum" in node or "const" in node:  # one of some words
        return ", ".join(f"`{v}`" for v in node.get("enum", [node.get("const")]) if v != "")
    if options := (*node.get("anyOf", ()), *node.get("oneOf", ())):
        kinds = dict.fromkeys(_kind(o, inner, quantity) for o in options)
        return " or ".join(k for k in kinds if k)
    if node.get("type") == "array":
        items = node.get("items")
        one = _kind(items, inner, quantity) if isinstance(items, dict) else "values"
        return f"list of {one}"
    words = {"string": "text", "boolean": "true or false", "integer": "whole number"}
    kinds = node.get("type", "value")
    return " or ".join(words.get(k, k) for k in ([kinds] if isinstance(kinds, str) else kinds))


def _usual(node: dict[str, Any], quantity: str, *, needed: bool) -> str:
    if needed:
        return "**needed**"
    usual = node.get("default")
    if usual in (None, "", [], {}) or isinstance(usual, dict):
        return "–"
    degrees = "°" if quantity == "angle" and isinstance(usual, float) else ""
    return f"`{str(usual).lower() if isinstance(usual, bool) else usual}`{degrees}"


def _doc(ref: str) -> tuple[str, dict[str, str]]:
    """What a table's class says of itself and of its fields."""
    first = ["schema", "plate_schema", "load_cases", "tolerance_schema"]
    for name in (*first, *(p.stem for p in sorted((SOURCE / "job").glob("[!_]*.py")))):
        found = getattr(importlib.import_module(f"barwright.job.{name}"), ref, None)
        if inspect.isclass(found):
            return _attributes(inspect.getdoc(found) or "")
    return "", {}


def _attributes(doc: str) -> tuple[str, dict[str, str]]:
    says, _, rest = doc.partition("Attributes:\n")
    fields: dict[str, str] = {}
    for entry in re.split(r"\n(?=    \S)", "\n" + rest):
        names, colon, meaning = entry.strip().partition(": ")
        if colon:
            for name in names.split(","):
                fields[name.strip()] = " ".join(meaning.split())
    return says.strip(), fields


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("<", "&lt;")


# ---- readings, fittings -------------------------------------------------------------------------


def kinds(_: str) -> str:
    """The kinds of reading, with the plus/minus each has when a row gives none."""
    from barwright.job.kinds import RULES
    from barwright.job.schema import DefaultPlusMinus

    usual = DefaultPlusMinus()
    rows = ["| kind | marks | value | says | usual ± |", "|---|---|---|---|---|"]
    for name, rule in RULES.items():
        many = str(rule.fewest) if rule.most else f"{rule.fewest} or more"
        value = {"point": "x y z", "": "–"}.get(rule.value, rule.value)
        doubt = usual.of(name)
        unit = f"{doubt * 57.29578:.1f}°" if rule.doubt == "angle" else f"{doubt:.1f} mm"
        rows.append(f"| `{name}` | {many} | {value} | {rule.says} | {unit} |")
    return "\n".join(rows)


def fittings(_: str) -> str:
    """The fittings and their parameters, each from its own module."""
    text = []
    for path in sorted((SOURCE / "plates" / "fittings").glob("[!_]*.py")):
        module = importlib.import_module(f"barwright.plates.fittings.{path.stem}")
        first, _, rest = (module.__doc__ or "").partition("\n")
        text += [f"## {first.partition(':')[0]}", "", first.partition(": ")[2], "", rest.strip()]
        text += ["", *_parameters(module), ""]
    return "\n".join(text)


def _parameters(module: Any) -> Iterator[str]:  # noqa: ANN401 - a module
    model = next(
        (
            value
            for value in vars(module).values()
            if inspect.isclass(value)
            and issubclass(value, importlib.import_module("pydantic").BaseModel)
            and value.__name__ in {"Table", "HingeTable"}
        ),
        None,
    )
    if model is None:
        return
    fields: dict[str, str] = {}
    for base in reversed(model.__mro__):
        if base.__doc__ and base.__module__.startswith("barwright"):
            fields |= _attributes(inspect.cleandoc(base.__doc__))[1]
    yield from ("| parameter | if left out | |", "|---|---|---|")
    for name, field in model.model_fields.items():
        usual = "**needed**" if field.is_required() else "–"
        if field.default is not None and not field.is_required():
            usual = f"`{field.default}`"
        yield f"| `{name}` | {usual} | {_meaning('', name, fields)} |"


def rules(_: str) -> str:
    """The published pushes that a job may name."""
    from barwright.strength.rules import RULES, USUAL

    where = {"middle": "at its middle", "latch": "at the latch", "hinge": "at the hinge"}
    way = {"in": "inward", "out": "outward", "back": "backward"}
    rows = ["| name | push | source | if `rules` is left out |", "|---|---|---|---|"]
    for name, rule in RULES.items():
        force = f"{rule.force / 1000:.2f} kN" if rule.force else f"{rule.times:.0f} g"
        push = f"{force} {way[rule.way]} {where[rule.where]}"
        rows.append(f"| `{name}` | {push} | {_cell(rule.source)} | {'yes' * (name in USUAL)} |")
    return "\n".join(rows)


# ---- floors, outside checks ----------------------------------------------------------------------


def floor(of: str) -> str:
    """Every module of a floor in its own words, with what it offers."""
    text = []
    for path in sorted((SOURCE / of.strip()).glob("[!_]*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        first, _, rest = (ast.get_docstring(tree) or path.stem).partition("\n")
        text += [f"### `{path.stem}`", "", _cell(first), ""]
        if rest.strip():
            text += ["```text", rest.strip("\n"), "```", ""]
        if offered := list(_offered(tree)):
            text += ['??? note "what it offers"', "", *(f"    {line}" for line in offered), ""]
    return "\n".join(text)


def _offered(tree: ast.Module) -> Iterator[str]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield from (f"`{node.name}({ast.unparse(node.args)})`", "", "```text")
            yield from (ast.get_docstring(node) or "").splitlines()
            yield from ("```", "")


def outside(_: str) -> str:
    """The sources outside the project that the code is held against, in the tests' own words."""
    rows = []
    for path in sorted((ROOT / "tests" / "outside").glob("test_*.py")):
        doc = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
        rows.append(f"- **`{path.stem.removeprefix('test_')}`**: {_cell(' '.join(doc.split()))}")
    return "\n".join(rows)


MAKERS: dict[str, Callable[[str], str]] = {
    "commands": commands,
    "tables": tables,
    "kinds": kinds,
    "fittings": fittings,
    "rules": rules,
    "floor": floor,
    "outside": outside,
}
