"""The page's own files, kept small: compressed once, and told apart by what is in them."""

from __future__ import annotations

import gzip
import hashlib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response

TYPES = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
    "txt": "text/plain; charset=utf-8",
}
"""What is served; nothing else is."""

WORTH = 1000
"""Bytes from which compressing is worth it."""


@dataclass(frozen=True, kw_only=True)
class Asset:
    """One file of the page."""

    data: bytes
    packed: bytes
    kind: str
    tag: str


@lru_cache(256)
def asset(name: str) -> Asset | None:
    """A file of the page by its name, such as "js/main.js"; None if there is none."""
    *folders, last = name.split("/")
    kind = TYPES.get(last.rpartition(".")[2])
    if kind is None or any(not _plain(step) for step in (*folders, last)):
        return None
    found = files("barwright.bench") / "assets"
    for step in (*folders, last):
        found /= step
    if not found.is_file():
        return None
    data = found.read_bytes()
    return Asset(data=data, packed=gzip.compress(data, 9, mtime=0), kind=kind, tag=_tag(data))


def _plain(step: str) -> bool:
    return bool(step) and not step.startswith(".") and "\\" not in step


def _tag(data: bytes) -> str:
    return f'"{hashlib.sha256(data).hexdigest()[:16]}"'


def served(request: Request, name: str) -> Response:
    """The answer for a file of the page."""
    found = asset(name)
    if found is None:
        return Response("no such file\n", 404)
    headers = {"etag": found.tag, "cache-control": "no-cache", "vary": "accept-encoding"}
    if request.headers.get("if-none-match") == found.tag:
        return Response(status_code=304, headers=headers)
    if "gzip" in request.headers.get("accept-encoding", ""):
        headers["content-encoding"] = "gzip"
        return Response(found.packed, media_type=found.kind, headers=headers)
    return Response(found.data, media_type=found.kind, headers=headers)


def sent(request: Request, data: bytes, kind: str, tag: str) -> Response:
    """The answer for something worked out; compressed only for another machine."""
    headers = {"etag": f'"{tag}"', "cache-control": "no-cache", "vary": "accept-encoding"}
    if request.headers.get("if-none-match") == headers["etag"]:
        return Response(status_code=304, headers=headers)
    far = request.client is not None and request.client.host not in {"127.0.0.1", "::1"}
    if far and len(data) > WORTH and "gzip" in request.headers.get("accept-encoding", ""):
        headers["content-encoding"] = "gzip"
        data = gzip.compress(data, 1, mtime=0)
    return Response(data, media_type=kind, headers=headers)
