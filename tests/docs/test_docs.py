"""The manual's own code runs, each page from top to bottom in one folder, as its reader has it.

Python runs as it stands. A block with a title is a file: it is written, or `added` to one, before
what follows. A console block's lines after a command are held against its answer: `...` stands
for anything, blanks count as one. A last line such as [2] is the exit code, 0 or 1 where it is
not given.
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
from card_photos import card_photo

from barwright.cli.run import run
from barwright.job.load import parse

ROOT = Path(__file__).parent.parent.parent
DOCS = ROOT / "docs"
PAGES = sorted(p.relative_to(DOCS).as_posix() for p in DOCS.rglob("*.md"))
FENCE = re.compile(r'^```(\w+)(?: title="([^"]+)")?\n(.*?)^```', re.MULTILINE | re.DOTALL)
BY_HAND = ("cp", "sed")
"""What a reader does in the shell or an editor, besides `barwright`."""


def blocks(page, language):
    text = (DOCS / page).read_text()
    return [body for found, _, body in FENCE.findall(text) if found == language]


def pages_with(*languages):
    return [page for page in PAGES if any(blocks(page, language) for language in languages)]


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A folder as the reader has it, with the two examples."""
    for name in ("heron", "gate"):
        shutil.copytree(ROOT / "examples" / name, tmp_path / "examples" / name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("page", pages_with("python", "console"))
def test_a_page_goes_as_printed(page, shop, capfd):
    text = (DOCS / page).read_text()
    if "photo.jpg" in text:
        (shop / "photo.jpg").write_bytes(card_photo())
    for language, title, body in FENCE.findall(text):
        if title:
            written(shop, title, body)
        if language == "python":
            exec(compile(body, page, "exec"), {"__name__": "manual"})  # noqa: S102 - our own manual
        if language == "console":
            for step in steps(body):
                answers(*step, capfd)


def written(shop, title, body):
    """The file that a block's title names; `added` to it where the title says so."""
    name, _, added = title.partition(", ")
    assert added in {"", "added"}
    path = shop / name
    path.parent.mkdir(parents=True, exist_ok=True)
    assert path.exists() == bool(added), title
    path.write_text((path.read_text() + "\n" if added else "") + body)


def steps(body):
    """Each command of a block with the answer printed under it, and its exit code."""
    for step in re.split(r"^\$ ", body, flags=re.MULTILINE)[1:]:
        command, _, answer = step.partition("\n")
        code = re.search(r"^\[(\d)\]\n?\Z", answer, flags=re.MULTILINE)
        yield command, answer[: code.start()] if code else answer, int(code[1]) if code else None


def answers(command, answer, code, capfd):
    """Run a command, and hold what it says against what is printed."""
    program, *args = shlex.split(command)
    if program in BY_HAND:
        subprocess.run([program, *args], check=True)
        return
    assert program == "barwright"
    capfd.readouterr()
    done = run(args)
    told = capfd.readouterr()
    assert done in ({0, 1} if code is None else {code}), told.err
    said = " ".join((told.out + told.err).split())
    assert re.fullmatch(pattern(answer), said), f"{command}\n{told.out}{told.err}"


def pattern(answer):
    """What an answer may be: `...` for anything, blanks as one."""
    words = re.split(r"(\.\.\.)", " ".join(answer.split()))
    return "".join(
        ".*" if w == "..." else re.escape(w.strip()) + r"\s*" for w in words if w.strip()
    )


@pytest.mark.parametrize("page", pages_with("toml"))
def test_tables_are_read_as_printed(page):
    for body in blocks(page, "toml"):
        assert tomllib.loads(body)


@pytest.mark.parametrize("page", pages_with("csv"))
def test_readings_are_read_as_printed(page):
    for body in blocks(page, "csv"):
        assert parse("", body.replace("\r", "")).readings


def test_every_command_that_is_named_is_there():
    """In running text and in the README too, where nothing runs it."""
    from typer.main import get_command

    from barwright.cli.shop_app import app

    known = set(get_command(app).commands)
    doors = set(re.findall(r"^  (\w+)\)", (ROOT / "run").read_text(), flags=re.MULTILINE))
    assert {"demo", "test", "docs"} <= doors
    for path in (ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(DOCS / p for p in PAGES)):
        text = path.read_text()
        named = re.findall(r"(?:`|^\$ |^)barwright (\w+)", text, flags=re.MULTILINE)
        assert set(named) <= known, path
        assert set(re.findall(r"\./run (\w+)", text)) <= doors, path


def test_the_reference_leaves_no_field_without_a_word(monkeypatch):
    monkeypatch.syspath_prepend(DOCS / "made")
    import hook

    for made in (hook.tables(""), hook.kinds(""), hook.fittings(""), hook.rules("")):
        rows = [line for line in made.splitlines() if line.startswith("| `")]
        assert len(rows) > 5
        says = 2 if made == hook.rules("") else -2
        assert not [row for row in rows if not row.split("|")[says].strip()]


def test_the_excerpt_of_the_notebook_is_the_herons_own():
    printed = blocks("tutorial.md", "csv")[0]
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
