"""What the commands around the route do: sheets, boards, traced templates, comparisons."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from barwright.cli.output import Output
from barwright.job.errors import BadInput, Fault
from barwright.job.lengths import parse_length
from barwright.job.load import load

if TYPE_CHECKING:
    from rich.console import Console

    from barwright.pack.compare import Change, Comparison
    from barwright.survey.template_types import Pick


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What `trace` was told, as written; a bare number is in millimetres."""

    board: str
    thickness: str
    tolerance: str
    printed_bar: str | None
    camera: str | None
    lines: tuple[str, ...]


def sheet_job(folder: Path, out: Path, paper: str, output: Output) -> int:
    """`barwright sheet`: the marks are sketched where the readings there already place them."""
    job = load(folder)

    from barwright.pack import reading_form, reading_sheet
    from barwright.route import solve

    try:
        marks = solve(job) if job.readings else None
    except BadInput:
        marks = None  # too few readings yet: that is what the sheet is for
    pdf, form = out / "reading-sheet.pdf", out / "reading-form.csv"
    out.mkdir(parents=True, exist_ok=True)
    reading_sheet.write(job, marks, pdf, paper)
    form.write_text(reading_form.form_csv(job, marks), encoding="utf-8")
    return _wrote(output, (pdf, form), "Print it, fill it in at the vehicle, type it into the CSV.")


def print_board(name: str, out: Path, output: Output) -> int:
    """`barwright board`."""
    from barwright.pack import photo_board

    out.mkdir(parents=True, exist_ok=True)
    path = out / f"board-{Path(name).name}.pdf"
    photo_board.write(name, path)
    return _wrote(output, (path,), "Print at 100 %, then lay a ruler on the bar.")


def trace_photo(photo: Path, out: Path, asked: Asked, output: Output) -> int:
    """`barwright trace`."""
    lengths = _lengths(asked)
    picks = tuple(_pick(text) for text in asked.lines)

    from barwright.pack.template_files import as_json, summary, trace_to

    template, files = trace_to(
        photo,
        out,
        board_name=asked.board,
        thickness=lengths["thickness"] or 0.0,
        tolerance=lengths["tolerance"] or 0.0,
        printed_bar=lengths["printed-bar"],
        camera_height=lengths["camera"],
        picks=picks,
    )
    output.answer(
        lambda: {"template": as_json(template), "files": [str(f) for f in files]},
        lambda c: _say(c, (*summary(template), *(f"wrote {f}" for f in files))),
    )
    return 0


def compare_versions(old: Path, new: Path, out: Path | None, output: Output) -> int:
    """`barwright compare`."""
    from barwright.pack.compare import compare
    from barwright.pack.version import version_at

    found = compare(version_at(old), version_at(new))
    if out is not None:
        from barwright.pack.compare_pages import comparison_pdf
        from barwright.pack.folder import put_file

        put_file(out, comparison_pdf(found))
    output.answer(
        lambda: {"changes": [asdict(c) for c in found.changes], "same": found.same},
        lambda c: _say(c, _told(found, out)),
    )
    return 0


def _told(found: Comparison, out: Path | None) -> tuple[str, ...]:
    again = [f"{c.kind} {c.name}" for c in found.again]
    return (
        f"{found.same} bars and parts are as they were, {len(found.changes)} are not",
        *(_change(c) for c in found.changes),
        "order or make again: " + (", ".join(again) or "nothing"),
        *((f"drawn over each other in {out}",) if out else ()),
    )


def _change(change: Change) -> str:
    return f"  {change.kind} {change.name}: " + ("; ".join(change.says) or change.what)


def _lengths(asked: Asked) -> dict[str, float | None]:
    """The options that are lengths [mm], every wrong one told at once."""
    faults: list[Fault] = []

    def read(option: str, text: str | None) -> float | None:
        try:
            return None if text is None else parse_length(text, "mm")
        except ValueError as wrong:
            faults.append(_fault(f"--{option}", text or "", str(wrong)))
            return None

    found = {
        "thickness": read("thickness", asked.thickness),
        "tolerance": read("tolerance", asked.tolerance),
        "printed-bar": read("printed-bar", asked.printed_bar),
        "camera": read("camera", asked.camera),
    }
    if faults:
        raise BadInput(*faults)
    return found


def _pick(text: str) -> Pick:
    from barwright.survey.template_types import Pick

    try:
        name, first, second = text.split(":")
        return Pick(name=name, a=_spot(first), b=_spot(second))
    except ValueError:
        raise BadInput(_fault("--line", text, "NAME:x1,y1:x2,y2 in pixels of the photo")) from None


def _spot(text: str) -> tuple[float, float]:
    x, y = text.split(",")
    return (float(x), float(y))


def _fault(option: str, read: str, expected: str) -> Fault:
    return Fault(
        file="command line",
        entry=option,
        read=read,
        expected=expected,
        do="see barwright trace --help",
    )


def _wrote(output: Output, files: tuple[Path, ...], then: str) -> int:
    output.answer(
        lambda: {"files": [str(f) for f in files]},
        lambda c: _say(c, (*(f"wrote {f}" for f in files), then)),
    )
    return 0


def _say(console: Console, lines: tuple[str, ...]) -> None:
    for line in lines:
        console.print(line, markup=False, highlight=False)
