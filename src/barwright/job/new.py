"""Starting a job: a folder with a sheet of questions to fill in."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

from barwright.job.errors import BadInput, Fault
from barwright.job.json_schema import schema
from barwright.job.load import JOB_FILE, READINGS_FILE

SCHEMA_FILE = "job.schema.json"
QUESTION = "#: "
"""Stands before what may be filled in: take it away and the line counts."""


def start(folder: Path) -> tuple[Path, ...]:
    """Make a job folder with its question sheet, and hand back the files made.

    The folder may be there already, as long as it holds no job.

    Raises:
        BadInput: there is a job in the folder already, or it cannot be written.
    """
    starter = files("barwright.job") / "starter"
    texts = {name: (starter / name).read_text("utf-8") for name in (JOB_FILE, READINGS_FILE)}
    texts[SCHEMA_FILE] = json.dumps(schema(), indent=1, ensure_ascii=False) + "\n"
    there = [name for name in texts if (folder / name).exists()]
    if there:
        raise BadInput(_taken(folder, there))
    try:
        return tuple(_made(folder, name, text) for name, text in texts.items())
    except OSError as wrong:
        raise BadInput(_unwritable(folder, wrong)) from None


def _made(folder: Path, name: str, text: str) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / name).open("x", encoding="utf-8", newline="\n") as file:  # never over another
        file.write(text)
    return folder / name


def _taken(folder: Path, there: list[str]) -> Fault:
    return Fault(
        file=str(folder),
        entry="",
        read=f"a folder that holds {', '.join(there)}",
        expected="a folder without a job",
        do="choose another folder; nothing was changed",
    )


def _unwritable(folder: Path, wrong: OSError) -> Fault:
    return Fault(
        file=str(folder),
        entry="",
        read=wrong.strerror or str(wrong),
        expected="a folder that can be made and written",
        do="choose another folder",
    )
