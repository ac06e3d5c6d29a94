"""Which test minds? pytest in forks of a process that has the heavy libraries loaded already.

A copy of the project is made first, so nothing here touches the working tree. Every test file runs
once unharmed, in a process of its own (so that what one file remembers hides nothing from the
next), and it is written down which tests ran which line, and how long each took. A mutant then
meets the tests that ran its line, quick ones and its own floor's first, then all others of the
files those stand in, since a test may be served by what an earlier one worked out.
"""

from __future__ import annotations

import hashlib
import json
import multiprocessing
import os
import resource
import shutil
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import CodeType
from typing import Any

import coverage
import pytest

ROOT = Path(__file__).parents[1]
COPIED = ("src", "tests", "examples", "docs", "benchmarks", "page", "pyproject.toml", "mkdocs.yml",
          "README.md", "CHANGELOG.md", "CONTRIBUTING.md", "LICENSE", "run")  # fmt: skip
LEFT_OUT = ("abuse", "browser", "docs", "cli", "data", "job")
"""Test folders that run the whole program in other processes, or none of these floors."""
WARM = ("numpy", "scipy.optimize", "scipy.sparse.linalg", "scipy.spatial", "scipy.stats", "cv2",
        "shapely", "shapely.ops", "pydantic", "tomlkit", "ezdxf", "manifold3d", "trimesh",
        "matplotlib", "reportlab.pdfgen.canvas", "rich.table",
        "hypothesis.extra.numpy")  # fmt: skip
QUICK = 4.0
"""Seconds of tests that are tried before any other test file is even read."""
MEMORY = 8 << 30

Told = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Notes:
    """Of every test that passes unharmed: how long it takes, and which lines it runs."""

    seconds: dict[str, float]
    runs: dict[str, dict[str, list[str]]]
    """Module, line -> tests; a whole file's name where reading the file runs it."""


class _Watch:
    """A pytest plugin: only the wanted tests, in the wanted order; what each took; what failed."""

    def __init__(self, wanted: list[str] | None, measure: coverage.Coverage | None) -> None:
        self.rank = None if wanted is None else {name: k for k, name in enumerate(wanted)}
        self.measure = measure
        self.began = 0.0
        self.seconds: dict[str, float] = {}
        self.failed: list[str] = []

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        if self.rank is not None:
            items[:] = [item for item in items if item.nodeid in self.rank]
            items.sort(key=lambda item: self.rank[item.nodeid])  # type: ignore[index]

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_logstart(self, nodeid: str) -> None:
        if self.measure is not None:
            self.measure.switch_context(nodeid)
        self.began = time.process_time()

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        self.seconds[nodeid] = time.process_time() - self.began

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed.append(f"{report.nodeid} (cannot be read)")


def copy_project(house: Path, *, tests: bool) -> None:
    """The sources as they are now; of an older copy only the tests are, where that is asked."""
    skip = shutil.ignore_patterns("node_modules", "__pycache__", "vendor", ".*")
    first = not (house / "src").exists()
    house.mkdir(parents=True, exist_ok=True)
    for name in COPIED if first else ("tests",) * tests:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, house / name, ignore=skip, dirs_exist_ok=True)
        else:
            shutil.copy(ROOT / name, house / name)


def warm_up() -> None:
    """What every test file would load for itself; nothing of the project."""
    for name in WARM:
        import_module(name)


def notes(house: Path, kept: Path, floors: tuple[str, ...], jobs: int) -> Notes:
    """Run what is not yet written down of every test file, or has changed since."""
    kept.mkdir(exist_ok=True)
    tests = house / "tests"
    files = {
        str(p.relative_to(house)): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(tests.rglob("test_*.py"))
        if p.relative_to(tests).parts[0] not in LEFT_OUT
    }
    stale = [n for n, mark in files.items() if _noted(kept, n).get("mark") != mark]

    def note(share: list[str]) -> None:
        for name in share:
            told = _forked(partial(_record, house, name, floors), cpu=1800.0) or {}
            told = {"seconds": {}, "failed": [], "runs": {}, **told, "mark": files[name]}
            (kept / _flat(name)).write_text(json.dumps(told))
            print(f"  {name}: {len(told['seconds'])} tests", flush=True)

    shared(note, stale, jobs)
    return _together([_noted(kept, name) for name in files])


def shared(work: Callable[[list[Any]], None], everything: list[Any], jobs: int) -> None:
    """The work done by so many processes, each with its share."""
    fork = multiprocessing.get_context("fork")
    hands = [fork.Process(target=work, args=(everything[k::jobs],)) for k in range(jobs)]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()


def _flat(name: str) -> str:
    return name.replace("/", "+") + ".json"


def _noted(kept: Path, name: str) -> Told:
    path = kept / _flat(name)
    return json.loads(path.read_text()) if path.exists() else {}


