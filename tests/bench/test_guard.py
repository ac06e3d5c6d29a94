from __future__ import annotations

import asyncio
from typing import Any

import pytest

from barwright.bench.guard import Door, Guard
from barwright.bench.keys import Keys

HOST = "127.0.0.1:9"
DOOR = Door(hosts=frozenset({HOST, "localhost:9"}), cookie="barwright-9")


async def inside(scope: Any, _receive: Any, send: Any) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
        return
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"the card"})


def ask(keys: Keys, path: str = "/", **said: Any) -> list[dict[str, Any]]:
    """What is answered to one request."""
    headers = {"host": HOST, **said.get("headers", {})}
    scope = {
        "type": said.get("type", "http"),
        "method": said.get("method", "GET"),
        "path": path,
        "query_string": said.get("query", "").encode(),
        "headers": [(k.encode(), v.encode()) for k, v in headers.items()],
        "client": (said.get("client", "127.0.0.1"), 5),
    }
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return {"type": "websocket.connect"}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    asyncio.run(Guard(inside, door=DOOR, keys=keys)(scope, receive, send))  # type: ignore[arg-type]
    return sent


def status(sent: list[dict[str, Any]]) -> int:
    return int(sent[0]["status"])


def session(keys: Keys) -> dict[str, str]:
    """The cookie that the run's key gives."""
    sent = ask(keys, query=f"key={keys.run}")
    found = dict(sent[0]["headers"])[b"set-cookie"].decode()
    assert "HttpOnly" in found
    return {"cookie": found.partition(";")[0]}


def test_nobody_gets_in_without_the_key() -> None:
    keys = Keys()
    assert status(ask(keys)) == 403
    assert status(ask(keys, query="key=guess")) == 403
    assert status(ask(keys, headers={"cookie": "barwright-9=guess"})) == 403


def test_the_key_opens_a_session_and_leaves_the_address() -> None:
    keys = Keys()
    sent = ask(keys, query=f"key={keys.run}")
    assert status(sent) == 303
    assert dict(sent[0]["headers"])[b"location"] == b"/"
    assert status(ask(keys, headers=session(keys))) == 200


def test_a_session_of_another_run_is_not_known() -> None:
    assert status(ask(Keys(), headers=session(Keys()))) == 403


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:9", "127.0.0.1", "127.0.0.1:99", ""]
)
def test_a_name_made_to_lead_here_is_turned_away(host: str) -> None:
    keys = Keys()
    assert status(ask(keys, headers={**session(keys), "host": host})) == 421


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1:9", None])
def test_another_page_cannot_write_even_with_our_cookie(origin: str | None) -> None:
    keys = Keys()
    said = session(keys) | ({"origin": origin} if origin else {})
    assert status(ask(keys, "/edit", method="POST", headers=said)) == 403
    live = ask(keys, "/live", type="websocket", headers=said)
    assert live == [{"type": "websocket.close", "code": 4403}]


def test_our_own_page_can_write_and_listen() -> None:
    keys = Keys()
    said = {**session(keys), "origin": f"http://{HOST}"}
    assert status(ask(keys, "/edit", method="POST", headers=said)) == 200
    assert ask(keys, "/live", type="websocket", headers=said)[0]["type"] == "websocket.accept"


def test_a_phones_key_opens_once_and_a_new_one_ends_the_old() -> None:
    keys = Keys()
    first, second = keys.once(), keys.once()
    assert status(ask(keys, query=f"key={first}", client="192.168.1.7")) == 403
    assert status(ask(keys, query=f"key={second}", client="192.168.1.7")) == 303
    assert status(ask(keys, query=f"key={second}", client="192.168.1.8")) == 403


def test_the_runs_key_opens_nothing_from_another_machine() -> None:
    keys = Keys()
    assert status(ask(keys, query=f"key={keys.run}", client="192.168.1.7")) == 403


def test_every_answer_says_what_a_page_may_do() -> None:
    keys = Keys()
    headers = dict(ask(keys, headers=session(keys))[0]["headers"])
    policy = headers[b"content-security-policy"].decode()
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert headers[b"x-content-type-options"] == b"nosniff"
    assert headers[b"referrer-policy"] == b"no-referrer"
