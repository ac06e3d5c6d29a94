"""Where can a small wrong be put into a module, and how?

One comparison, sign, number, condition, `and` or answer inside a function at a time. Docstrings,
signatures and what stands outside functions are left alone.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass

SWAPS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.And: ast.Or, ast.Or: ast.And, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot,
    ast.IsNot: ast.Is, ast.UAdd: ast.USub, ast.USub: ast.UAdd,
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Wrong:
    """One wrong: the whole module with it, the lines of the statement it stands in, in words."""

    text: str
    line: int
    lines: frozenset[int]
    before: str
    after: str


def places(tree: ast.Module) -> list[tuple[ast.AST, str]]:
    """Every node that can be changed inside a function, and what is to be done to it."""
    found: list[tuple[ast.AST, str]] = []
    for function in ast.walk(tree):
        if not isinstance(function, ast.FunctionDef):
            continue
        for statement in function.body[bool(ast.get_docstring(function)) :]:
            for node in ast.walk(statement):
                found += [(node, what) for what in _ways(node)]
    return list(dict.fromkeys(found))


def _ways(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Compare) and type(node.ops[0]) in SWAPS:
        yield "compare"
    elif isinstance(node, ast.BinOp | ast.BoolOp | ast.UnaryOp) and type(node.op) in SWAPS:
        yield "operator"
    elif isinstance(node, ast.Constant) and type(node.value) in {int, float}:
        yield "number"
    elif isinstance(node, ast.If | ast.IfExp | ast.While):
        yield "negate"
    elif isinstance(node, ast.Return) and node.value is not None:
        yield "nothing"


def wrong(whole: str, place: int) -> Wrong:
    """The module's text with its place-th wrong put in."""
    tree = ast.parse(whole)
    node, what = places(tree)[place]
    lines = _statement_lines(tree, node)
    before = _head(node)
    _change(node, what)
    return Wrong(
        text=ast.unparse(tree),
        line=getattr(node, "lineno", 0),
        lines=lines,
        before=before,
        after=_head(node),
    )


def _change(node: ast.AST, what: str) -> None:
    if isinstance(node, ast.Compare):
        node.ops[0] = SWAPS[type(node.ops[0])]()  # type: ignore[call-overload]
    elif isinstance(node, ast.BinOp | ast.BoolOp | ast.UnaryOp):
        node.op = SWAPS[type(node.op)]()  # type: ignore[assignment]
    elif isinstance(node, ast.Constant):
        node.value = node.value + 1 if what == "number" else node.value  # type: ignore[operator]
    elif isinstance(node, ast.If | ast.IfExp | ast.While):
        node.test = ast.UnaryOp(op=ast.Not(), operand=node.test)
    elif isinstance(node, ast.Return):
        node.value = ast.Constant(value=None)


def _head(node: ast.AST) -> str:
    return ast.unparse(node).split("\n")[0]


def _statement_lines(tree: ast.Module, node: ast.AST) -> frozenset[int]:
    """Lines whose running runs the node: its innermost statement's, of a compound one its head."""
    held = [s for s in ast.walk(tree) if isinstance(s, ast.stmt) and node in set(ast.walk(s))]
    inner = min(held, key=lambda s: (s.end_lineno or s.lineno) - s.lineno)
    body = getattr(inner, "body", None)
    last = body[0].lineno - 1 if body else inner.end_lineno or inner.lineno
    return frozenset(range(inner.lineno, max(last, inner.lineno) + 1))
