"""The page's addresses: what each one answers."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager, suppress

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp
from starlette.websockets import WebSocket, WebSocketDisconnect

from barwright.bench.answers import body, kind, refused, told
from barwright.bench.assets import sent, served
from barwright.bench.card import CAUTION
from barwright.bench.edits import EDIT, FILES
from barwright.bench.guard import Door, Guard
from barwright.bench.heron import drawings, heron
from barwright.bench.keys import Keys
from barwright.bench.packs import Packs
from barwright.bench.phone import Phone
from barwright.bench.photos import Photos
from barwright.bench.rows import rows_of
from barwright.bench.session import Session
from barwright.bench.watch import watch
from barwright.job.errors import Fault
from barwright.job.load import READINGS_FILE


def application(session: Session, *, door: Door, keys: Keys, phone: Phone) -> ASGIApp:
    """The page over one job, guarded."""
    page = _Page(session, phone)
    packs, photos = Packs(session), Photos(session)
    routes = [
        Route("/", page.index),
        Route("/assets/{name:path}", page.asset),
        Route("/about", page.about),
        Route("/section/{name}", page.section),
        Route("/edit", kind(page.edit), methods=["POST"]),
        Route("/undo", kind(page.undo), methods=["POST"]),
        Route("/redo", kind(page.redo), methods=["POST"]),
        Route("/heron", kind(page.heron), methods=["POST"]),
        Route("/phone", kind(page.phone), methods=["POST"]),
        Route("/wrap/{bar}/{end}.svg", kind(page.wrap)),
        Route("/pack", kind(packs.make), methods=["POST"]),
        Route("/pack/{stage}/{name:path}", kind(packs.file)),
        Route("/photo", kind(photos.take), methods=["POST"]),
        Route("/photo/{key}/trace", kind(photos.trace), methods=["POST"]),
        Route("/photo/{key}.jpg", kind(photos.picture)),
        Route("/photo/{key}.svg", kind(photos.drawing)),
        WebSocketRoute("/live", page.live),
    ]
    app = Starlette(routes=routes, lifespan=_running(session))
    return Guard(app, door=door, keys=keys)


def _running(session: Session) -> Callable[[Starlette], AbstractAsyncContextManager[None]]:
    """Watch the files and work the job out for as long as the server runs."""

    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        paths = tuple(session.folder.path / name for name in FILES)
        watching = (
            asyncio.create_task(watch(lambda: paths, session.look)),
            asyncio.create_task(watch(session.folder.drawings, session.drawn)),
        )
        session.start()
        yield
        for task in watching:
            task.cancel()
        session.close()

    return lifespan


class _Page:
    """The job's own addresses."""

    def __init__(self, session: Session, phone: Phone) -> None:
        self._session, self._phone = session, phone

    async def index(self, request: Request) -> Response:
        return served(request, "index.html")

    async def asset(self, request: Request) -> Response:
        return served(request, request.path_params["name"])

    async def about(self, _request: Request) -> Response:
        """What does not change while the server runs."""
        folder = self._session.folder.path
        return told(
            {
                "folder": folder.name,
                "lan": self._phone.open,
                "heron": bool(heron()),
                "caution": CAUTION,
            }
        )

    def _done(self, what: str | None) -> Response:
        """What was done, and which state of the job that made."""
        return told({"done": what, "version": self._session.version})

    async def section(self, request: Request) -> Response:
        """A part of the last good answer."""
        held = self._session.sections.get(request.path_params["name"])
        if held is None:
            return Response(status_code=204)  # told of a moment ago, gone since
        binary = request.path_params["name"] == "scene"
        return sent(
            request,
            held.data,
            "application/octet-stream" if binary else "application/json",
            held.tag,
        )

    async def edit(self, request: Request) -> Response:
        """One edit of the job's files."""
        asked = EDIT.validate_json(await body(request))
        return self._done(self._session.edit(asked))

    async def undo(self, _request: Request) -> Response:
        """Take the last step back."""
        return self._done(self._session.undo())

    async def redo(self, _request: Request) -> Response:
        """Do it again."""
        return self._done(self._session.redo())

    async def heron(self, _request: Request) -> Response:
        """Put the demo into a folder that holds no readings yet; one undo takes it out again."""
        if rows_of(self._session.folder.texts[READINGS_FILE]):
            wrong = Fault(
                file=READINGS_FILE,
                entry="",
                read="readings of your own",
                expected="a job without readings",
                do="start another folder: barwright new DIR",
            )
            return refused(422, wrong)
        self._session.folder.add_drawings(drawings())
        self._session.put(heron(), "the Heron put in")
        return self._done("heron")

    async def phone(self, _request: Request) -> Response:
        """A code for another phone, good for one of them."""
        return self._phone.shown()

    async def wrap(self, request: Request) -> Response:
        """The paper template of a bar's end."""
        messages = await self._session.worker.all(
            "wrap",
            **self._session.asked(),
            bar=request.path_params["bar"],
            end=request.path_params["end"],
        )
        drawn = next((m[1] for m in messages if m[0] == "drawing"), None)
        if drawn is None:
            return Response("no template for this end\n", 404)
        return Response(drawn, media_type="image/svg+xml")

    async def live(self, socket: WebSocket) -> None:
        """Tell one page everything as it happens, beginning with the files as they are now."""
        await socket.accept()
        self._session.look()
        queue = self._session.join()
        listening = asyncio.create_task(_heard_out(socket, queue))
        try:
            while (data := await queue.get()) is not None:
                await socket.send_text(data.decode("utf-8"))
        except (WebSocketDisconnect, RuntimeError, OSError):
            pass
        finally:
            self._session.leave(queue)
            listening.cancel()
            with suppress(WebSocketDisconnect, RuntimeError, OSError):
                await socket.close()


async def _heard_out(socket: WebSocket, queue: asyncio.Queue[bytes | None]) -> None:
    """Nothing is taken over this line; when it closes, the sender is told to stop."""
    with suppress(WebSocketDisconnect, RuntimeError):
        while True:
            await socket.receive_text()
    with suppress(asyncio.QueueFull):
        queue.put_nowait(None)
