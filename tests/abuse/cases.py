"""What is spoilt and what is then asked of it: one function a kind, `(chance, folder) -> None`.

Each ends quietly, or with `BadInput`; anything else is for `fuzz` to tell.
"""

import io
import json
import sys
from functools import cache
from pathlib import Path
from random import Random

import invent
import spoil

from barwright.job.bought import read_dxf
from barwright.job.errors import BadInput
from barwright.job.load import load
from barwright.job.new import QUESTION, start
from barwright.job.traced import read_template
from barwright.route import stages

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def starter(home: Path) -> tuple[str, str]:
    """The question sheet with every question answered."""
    return tuple(f.read_text().replace(QUESTION, "") for f in start(home)[:2])


@cache
def example(name: str) -> tuple[str, str]:
    """A demo job's two texts."""
    return tuple((EXAMPLES / name / f).read_text() for f in ("job.toml", "readings.csv"))


@cache
def pools() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The lines of the demo jobs, to be put where they do not belong."""
    both = zip(example("heron"), example("gate"), strict=True)
    return tuple(tuple("".join(texts).split("\n")) for texts in both)


def lay(folder: Path, job: bytes, rows: bytes) -> None:
    (folder / "job.toml").write_bytes(job)
    (folder / "readings.csv").write_bytes(rows)


def _spoilt(chance: Random, folder: Path) -> None:
    """A real job with one of its files spoilt, or both."""
    which = chance.choices(("starter", "gate", "heron"), (12, 6, 1))[0]
    job, rows = starter(folder.parent / "start") if which == "starter" else example(which)
    tables, lines = pools()
    both = chance.random() < 0.3
    if both or chance.random() < 0.6:
        job = spoil.text(job, chance, tables)
        both = both or chance.random() < 0.1
    if both or chance.random() < 0.5:
        rows = spoil.text(rows, chance, lines)
    lay(folder, spoil.encoded(job, chance), spoil.encoded(rows, chance))


def job(chance: Random, folder: Path) -> None:
    """job.toml and readings.csv, spoilt and loaded."""
    _spoilt(chance, folder)
    hash(load(folder))


def route(chance: Random, folder: Path) -> None:
    """A job whose values were changed but which still loads, through every stage of the route."""
    tables, lines = pools()
    for _ in range(40):
        texts = starter(folder.parent / "start") if chance.random() < 0.6 else example("gate")
        which = chance.choices((0, 1), (3, 1))[0]
        new = list(texts)
        for _ in range(chance.choice((1, 1, 2, 3))):
            way = chance.choice((spoil.number, spoil.number, spoil.value, spoil.line))
            new[which] = way(new[which], chance, (tables, lines)[which])
        lay(folder, new[0].encode("utf-8", "replace"), new[1].encode("utf-8", "replace"))
        try:
            found = load(folder)
        except BadInput:
            continue
        for build in stages(found):
            assert all(f.code and f.subject is not None for f in build.findings)
        return


def dxf(chance: Random, folder: Path) -> None:
    """A drawing spoilt in its text or its bytes."""
    del folder
    whole = chance.choices(drawings(), (30, 30, 1))[0]
    if chance.random() < 0.8:
        lines = tuple(drawings()[1].decode().split("\n"))
        data = spoil.encoded(spoil.text(whole.decode(), chance, lines), chance)
    else:
        data = spoil.raw(whole, chance)
    read_dxf(data, "a.dxf", unit=chance.choice(("in", "mm")), said=chance.choice((None, "mm")))


@cache
def drawings() -> tuple[bytes, ...]:
    """A plain outline, one of every kind of entity, and the Heron's latch."""
    many = Path(__file__).with_name("many.dxf").read_bytes()
    plain = Path(__file__).with_name("plain.dxf").read_bytes()
    return plain, many, (EXAMPLES / "heron" / "bought" / "latch.dxf").read_bytes()


