"""Operation 8: the pack is made in the second worker and handed out file by file."""

from __future__ import annotations

import asyncio
import mimetypes
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter
from starlette.requests import Request
from starlette.responses import Response

from barwright.bench.answers import body, refused, told
from barwright.bench.edits import Asked
from barwright.bench.session import Session
from barwright.bench.worker import Message
from barwright.job.errors import Fault
from barwright.pack.write import STAGES


class PackAsked(Asked):
    """What the parts are to be cut from."""

    stage: str


_ASKED = TypeAdapter(PackAsked)


@dataclass(frozen=True, kw_only=True)
class Ready:
    """A pack in memory."""

    files: dict[str, bytes]
    job_hash: str


class Packs:
    """The packs made in this session, the latest of each stage."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._ready: dict[str, Ready] = {}
        self._making: set[str] = set()

    async def make(self, request: Request) -> Response:
        """Start making one; how far it is comes over the live line."""
        stage = _ASKED.validate_json(await body(request)).stage
        if stage not in STAGES:
            wrong = Fault(file="", entry="stage", read=stage, expected="board or metal")
            return refused(422, wrong)
        if stage not in self._making:
            self._making.add(stage)
            self._tell(stage, what="waiting its turn", share=0.0)
            heard = lambda message: self._heard(stage, message)  # noqa: E731
            self._session.shop.ask("pack", heard, stage=stage, **self._session.asked())
        return told({"making": stage})

    def _heard(self, stage: str, message: Message) -> None:
        kind, *rest = message
        if kind == "doing":
            self._tell(stage, what=rest[0], share=rest[1])
        elif kind == "pack":
            files, job_hash, left_out = rest
            self._ready[stage] = Ready(files=files, job_hash=job_hash)
            listed = [{"name": name, "bytes": len(data)} for name, data in files.items()]
            self._tell(stage, files=listed, hash=job_hash, left_out=left_out, share=1.0)
        else:
            self._making.discard(stage)
            if kind == "faults":
                self._tell(stage, faults=rest[0])

    def _tell(self, stage: str, **said: Any) -> None:  # noqa: ANN401 - plain data
        self._session.tell({"t": "pack", "stage": stage, **said})

    async def file(self, request: Request) -> Response:
        """One file of a pack that was made."""
        stage, name = request.path_params["stage"], request.path_params["name"]
        ready = self._ready.get(stage)
        data = ready.files.get(name) if ready else None
        if data is None:
            return Response("no such file in the pack; make it first\n", 404)
        await asyncio.sleep(0)
        return Response(data, media_type=_type(name), headers=_as_file(name))


def _type(name: str) -> str:
    return mimetypes.guess_type(name)[0] or "application/octet-stream"


def _as_file(name: str) -> dict[str, str]:
    """To be saved, not opened as a page of ours."""
    last = name.rpartition("/")[2].encode("ascii", "replace").decode().replace('"', "'")
    return {"content-disposition": f'attachment; filename="{last}"'}
