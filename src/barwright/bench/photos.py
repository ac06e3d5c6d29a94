"""Photos of cardboard templates: taken in, opened safely, points picked, traced."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, TypeAdapter
from starlette.requests import Request
from starlette.responses import Response

from barwright.bench.answers import body, refused, told
from barwright.bench.edits import Asked
from barwright.bench.session import Session
from barwright.bench.worker import Message
from barwright.job.errors import BadInput, Fault
from barwright.job.lengths import parse_length
from barwright.pack.names import file_name

MOST_PHOTO = 30_000_000
"""Bytes of a photo; a telephone's are below ten million."""

TEMPLATES = "templates"

_Pixel = Annotated[float, Field(ge=0.0, le=100_000.0)]
_Word = Annotated[str, Field(max_length=60)]


class PickAsked(Asked):
    """Two points on a drawn line, in pixels of the photo."""

    name: _Word
    a: tuple[_Pixel, _Pixel]
    b: tuple[_Pixel, _Pixel]


class TraceAsked(Asked):
    """How to trace a photo; lengths as typed."""

    board: _Word
    thickness: _Word
    bar: _Word = ""
    tolerance: _Word = ""
    picks: Annotated[tuple[PickAsked, ...], Field(max_length=40)] = ()


_ASKED = TypeAdapter(TraceAsked)


class Photos:
    """The photos taken in during this session, by a short fingerprint."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._names: dict[str, str] = {}
        self._plain: dict[str, bytes] = {}
        self._drawn: dict[str, bytes] = {}

    async def take(self, request: Request) -> Response:
        """A photo sent; it is kept in the job's templates folder once it has been opened."""
        data = await body(request, MOST_PHOTO)
        name = _safe(request.query_params.get("name", "photo.jpg"))
        messages = await self._session.shop.all("look", photo=data, name=name)
        found = _of(messages, "photo")
        key = hashlib.sha256(data).hexdigest()[:16]
        self._names[key] = _kept(self._session.folder.path / TEMPLATES, name, data)
        self._plain[key] = found[0]
        return told({"key": key, "name": self._names[key], "size": found[1]})

    async def picture(self, request: Request) -> Response:
        """The photo as it was opened: a plain JPEG."""
        data = self._plain.get(request.path_params["key"])
        if data is None:
            return Response("no such photo\n", 404)
        return Response(data, media_type="image/jpeg")

    async def trace(self, request: Request) -> Response:
        """Trace a photo: its outline and lines in true size, written beside it."""
        key = request.path_params["key"]
        if key not in self._names:
            return refused(404, Fault(file="photo", entry="", read="no such photo"))
        ask = self._read(_ASKED.validate_json(await body(request)))
        folder = self._session.folder.path / TEMPLATES
        messages = await self._session.shop.all(
            "trace", photo=str(folder / self._names[key]), out=str(folder), ask=ask
        )
        drawn, summary, lines, files = _of(messages, "traced")
        self._drawn[key] = drawn
        return told({"summary": summary, "lines": lines, "files": files})

    async def drawing(self, request: Request) -> Response:
        """The traced outline as a drawing in true size."""
        data = self._drawn.get(request.path_params["key"])
        if data is None:
            return Response("not traced yet\n", 404)
        return Response(data, media_type="image/svg+xml")

    def _read(self, asked: TraceAsked) -> dict[str, Any]:
        """What was typed, in millimetres. Raises BadInput."""
        unit = "in" if 'unit = "in"' in self._session.folder.texts["job.toml"] else "mm"
        ask: dict[str, Any] = {
            "board_name": asked.board,
            "thickness": _length("thickness", asked.thickness, unit),
            "picks": [{"name": p.name, "a": p.a, "b": p.b} for p in asked.picks],
        }
        if asked.bar.strip():
            ask["printed_bar"] = _length("printed bar", asked.bar, "mm")
        if asked.tolerance.strip():
            ask["tolerance"] = _length("tolerance", asked.tolerance, unit)
        return ask


def _length(entry: str, typed: str, unit: str) -> float:
    try:
        return parse_length(typed, unit)
    except ValueError as wrong:
        fault = Fault(file="photo", entry=entry, read=typed or "nothing", expected=str(wrong))
        raise BadInput(fault) from None


def _of(messages: list[Message], kind: str) -> list[Any]:
    """What goes with the message of a kind. Raises BadInput where there are faults instead."""
    for said, *rest in messages:
        if said == "faults":
            raise BadInput(*(Fault(**f) for f in rest[0]))
    return next(list(rest) for said, *rest in messages if said == kind)


def _safe(name: str) -> str:
    """A plain file name with a photo's ending, whatever was sent."""
    last = name.replace("\\", "/").rpartition("/")[2]
    stem, _, ending = last.rpartition(".") if "." in last else (last, "", "")
    known = ending.lower() if ending.lower() in {"jpg", "jpeg", "png", "webp", "tif"} else "jpg"
    return f"{file_name(stem[:60] or 'photo')}.{known}"


def _kept(folder: Path, name: str, data: bytes) -> str:
    """Write the photo under its name, or the next free one; the same photo is kept once."""
    folder.mkdir(exist_ok=True)
    stem, _, ending = name.rpartition(".")
    for number in range(1, 1000):
        path = folder / (name if number == 1 else f"{stem}-{number}.{ending}")
        if not path.exists():
            path.write_bytes(data)
            return path.name
        if path.stat().st_size == len(data) and path.read_bytes() == data:
            return path.name
    fault = Fault(file=name, entry="", read="a thousand photos of this name", do="rename it")
    raise BadInput(fault)
