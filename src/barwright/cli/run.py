"""One run of a command: whatever happens, an answer people can use and the right exit code."""

from __future__ import annotations

import gc
import os
import sys
import traceback
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import NoReturn

import typer

from barwright.cli.output import AnswerLostError, Output, kept_clean
from barwright.cli.shop_app import app
from barwright.job.errors import BadInput, BarwrightError, Fault

DONE, MUST, BAD_INPUT, OUR_FAULT, STOPPED = 0, 1, 2, 3, 130

UsageError: type[Exception] = typer.BadParameter.__mro__[1]
"""What a wrong option or a missing argument raises, whoever vendors it."""


def main() -> NoReturn:
    """The `barwright` command."""
    # Before numpy is loaded: on matrices this small its threads only get in each other's way.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # One run makes few cycles and many objects: looking for cycles cost a twentieth of a check.
    gc.set_threshold(200_000, 50, 50)
    sys.exit(run(sys.argv[1:]))


def run(args: Sequence[str]) -> int:
    """Run one command and hand back its exit code."""
    as_json, debug = "--json" in args, "--debug" in args
    try:
        with kept_clean(as_json) as output:
            return _run(args, output, debug=debug)
    except BrokenPipeError:  # the reader, such as head, has had enough
        _let_go()
        return DONE
    except AnswerLostError as lost:
        _let_go()
        with suppress(OSError):
            sys.stderr.write(f"barwright: the answer cannot be written: {lost}\n")
        return BAD_INPUT


def _let_go() -> None:
    """Give standard output up, so that Python does not try to empty it at the end."""
    sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - until the end


def _run(args: Sequence[str], output: Output, *, debug: bool) -> int:
    try:
        done = app(args=list(args), prog_name="barwright", standalone_mode=False, obj=output)
    except (BrokenPipeError, AnswerLostError):
        raise
    except (KeyboardInterrupt, typer.Abort):
        done = STOPPED
    except Exception as wrong:  # noqa: BLE001 - nobody is ever shown a traceback unasked
        faults = _faults(wrong)
        return _refuse(output, faults) if faults else _our_fault(output, wrong, debug=debug)
    if done == STOPPED:
        sys.stderr.write("stopped\n")
    return done if isinstance(done, int) else DONE


def _faults(wrong: Exception) -> tuple[Fault, ...]:
    """What the user can mend; nothing where the fault is ours."""
    if isinstance(wrong, BadInput):
        return wrong.faults
    if isinstance(wrong, BarwrightError):
        return (Fault(file="barwright", entry="", do=str(wrong)),)
    if isinstance(wrong, UsageError):
        return (_usage(wrong),)
    return (_disk(wrong),) if isinstance(wrong, OSError) else ()


def _refuse(output: Output, faults: tuple[Fault, ...], code: int = BAD_INPUT) -> int:
    """Say what is wrong: an object on standard output, or text on standard error."""
    if output.as_json:
        output.answer(lambda: {"errors": [_as_object(f) for f in faults]}, lambda _c: None)
        return code
    with suppress(OSError):
        sys.stderr.write("".join(f"{fault}\n" for fault in faults))
    return code


def _as_object(fault: Fault) -> dict[str, object]:
    return {
        "file": fault.file,
        "entry": fault.entry,
        "line": fault.line,
        "read": fault.read,
        "expected": fault.expected,
        "do": fault.do,
    }


def _usage(wrong: Exception) -> Fault:
    says = getattr(wrong, "format_message", lambda: str(wrong))()
    context = getattr(wrong, "ctx", None)
    path = context.command_path if context else "barwright"
    return Fault(
        file="command line",
        entry=path,
        read=str(says),
        do=f"see {path} --help",
    )


def _disk(wrong: OSError) -> Fault:
    return Fault(
        file=str(wrong.filename or "standard output"),
        entry="",
        read=wrong.strerror or str(wrong),
        expected="a place that can be read and written",
        do="check that the path is right, may be written and has room",
    )


def _our_fault(output: Output, ours: Exception, *, debug: bool) -> int:
    """A fault in Barwright itself: its stage and a request to report it."""
    if debug:
        traceback.print_exception(ours, file=sys.stderr)
    fault = Fault(
        file="",
        entry=f"stage {stage_of(ours.__traceback__)}",
        read=f"{type(ours).__name__}: {str(ours)[:200]}",
        expected="a result; this is a fault in Barwright, not in your job",
        do="please report it with your job folder"
        + ("" if debug else "; --debug shows where it happened"),
    )
    return _refuse(output, (fault,), OUR_FAULT)


def stage_of(trace: TracebackType | None) -> str:
    """The floor of the house in which something went wrong, such as swing or pack."""
    stage = "cli"
    while trace is not None:
        module = str(trace.tb_frame.f_globals.get("__name__", "")).split(".")
        if module[0] == "barwright" and len(module) > 1 and module[1] not in {"route", "cli"}:
            stage = module[1]
        trace = trace.tb_next
    return stage
