"""Whatever is typed, the answer is one people or programs can use, and the exit code is right."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from barwright.cli import commands
from barwright.cli.run import run, stage_of
from barwright.job.errors import BarwrightError
from barwright.job.load import load

HERON = Path(__file__).parents[2] / "examples" / "heron"
SQUARE = (
    "kind,marks,value,plus_minus,note\n"
    "fixed,A,0 0 0,,\nfixed,B,1000 0 0,,\nfixed,C,0 1000 0,,\nfixed,D,0 0 1000,,\n"
)


@pytest.fixture
def job(tmp_path):
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "readings.csv").write_text(SQUARE)
    return folder


def cli(*args, code=0, **more):
    done = subprocess.run(
        [sys.executable, "-m", "barwright.cli", *map(str, args)],
        capture_output=True,
        text=True,
        check=False,
        **more,
    )
    assert done.returncode == code, done.stderr
    return done


def errors_of(text):
    said = json.loads(text)
    assert set(said) == {"errors"}
    for error in said["errors"]:
        assert set(error) == {"file", "entry", "line", "read", "expected", "do"}
    return said["errors"]


# ---- help and version --------------------------------------------------------------------------


def test_help_loads_nothing_heavy():
    code = (
        "import sys; from barwright.cli.run import run; run(['--help'])\n"
        "heavy = {'numpy', 'scipy', 'pydantic', 'rich', 'shapely', 'ezdxf', 'matplotlib', 'OCP'}\n"
        "sys.exit(f'loaded: {heavy & set(sys.modules)}' if heavy & set(sys.modules) else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    for command in ("solve", "check", "pack", "new", "schema"):
        assert command in done.stdout


def test_version():
    import barwright

    assert cli("--version").stdout == f"barwright {barwright.__version__}\n"


@pytest.mark.parametrize("command", ["solve", "check", "pack", "new", "schema"])
def test_every_command_has_help(command, capsys):
    assert run([command, "--help"]) == 0
    assert "--json" in capsys.readouterr().out


# ---- wrong usage -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("args", "read"),
    [
        (["solve"], "Missing argument"),
        (["solve", "x", "--bogus"], "No such option"),
        (["sovle", "x"], "No such command"),
        (["pack", "x", "--out", "y", "--stage", "wood"], "wood"),
        (["pack", "x"], "Missing option"),
        (["solve", "x", "y"], "unexpected extra argument"),
    ],
)
def test_wrong_usage_is_answered_in_kind(args, read, capsys):
    assert run(args) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert read in said.err
    assert "--help" in said.err
    assert run([*args, "--json"]) == 2
    said = capsys.readouterr()
    assert said.err == ""
    (error,) = errors_of(said.out)
    assert read in error["read"]


# ---- bad input ---------------------------------------------------------------------------------


def test_bad_input_is_said_with_its_line(job, capsys):
    with (job / "readings.csv").open("a") as file:
        file.write('tape,A B,"10,5",,\ntpe,A B,1,,\n')
    assert run(["solve", str(job)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "readings.csv, line 6: value" in said.err
    assert "did you mean tape?" in said.err
    assert run(["check", str(job), "--json"]) == 2
    said = capsys.readouterr()
    assert [e["line"] for e in errors_of(said.out)] == [6, 7]


def test_no_such_folder(tmp_path, capsys):
    assert run(["solve", str(tmp_path / "gone"), "--json"]) == 2
    (error,) = errors_of(capsys.readouterr().out)
    assert "barwright new" in error["do"]


def test_an_empty_job_says_what_to_measure_first(tmp_path, capsys):
    assert run(["new", str(tmp_path / "a")]) == 0
    for command in (["solve"], ["check"], ["pack", "--out", str(tmp_path / "out")]):
        assert run([*command, str(tmp_path / "a"), "--json"]) == 2
    (error,) = errors_of(capsys.readouterr().out.splitlines()[-1])
    assert error["do"].startswith("measure first")
    assert not (tmp_path / "out").exists()


def test_markup_in_a_job_is_printed_as_it_stands(job, capsys):
    (job / "job.toml").write_text("[job]\nunit = '[bold]x[/]'\n")
    assert run(["solve", str(job)]) == 2
    assert "[bold]x[/]" in capsys.readouterr().err


# ---- a fault of ours ---------------------------------------------------------------------------


def broken(_folder):
    return 1 / 0


def test_a_fault_of_ours_is_owned_without_a_traceback(job, capsys, monkeypatch):
    monkeypatch.setattr(commands, "load", broken)
    assert run(["solve", str(job)]) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert "Traceback" not in said.err
    assert "please report it" in said.err
    assert run(["solve", str(job), "--json"]) == 3
    (error,) = errors_of(capsys.readouterr().out)
    assert error["read"].startswith("ZeroDivisionError")
    assert run(["solve", str(job), "--json", "--debug"]) == 3
    said = capsys.readouterr()
    assert "Traceback" in said.err
    errors_of(said.out)


def test_the_stage_that_failed_is_named():
    from barwright.job.load import parse

    class Bad(str):
        __slots__ = ()

        def split(self, *_args):
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError) as failed:
        parse(Bad(""))
    assert stage_of(failed.value.__traceback__) == "job"


@pytest.mark.parametrize(
    ("raised", "code", "says"),
    [
        (KeyboardInterrupt(), 130, "stopped"),
        (OSError(28, "No space left on device", "/x/y"), 2, "No space left"),
        (BarwrightError("the folder is not ours"), 2, "not ours"),
        (RecursionError("too deep"), 3, "report"),
        (MemoryError(), 3, "report"),
    ],
)
def test_what_interrupts_is_said(job, capsys, monkeypatch, *, raised, code, says):
    def stop(_folder):
        raise raised

    monkeypatch.setattr(commands, "load", stop)
    assert run(["solve", str(job)]) == code
    assert says in capsys.readouterr().err


# ---- standard output ---------------------------------------------------------------------------


def test_with_json_nothing_else_reaches_standard_output(job):
    """Libraries that print, from Python or past it, are sent to standard error."""
    code = (
        "import os, sys; from barwright.cli import commands; from barwright.cli.run import run\n"
        "load = commands.load\n"
        "def noisy(folder):\n"
        "    print('from python'); os.write(1, b'from below\\n'); return load(folder)\n"
        "commands.load = noisy\n"
        "code = run(['solve', sys.argv[1], '--json'])\n"
        "print('after'); sys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, job], capture_output=True, text=True, check=True
    )
    first, after = done.stdout.splitlines()
    assert set(json.loads(first)["marks"]) == set("ABCD")
    assert after == "after"  # standard output is given back
    assert "from python" in done.stderr
    assert "from below" in done.stderr


@pytest.mark.parametrize("args", [["schema"], ["solve", HERON], ["solve", HERON, "--json"]])
def test_a_reader_that_stops_early_is_no_fault(args):
    with subprocess.Popen(
        [sys.executable, "-m", "barwright.cli", *args],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as writer:
        writer.stdout.read(1)
        writer.stdout.close()
        assert writer.stderr.read() == b""
    assert writer.returncode == 0


@pytest.mark.parametrize("args", [["schema"], ["solve", "gone", "--json"], ["--help"]])
@pytest.mark.parametrize("to", ["> /dev/full", ">&-", "2>&-", ">/dev/null 2>/dev/full"])
def test_a_full_disk_or_a_closed_stream_brings_no_traceback(args, to, tmp_path):
    command = " ".join([sys.executable, "-m", "barwright.cli", *args, to])
    done = subprocess.run(
        ["/bin/sh", "-c", command], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.returncode in {0, 2}
    assert "Traceback" not in done.stderr
    if to == "> /dev/full":
        assert done.returncode == 2
        assert "No space left" in done.stderr


def test_a_terminal_that_cannot_write_a_letter_is_no_fault(job):
    (job / "readings.csv").write_text(SQUARE.replace(",A,", ",\u0416\u00bd\u00e9,"))
    plain = {**os.environ, "PYTHONIOENCODING": "ascii", "NO_COLOR": "1"}
    assert "Marks" in cli("solve", job, env=plain).stdout


# ---- solve, new, schema ------------------------------------------------------------------------


def test_solve_prints_the_fixed_fields(job, capsys):
    assert run(["solve", str(job), "--json"]) == 0
    out = json.loads(capsys.readouterr().out)
    assert {"marks", "readings", "sigma0", "freedom", "next_reading"} <= set(out)
    assert out["marks"]["B"]["xyz"] == pytest.approx([1000, 0, 0], abs=1e-6)
    assert set(out["marks"]["B"]) == {"xyz", "sd"}
    assert set(out["readings"][0]) == {
        "line",
        "kind",
        "marks",
        "residual",
        "suspect",
        "redundancy",
    }


def test_solve_for_people_in_either_unit(job, capsys):
    assert run(["solve", str(job)]) == 0
    assert "1000.0" in capsys.readouterr().out
    (job / "job.toml").write_text("job.unit = 'in'\n")
    text = (job / "readings.csv").read_text().replace("1000", "1' 3-1/2")
    (job / "readings.csv").write_text(text.replace("1' 3-1/2 0 0", "15.5 0 0"))
    assert run(["solve", str(job)]) == 0
    said = capsys.readouterr().out
    assert "15 1/2 (15.500)" in said
    assert "-0" not in said.replace("-0.", "")


def test_the_heron_is_solved(capsys):
    assert run(["solve", str(HERON)]) == 0
    readings = len(load(HERON).readings)
    assert f" marks from {readings} readings" in capsys.readouterr().out


def test_new_makes_a_job_and_refuses_a_second_time(tmp_path, capsys):
    assert run(["new", str(tmp_path / "a"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["files"] == [
        "job.toml",
        "readings.csv",
        "job.schema.json",
    ]
    assert run(["new", str(tmp_path / "a"), "--json"]) == 2
    errors_of(capsys.readouterr().out)


def test_schema_is_json_either_way(capsys):
    assert run(["schema"]) == 0
    laid_out = json.loads(capsys.readouterr().out)
    assert run(["schema", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == laid_out
