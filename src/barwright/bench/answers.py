"""What went wrong, as an answer the page can show: never a traceback, always what to do."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import wraps

from pydantic import ValidationError
from starlette.requests import Request
from starlette.responses import Response

from barwright.bench.edits import Conflict
from barwright.bench.plain import dumps, fault
from barwright.job.errors import BadInput, BarwrightError, Fault
from barwright.job.save import ChangedMeanwhile

MOST_ASKED = 200_000
"""Bytes of a request that is not a photo."""

Handler = Callable[[Request], Awaitable[Response]]


class TooLarge(BarwrightError):  # noqa: N818 - it is what the user is told
    """More was sent than is taken."""


def told(what: object, status: int = 200) -> Response:
    """A JSON answer."""
    return Response(dumps(what), status, media_type="application/json")


def refused(status: int, *faults: Fault) -> Response:
    """An answer that says what is wrong."""
    return told({"faults": [fault(f) for f in faults]}, status)


def kind(handler: Handler) -> Handler:
    """The handler, with everything a user can run into answered in words."""

    @wraps(handler)
    async def answered(request: Request) -> Response:
        try:
            return await handler(request)
        except Conflict as both:
            return told({"conflict": both.__dict__}, 409)
        except ChangedMeanwhile as busy:
            return refused(409, Fault(file="", entry="", read=str(busy)))
        except BadInput as wrong:
            return refused(422, *wrong.faults)
        except TooLarge as large:
            return refused(413, Fault(file="", entry="", read=str(large)))
        except (ValidationError, UnicodeDecodeError):
            return refused(400, Fault(file="", entry="", read="a request this page does not send"))

    return answered


async def body(request: Request, most: int = MOST_ASKED) -> bytes:
    """What was sent, no more of it than is allowed.

    Raises:
        TooLarge: it is more.
    """
    said = request.headers.get("content-length", "0")
    if not said.isdigit() or int(said) > most:
        raise TooLarge(f"more than {most // 1000} kB was sent")
    data = bytearray()
    async for piece in request.stream():
        data += piece
        if len(data) > most:
            raise TooLarge(f"more than {most // 1000} kB was sent")
    return bytes(data)
