"""A newer edit stops the calculation of an older one, between two stages."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from barwright.bench.stages import Last
from barwright.bench.work import _answer, _job

TOML = """[job]
unit = "mm"
[stock.main]
od = 40
wall = 3
[bar.post]
stock = "main"
path = ["A", "B"]
"""
CSV = "kind,marks,value,plus_minus,note\nfixed,A,0 0 0,,\nfixed,B,0 0 900,,\n"


@dataclass
class Newest:
    value: int = 1


@dataclass
class Line:
    """The server's end; after a section of this name somebody edits the job again."""

    newest: Newest
    edits_after: str
    heard: list[Any] = field(default_factory=list)

    def send(self, message: Any) -> None:
        self.heard.append(message)
        if message[1:3] == ("section", self.edits_after):
            self.newest.value += 1


def told(edits_after: str) -> list[str]:
    newest = Newest()
    line = Line(newest, edits_after)
    payload = {"texts": {"job.toml": TOML, "readings.csv": CSV}, "folder": Path()}
    _answer(line, 1, "job", partial(_job, **payload, last=Last()), newest)  # type: ignore[arg-type]
    assert line.heard[-1] == (1, "done")
    return [name for _, kind, *rest in line.heard if kind == "section" for name in rest[:1]]


def test_a_job_that_nobody_edits_is_told_to_its_end() -> None:
    assert {"measure", "build", "make", "curves"} <= set(told(""))


def test_a_newer_edit_stops_the_older_one_at_the_next_stage() -> None:
    assert told("tubes") == ["measure", "tubes"]
