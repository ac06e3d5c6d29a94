"""The manual's own code runs: Python as it stands, commands with the answers printed there.

A console block's lines after a command are held against its answer: `...` stands for anything,
blanks count as one. A last line such as [2] is the exit code, 0 or 1 where it is not given.
"""

import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from barwright.cli.run import run
from barwright.job.load import parse

ROOT = Path(__file__).parent.parent.parent
DOCS = ROOT / "docs"
PAGES = sorted(p.relative_to(DOCS).as_posix() for p in DOCS.rglob("*.md"))
FENCE = re.compile(r"^```(\w+)\n(.*?)^```", re.MULTILINE | re.DOTALL)
FRAME = "kind,marks,value\nfixed,A,0 0 0\nfixed,B,0 0 900\nfixed,C,1000 0 0\nfixed,D,1000 0 900\n"


def blocks(page, language):
    return [body for found, body in FENCE.findall((DOCS / page).read_text()) if found == language]


def pages_with(language):
    return [page for page in PAGES if blocks(page, language)]


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A folder as the reader has it: the examples, and the jobs the how-tos speak of."""
    for name in ("heron", "gate"):
        shutil.copytree(ROOT / "examples" / name, tmp_path / "examples" / name)
    for name, last in (("frame", "tape,A D,1345\n"), ("slip", "")):
        (tmp_path / name).mkdir()
        (tmp_path / name / "readings.csv").write_text(FRAME + last)
    (tmp_path / "slip" / "readings.csv").write_text(
        'kind,marks,value\nfixed,A,0 0 0\ntape,A B,"1000,5"\n'
    )
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("page", pages_with("python"))
def test_python_runs_as_printed(page, shop, capsys):
    for body in blocks(page, "python"):
        exec(compile(body, page, "exec"), {"__name__": "manual"})  # noqa: S102 - our own manual


def steps(body):
    """Each command of a block with the answer printed under it, and its exit code."""
    for step in re.split(r"^\$ ", body, flags=re.MULTILINE)[1:]:
        command, _, answer = step.partition("\n")
        code = re.search(r"^\[(\d)\]\n?\Z", answer, flags=re.MULTILINE)
        yield command, answer[: code.start()] if code else answer, int(code[1]) if code else None


def pattern(answer):
    """What an answer may be: `...` for anything, blanks as one."""
    words = re.split(r"(\.\.\.)", " ".join(answer.split()))
    return "".join(
        ".*" if w == "..." else re.escape(w.strip()) + r"\s*" for w in words if w.strip()
    )


@pytest.mark.parametrize("page", pages_with("console"))
def test_commands_answer_as_printed(page, shop, capfd):
    for body in blocks(page, "console"):
        for command, answer, code in steps(body):
            program, *args = shlex.split(command)
            assert program == "barwright"
            done = run(args)
            told = capfd.readouterr()
            assert done in ({0, 1} if code is None else {code}), told.err
            said = " ".join((told.out + told.err).split())
            assert re.fullmatch(pattern(answer), said), f"{command}\n{told.out}{told.err}"


@pytest.mark.parametrize("page", pages_with("toml"))
def test_tables_are_read_as_printed(page):
    for body in blocks(page, "toml"):
        assert tomllib.loads(body)


@pytest.mark.parametrize("page", pages_with("csv"))
def test_readings_are_read_as_printed(page):
    for body in blocks(page, "csv"):
        assert parse("", body.replace("\r", "")).readings


def test_the_excerpt_of_the_notebook_is_the_herons_own():
    (printed,) = blocks("tutorial.md", "csv")
    lines = (ROOT / "examples" / "heron" / "readings.csv").read_text().splitlines()
    assert set(printed.split("\n")[:-1]) <= set(lines)


def test_every_link_and_picture_leads_somewhere():
    """The pages' own links; mkdocs holds them too, where it is there."""
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#\s]+)", (DOCS / page).read_text()):
            assert not target.startswith("http")
            assert (DOCS / page).parent.joinpath(target).exists(), (page, target)


def test_the_manual_is_built_without_a_warning(tmp_path):
    pytest.importorskip("mkdocs")
    pytest.importorskip("material")
    build = [sys.executable, "-m", "mkdocs", "build", "--strict", "-q", "-d", tmp_path / "manual"]
    quiet = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}  # a word from the theme about another tool
    done = subprocess.run(build, cwd=ROOT, env=quiet, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    page = (tmp_path / "manual" / "reference" / "job.html").read_text()
    assert "barwright check" in (tmp_path / "manual/reference/commands.html").read_text()
    assert "<code>[bender.NAME]</code>" in page
    loaded = re.findall(r'<(?:script|link|img)[^>]*(?:src|href)="(https?://[^"]+)', page)
    assert loaded == []
