"""What stands before every request: the right host, the right origin, a session of this run.

Every page a browser has open can send requests to this machine, and any name can be made to lead
here; so nothing is answered on the strength of being asked from this machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from barwright.bench.keys import Keys

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
    "connect-src 'self' {ws}; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
)
SAFE = {"GET", "HEAD"}
LOOPBACK = ("127.0.0.1", "::1")

SHUT = (
    "This page opens with the address that `barwright bench` printed in the terminal.\n"
    "Go back there and open that address, key and all. For another phone, show a new code.\n"
)


@dataclass(frozen=True, kw_only=True)
class Door:
    """Where the page is reached: host and port as a browser names them, and the cookie's name."""

    hosts: frozenset[str]
    cookie: str


class Guard:
    """Lets in what comes by the right door and turns the rest away."""

    def __init__(self, app: ASGIApp, *, door: Door, keys: Keys) -> None:
        self._app, self._door, self._keys = app, door, keys

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request or connection."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        headers = {k.decode("latin-1"): v.decode("latin-1") for k, v in scope["headers"]}
        refused = self._refused(scope, headers)
        if refused is None:
            await self._app(scope, receive, self._with_headers(scope, headers, send))
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 4403})
        else:
            await refused(scope, receive, self._with_headers(scope, headers, send))

    def _refused(self, scope: Scope, headers: dict[str, str]) -> Response | None:
        """What to answer instead; None lets it through."""
        if headers.get("host", "") not in self._door.hosts:
            return PlainTextResponse("not a name of this page\n", 421)
        safe = scope["type"] == "http" and scope["method"] in SAFE
        origin = headers.get("origin")
        if origin is not None or not safe:
            ours = origin in {f"http://{host}" for host in self._door.hosts}
            if not ours:
                return PlainTextResponse("asked from another page\n", 403)
        if self._keys.known(_cookie(headers, self._door.cookie)):
            return None
        return self._let_in(scope) or PlainTextResponse(SHUT, 403)

    def _let_in(self, scope: Scope) -> Response | None:
        """A right key in the address opens a session, and the address is cleared of it."""
        if scope["type"] != "http" or scope["path"] != "/":
            return None
        key = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])[0]
        here = bool(scope.get("client")) and scope["client"][0] in LOOPBACK
        session = self._keys.opens(key, here=here)
        if session is None:
            return None
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self._door.cookie, session, httponly=True, samesite="lax", path="/")
        return answer

    def _with_headers(self, scope: Scope, headers: dict[str, str], send: Send) -> Send:
        host = headers.get("host", "")
        policy = POLICY.format(ws=f"ws://{host}" if host in self._door.hosts else "")
        more = (
            (b"content-security-policy", policy.encode("latin-1")),
            (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"no-referrer"),
            (b"cross-origin-opener-policy", b"same-origin"),
            (b"cross-origin-resource-policy", b"same-origin"),
            (b"x-frame-options", b"DENY"),
        )

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                named = [(k, v) for k, v in message["headers"]]
                if not any(k == b"cache-control" for k, _ in named):
                    named.append((b"cache-control", b"no-store"))
                message = {**message, "headers": [*named, *more]}
            await send(message)

        return sent if scope["type"] == "http" else send


def _cookie(headers: dict[str, str], name: str) -> str | None:
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(name)
    except CookieError:
        return None
    return found.value if found else None
