"""How many small wrongs in the code would the tests notice? A seeded sample of mutants.

    ./run py benchmarks/mutants.py [--count 150] [--seed 1] [--minutes 60]

Each mutant is one comparison, sign, number, condition or `and` changed in one module of the floors
that the rest stands on. It is killed when a test of that module's floor fails. The sources are
copied first, so nothing here touches the working tree. Those who live are listed: some are equal
to the original in effect, the others want a test.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
FLOORS = ("geometry", "survey", "tubes")
PATIENCE = 900.0
"""Seconds; a mutant that never ends is noticed too, and said to be one of those."""

SWAPS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.And: ast.Or, ast.Or: ast.And, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot,
    ast.IsNot: ast.Is, ast.UAdd: ast.USub, ast.USub: ast.UAdd,
}  # fmt: skip


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


def change(node: ast.AST, what: str) -> None:
    """Do it."""
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


def sample(count: int, seed: int) -> list[tuple[Path, int]]:
    """So many (module, place) drawn alike from all places of the floors."""
    every = [
        (path, k)
        for floor in FLOORS
        for path in sorted((ROOT / "src" / "barwright" / floor).glob("*.py"))
        for k in range(len(places(ast.parse(path.read_text(encoding="utf-8")))))
    ]
    return random.Random(seed).sample(every, count)


def tests_of(module: Path) -> list[str]:
    """The test files that name the module first, then the rest of its floor's."""
    floor = module.parent.name
    dotted = re.compile(rf"barwright\.{floor}(\.| import .*\b){module.stem}\b")
    files = sorted((ROOT / "tests").rglob("test_*.py"))
    named = [f for f in files if dotted.search(f.read_text(encoding="utf-8"))]
    rest = [f for f in files if f.parent.name == floor and f not in named]
    return [str(f.relative_to(ROOT)) for f in (*named, *rest)]


def lives(house: Path, module: Path, place: int) -> str:
    """What was changed, where no test minds; "killed" or "no end" where one does."""
    inside = house / module.relative_to(ROOT)
    whole = module.read_text(encoding="utf-8")
    tree = ast.parse(whole)
    node, what = places(tree)[place]
    before = ast.unparse(node).split("\n")[0]
    change(node, what)
    after = ast.unparse(node).split("\n")[0]
    inside.write_text(ast.unparse(tree), encoding="utf-8")
    env = {**os.environ, "PYTHONPATH": str(house / "src"), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-m", "not study and not browser"]
    try:
        done = subprocess.run(  # noqa: S603 - our own tests
            [*command, "-p", "no:cacheprovider", *tests_of(module)],
            cwd=house, env=env, capture_output=True, timeout=PATIENCE, check=False,
        )  # fmt: skip
        noticed = "killed" if done.returncode else ""
    except subprocess.TimeoutExpired:
        noticed = "no end"
    inside.write_text(whole, encoding="utf-8")
    where = f"{module.relative_to(ROOT / 'src')}:{getattr(node, 'lineno', 0)}"
    return noticed or f"{where}  {before}  ->  {after}"


def main() -> None:
    """Draw, try, tell."""
    ask = argparse.ArgumentParser()
    ask.add_argument("--count", type=int, default=150)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--minutes", type=float, default=600.0)
    args = ask.parse_args()
    end, tried, living = time.monotonic() + 60.0 * args.minutes, 0, 0
    with tempfile.TemporaryDirectory() as folder:
        house = Path(folder)
        for name in ("src", "tests", "examples", "pyproject.toml", "docs", "benchmarks"):
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
            copy(ROOT / name, house / name)  # type: ignore[operator]
        for module, place in sample(args.count, args.seed):
            if time.monotonic() > end:
                break
            left = lives(house, module, place)
            tried, living = tried + 1, living + (left not in {"killed", "no end"})
            print(f"{tried:4} {left}", flush=True)
    print(f"{tried} mutants, seed {args.seed}: {tried - living} killed, {living} alive", flush=True)


if __name__ == "__main__":
    main()
