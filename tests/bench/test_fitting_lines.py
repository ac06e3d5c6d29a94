"""What is wrong in a fitting's table is told on the page with its line, as at the terminal."""

from __future__ import annotations

import itertools
from multiprocessing.connection import Connection
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from barwright.bench.stages import Section, stages
from barwright.bench.work import work
from barwright.job.errors import BadInput

HERON = Path(__file__).parents[2] / "examples" / "heron"
WRONG = [
    ("bushing_od = 1.5", 'bushing_od = "wide"', "leaf.side.hinge.bushing_od"),
    ('fitting = "latch-carrier"', 'fitting = "boxed-hinge"', "leaf.side.latch.fitting"),
]


def spoilt(was: str, wrong: str) -> tuple[dict[str, str], int]:
    """The Heron's texts with one entry written wrong, and its line as an editor counts."""
    texts = {name: (HERON / name).read_text("utf-8") for name in ("job.toml", "readings.csv")}
    rows = texts["job.toml"].splitlines()
    line = next(n for n, row in enumerate(rows, 1) if was in row)
    texts["job.toml"] = texts["job.toml"].replace(was, wrong, 1)
    return texts, line


@pytest.mark.parametrize(("was", "wrong", "entry"), WRONG)
def test_the_card_is_told_the_line(was: str, wrong: str, entry: str) -> None:
    texts, line = spoilt(was, wrong)
    told: list[str] = []
    with pytest.raises(BadInput) as caught:
        told.extend(s.name for s in stages(texts, HERON) if isinstance(s, Section))
    assert [(f.file, f.line, f.entry) for f in caught.value.faults] == [("job.toml", line, entry)]


def test_what_was_right_before_it_is_told_all_the_same() -> None:
    texts, _ = spoilt(*WRONG[0][:2])
    sections = (s.name for s in stages(texts, HERON) if isinstance(s, Section))
    assert list(itertools.islice(sections, 2)) == ["measure", "tubes"]


class Line:
    """The other end of the worker's line: one request, then it hangs up."""

    def __init__(self, *request: Any) -> None:
        self._asked, self.said = [request], list[Any]()

    def recv(self) -> Any:
        if not self._asked:
            raise EOFError
        return self._asked.pop()

    def send(self, message: Any) -> None:
        self.said.append(message)


@pytest.mark.parametrize(
    ("kind", "more"), [("pack", {"stage": "board"}), ("wrap", {"bar": "hoop", "end": "from"})]
)
def test_whoever_asks_for_paper_is_told_the_line_too(
    monkeypatch: pytest.MonkeyPatch, kind: str, more: dict[str, str]
) -> None:
    texts, line = spoilt(*WRONG[0][:2])
    monkeypatch.setattr("barwright.bench.work.signal.signal", lambda *_: None)
    asking = Line(1, kind, {"texts": texts, "folder": HERON, **more})
    work(cast("Connection", asking), SimpleNamespace(value=1))
    number, last, faults = asking.said[-1]
    assert (number, last) == (1, "faults")
    assert [(f["file"], f["line"]) for f in faults] == [("job.toml", line)]
