"""How many small wrongs in the code would the tests notice? A seeded sample of mutants.

    ./run py -m benchmarks.mutants [--count 150] [--seed 1] [--jobs 1] [--again]

Each mutant is one comparison, sign, number, condition, answer or `and` changed in one module of the
floors that the rest stands on. It is killed when a test fails, when it never ends, or when it
brings the process down. A copy of the sources is kept in the folder, with what each test runs and
what each mutant met: a run that was stopped goes on where it was. `--again` takes today's tests and
tries only those that lived. Remove the folder to begin anew with today's sources. It needs what
`./run test` installs.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the tests themselves have it

import argparse
import ast
import json
import random
from collections import Counter
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from benchmarks.mutant_places import Wrong, places, wrong
from benchmarks.mutant_trials import (
    QUICK,
    ROOT,
    Notes,
    Told,
    copy_project,
    notes,
    shared,
    warm_up,
    who_minds,
)

FLOORS = ("geometry", "survey", "tubes")
NEAR = tuple(f"tests/{floor}/" for floor in (*FLOORS, "outside"))
"""Where these floors are tested; what stands above tests them too, and is asked last."""
PATIENCE = 30.0
"""Processor seconds of tests, as they take unharmed, that a mutant meets before it lives."""


def sample(house: Path, count: int, seed: int) -> list[tuple[str, int]]:
    """So many (module, place) drawn alike from all places of the floors."""
    every = [
        (str(path.relative_to(house)), k)
        for floor in FLOORS
        for path in sorted((house / "src" / "barwright" / floor).glob("*.py"))
        for k in range(len(places(ast.parse(path.read_text(encoding="utf-8")))))
    ]
    return random.Random(seed).sample(every, count)


def rounds(known: Notes, module: str, made: Wrong) -> list[tuple[list[str], float]]:
    """Lists of tests to try in turn, each with its processor time: five times the unharmed.

    First those of the three files that run the wrong most often, since reading many files takes
    longer than most mutants live.
    """
    by_line = known.runs.get(module, {})
    runs = {t for line in made.lines for t in by_line.get(str(line), ())}
    files = Counter(t.split("::")[0] for t in sorted(runs))
    beside = {t for t in known.seconds if t.split("::")[0] in files} - runs

    def first(test: str) -> tuple[bool, bool, float]:
        return test in beside, not test.startswith(NEAR), known.seconds[test]

    all_ = sorted((runs | beside) & known.seconds.keys(), key=first)
    tests = list(_within(PATIENCE, all_, known))
    most = sorted(files, key=lambda f: (not f.startswith(NEAR), -files[f]))[:3]
    own = [t for t in tests if t in runs and t.split("::")[0] in most]
    quick = dict.fromkeys(_within(QUICK, own, known))
    parts = [list(quick), [t for t in tests if t not in quick]]
    return [(p, 20.0 + 5.0 * sum(known.seconds[t] for t in p)) for p in parts if p]


def _within(seconds: float, tests: list[str], known: Notes) -> Iterator[str]:
    for test in tests:
        seconds -= known.seconds[test]
        if seconds < 0.0:
            return
        yield test


def attempt(house: Path, known: Notes, module: str, place: int) -> Told:
    """One mutant: what was changed, and which test minds."""
    made = wrong((house / module).read_text(encoding="utf-8"), place)
    tried = rounds(known, module, made)
    told = {
        "module": module.removeprefix("src/barwright/"),
        "place": place,
        "line": made.line,
        "change": f"{made.before}  ->  {made.after}",
        "met": sum(len(tests) for tests, _ in tried),
    }
    return {**told, **who_minds(house, module, made.text, tried)}


def summary(met: list[Told]) -> Iterator[str]:
    """Floor by floor, then all of those that live."""
    for floor in (*FLOORS, ""):
        here = [m for m in met if m["module"].startswith(floor)]
        if not here:
            continue
        killed = [m for m in here if m["minds"]]
        near = sum(m["minds"].startswith((*NEAR, "no end")) for m in killed)
        share = 100.0 * len(killed) / len(here)
        name = floor or "together"
        yield f"{name}: {len(killed)} of {len(here)} killed, {share:.0f} % ({near} near by)"
    for m in met:
        if not m["minds"]:
            yield f"alive  {m['module']}:{m['line']}  {m['change']}  (met {m['met']} tests)"


def worker(house: Path, met: Path, known: Notes, drawn: list[tuple[int, str, int]]) -> None:
    """Meet the mutants one after the other, each written down at once."""
    for k, module, place in drawn:
        told = attempt(house, known, module, place)
        (met / f"{k:04}.json").write_text(json.dumps(told, indent=1))
        print(f"{k:4} {told['module']}:{told['line']}  {told['change']}")
        print(f"     {told['minds'] or 'ALIVE'}  ({told['seconds']} s)", flush=True)


def still(met: Path, drawn: list[tuple[str, int]], *, again: bool) -> list[tuple[int, str, int]]:
    """Those of the sample not met yet; with `again` also those that lived."""
    told = {int(p.stem): json.loads(p.read_text()) for p in met.glob("*.json")}
    done = {k for k, t in told.items() if t["minds"] or not again}
    return [(k, *one) for k, one in enumerate(drawn) if k not in done]


def main() -> None:
    """Draw, try, tell."""
    ask = argparse.ArgumentParser()
    ask.add_argument("--count", type=int, default=150)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--jobs", type=int, default=1)
    ask.add_argument("--folder", type=Path, default=ROOT / "out" / "mutants")
    ask.add_argument("--again", action="store_true")
    args = ask.parse_args()
    folder = args.folder.resolve()
    house, met = folder / "house", folder / f"seed-{args.seed}"
    met.mkdir(parents=True, exist_ok=True)
    copy_project(house, tests=args.again)
    warm_up()
    known = notes(house, folder / "notes", FLOORS, args.jobs)
    left = still(met, sample(house, args.count, args.seed), again=args.again)
    shared(partial(worker, house, met, known), left, args.jobs)
    print(*summary([json.loads(p.read_text()) for p in sorted(met.glob("*.json"))]), sep="\n")


if __name__ == "__main__":
    main()