TRACED = {
    "outline": {"vertices": [[0, 0, 0], [80, 0, 0.2], [80, 60, 0], [0, 60, -0.1]]},
    "holes": [{"vertices": [[10, 10, 1], [16, 10, 1]]}],
    "lines": [{"name": "fold", "a": [0, 30], "b": [80, 30], "sd": 0.1}],
    "edge_sd": 0.1,
    "scale_sd": 0.0005,
    "notes": ["a note"],
}


def template(chance: Random, folder: Path) -> None:
    """A traced template's JSON, spoilt, named by a plate of a job."""
    data = spoil.encoded(spoil.text(json.dumps(TRACED, indent=1), chance), chance)
    if chance.random() < 0.5:
        read_template(data, "a.json")
        return
    (folder / "a.json").write_bytes(data)
    table = '[sheet.s]\nthickness = 3\nmaterial = "a36"\n[plate.p]\nsheet = "s"\n'
    table += 'template = "a.json"\nat = { origin = "A", along = "B", toward = "C" }\n'
    lay(
        folder,
        table.encode(),
        invent.FIRST.join(("kind,marks,value,plus_minus,note\n", "")).encode(),
    )
    load(folder)


def photo(chance: Random, folder: Path) -> None:
    """A photo spoilt in its bytes or as a picture, opened and searched for the board."""
    del folder
    from barwright.survey.template_photo import markers, opened

    if chance.random() < 0.6:
        data = spoil.raw(chance.choice(_photos()), chance)
    else:
        data = spoil.picture(chance.choice(_photos()), chance)
    markers(opened(data, "photo.jpg"))


def trace(chance: Random, folder: Path) -> None:
    """A photo spoilt as a picture, or told wrong, traced whole."""
    del folder
    from barwright.survey.template_trace import trace as traced
    from barwright.survey.template_types import Pick

    data = large()
    if chance.random() < 0.8:
        data = spoil.picture(data, chance) if chance.random() < 0.8 else spoil.raw(data, chance)
    odd = (0.0, -1.0, 3.0, 1e9, float("nan"), 0.25, 100.0)
    one = lambda: chance.choice(odd)  # noqa: E731 - short
    told = {"thickness": 3.0}
    if chance.random() < 0.3:
        told |= {
            "thickness": one(),
            "tolerance": one(),
            "camera_height": chance.choice((None, one())),
        }
    if chance.random() < 0.2:
        told |= {"printed_bar": one(), "printed_long": chance.choice((None, (one(), one())))}
    if chance.random() < 0.3:
        told["picks"] = (Pick(name="fold", a=(one(), one()), b=(one() * 5, one() * 5)),)
    board = chance.choices(("a3", "a4", "a4-3x2", "a4-0x9", "a4-99x99", "b7", ""), (20, *[1] * 6))[
        0
    ]
    traced(data, board_name=board, **told)


@cache
def _photos() -> tuple[bytes, ...]:
    """A small photo of a card on the board, as JPEG, PNG and WebP."""
    from PIL import Image

    first = _taken((900, 675))
    kept = [first]
    for kind in ("PNG", "WEBP"):
        out = io.BytesIO()
        Image.open(io.BytesIO(first)).save(out, kind)
        kept.append(out.getvalue())
    return tuple(kept)


@cache
def large() -> bytes:
    """A photo large enough to be traced."""
    return _taken((1600, 1200))


def _taken(size: tuple[int, int]) -> bytes:
    sys.path.insert(0, str(Path(__file__).parents[1] / "survey"))
    from card_photo import Scene
    from card_photo import photo as taken

    card = ((60, 80), (200, 80), (200, 260), (120, 260), (60, 200))
    return bytes(taken(Scene(outline=card, size=size, blur=0.7, noise=1.0, noted=True)))


KINDS = {
    "job": job,
    "dxf": dxf,
    "template": template,
    "route": route,
    "photo": photo,
    "trace": trace,
}