def _together(known: list[Told]) -> Notes:
    seconds: dict[str, float] = {}
    runs: dict[str, dict[str, list[str]]] = {}
    for told in known:
        bad = set(told["failed"])
        seconds |= {test: s for test, s in told["seconds"].items() if test not in bad}
        for module, lines in told["runs"].items():
            for line, tests in lines.items():
                into = runs.setdefault(module, {}).setdefault(line, [])
                into += [t for t in tests if t not in bad]
    return Notes(seconds=seconds, runs=runs)


def _record(house: Path, name: str, floors: tuple[str, ...]) -> Told:
    """Inside a fork: one test file, unharmed."""
    source = house / "src" / "barwright"
    measure = coverage.Coverage(
        data_file=None, config_file=False, include=[str(source / f / "*") for f in floors]
    )
    watch = _Watch(None, measure)
    measure.start()
    code = _pytest(house, [name], watch)
    measure.stop()
    if code not in {0, 1, 5}:
        return {"failed": [name]}
    data, runs = measure.get_data(), {}
    for file in data.measured_files():
        by_line = data.contexts_by_lineno(file)
        told = {str(n): [t or name for t in tests] for n, tests in by_line.items()}
        runs[str(Path(file).relative_to(house))] = told
    return {"seconds": watch.seconds, "failed": watch.failed, "runs": runs}


def _pytest(house: Path, files: list[str], watch: _Watch, *more: str) -> int:
    os.chdir(house)
    sys.path.insert(0, str(house / "src"))
    os.environ["PYTHONPATH"] = str(house / "src")
    always = ("-q", "-m", "not study and not browser", "-p", "no:cacheprovider", "-p", "no:xdist")
    calm = ("-W", "ignore::pytest.PytestAssertRewriteWarning")  # hypothesis may be loaded already
    return int(pytest.main([*always, *calm, *more, *files], plugins=[watch]))


def who_minds(house: Path, module: str, text: str, rounds: list[tuple[list[str], float]]) -> Told:
    """With the text in the module's place, try one list of tests after the other."""
    began = time.monotonic()
    told: Told = {"minds": None}
    for tests, cpu in rounds:
        told["minds"] = _minds(house, (house / module, text), tests, cpu)
        if told["minds"]:
            break
    return {**told, "seconds": round(time.monotonic() - began, 1)}


def _minds(house: Path, put: tuple[Path, str], tests: list[str], cpu: float) -> str | None:
    try:
        told = _forked(partial(_try, house, put, tests), cpu=cpu)
    except TimeoutError:
        return None
    if told is None:
        return "no end, or the process fell"
    if told["code"] in {4, 5}:
        raise RuntimeError(f"pytest did not run: {told}")
    return str(told["failed"]) if told["code"] else None


def _try(house: Path, put: tuple[Path, str], tests: list[str]) -> Told:
    """Inside a fork: the tests up to the first that fails."""
    _read_instead(*put)
    watch = _Watch(tests, None)
    files = list(dict.fromkeys(t.split("::")[0] for t in tests))
    code = _pytest(house, files, watch, "-x", "--tb=no")
    return {"code": code, "failed": watch.failed[0] if watch.failed else f"pytest says {code}"}


def _read_instead(module: Path, text: str) -> None:
    """Whoever imports the module in this process gets the text, and the file stays as it is."""
    sys.dont_write_bytecode = True
    code, plain = compile(text, str(module), "exec", dont_inherit=True), SourceFileLoader.get_code

    def get_code(self: SourceFileLoader, fullname: str) -> CodeType | None:
        return code if self.path == str(module) else plain(self, fullname)

    SourceFileLoader.get_code = get_code  # type: ignore[method-assign,assignment]


def _forked(work: Callable[[], Told], *, cpu: float) -> Told | None:
    """What the work tells from a process of its own; None where it falls or takes too long.

    Too long is so much processor time. Where a busy machine gives it none for very much longer
    that proves nothing.

    Raises:
        TimeoutError: the machine was too busy to tell.
    """
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        _child(work, write, cpu)
    os.close(write)
    late: list[bool] = []

    def stop(*_: object) -> None:
        late.append(True)
        os.killpg(child, signal.SIGKILL)

    signal.signal(signal.SIGALRM, stop)
    signal.alarm(int(30 * cpu) + 300)
    with os.fdopen(read, "rb") as pipe:
        heard = pipe.read()
    os.waitpid(child, 0)
    signal.alarm(0)
    if late:
        raise TimeoutError("the machine is too busy")
    return json.loads(heard) if heard else None


def _child(work: Callable[[], Told], write: int, cpu: float) -> None:
    os.setpgid(0, 0)
    signal.alarm(0)
    code = 1
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (int(cpu) + 1, int(cpu) + 2))
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        with os.fdopen(write, "wb") as pipe:
            pipe.write(json.dumps(work()).encode())
        code = 0
    finally:
        os._exit(code)
