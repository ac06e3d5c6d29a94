"""Running the page: which door it stands at, what is printed, and how it ends."""

from __future__ import annotations

import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from barwright.bench.guard import Door
from barwright.bench.keys import Keys
from barwright.bench.phone import Phone, own_address
from barwright.job.errors import BadInput, Fault

PORT = 8730
"""Where the page stands when nothing else is said; the next free one when it is taken."""

HERE = "127.0.0.1"
EVERYWHERE = "0.0.0.0"  # noqa: S104 - only with --lan
TRIED = 20


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where the page is.

    Attributes:
        listening: the socket, already bound.
        address: to open on this machine, key included.
        phone: how a phone gets in.
        door: what names and cookie it goes by.
        keys: of this run.
    """

    listening: socket.socket
    address: str
    phone: Phone
    door: Door
    keys: Keys


def place(*, port: int | None = None, lan: bool = False) -> Place:
    """Take a port and make the keys.

    Raises:
        BadInput: the port is taken, or there is no local network to open the page to.
    """
    listening = _bound(EVERYWHERE if lan else HERE, port)
    number = listening.getsockname()[1]
    keys, hosts = Keys(), [f"{name}:{number}" for name in (HERE, "localhost")]
    own = _lan_address() if lan else ""
    if own:
        hosts.append(f"{own}:{number}")
    return Place(
        listening=listening,
        address=f"http://{HERE}:{number}/?key={keys.run}",
        phone=Phone(open=lan, base=f"http://{own}:{number}", keys=keys),
        door=Door(hosts=frozenset(hosts), cookie=f"barwright-{number}"),
        keys=keys,
    )


def serve(folder: Path, where: Place, ready: Callable[[], None]) -> None:
    """Serve a job's page until it is stopped with Ctrl-C; `ready` is called when it opens."""
    import uvicorn

    from barwright.bench.app import application
    from barwright.bench.session import Session

    session = Session(folder)
    app = application(session, door=where.door, keys=where.keys, phone=where.phone)
    config = uvicorn.Config(
        app,
        log_level="error",
        access_log=False,
        server_header=False,
        ws="websockets-sansio",
        ws_max_size=65_536,
        timeout_graceful_shutdown=1,
        lifespan="on",
    )
    ready()
    uvicorn.Server(config).run(sockets=[where.listening])


def _bound(host: str, port: int | None) -> socket.socket:
    """A socket at the port asked for, or at the first free one from the usual on."""
    wanted = [port] if port is not None else [*range(PORT, PORT + TRIED), 0]
    for number in wanted:
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, number))
            listening.listen(128)  # who comes before the server is up waits and is not refused
        except (OSError, OverflowError):
            listening.close()
            continue
        return listening
    raise BadInput(
        Fault(
            file="command line",
            entry="--port",
            read=str(port),
            expected="a port that is free, 1024 to 65535",
            do="leave --port out, or name another one",
        )
    )


def _lan_address() -> str:
    found = own_address()
    if found is None:
        raise BadInput(
            Fault(
                file="command line",
                entry="--lan",
                read="no local network",
                expected="a machine on the workshop's network",
                do="join the network the phone is on, then start again",
            )
        )
    return found
