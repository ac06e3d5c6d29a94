"""The page on a phone: a code to scan, good for one phone, shown only when it was asked for."""

from __future__ import annotations

import io
import socket
from dataclasses import dataclass

from starlette.responses import Response

from barwright.bench.answers import refused, told
from barwright.bench.keys import Keys
from barwright.job.errors import Fault

UNSENT = ("192.0.2.1", 9)
"""An address nobody has (RFC 5737): asking the way there names our own, and nothing is sent."""


@dataclass(frozen=True, kw_only=True)
class Phone:
    """How a phone reaches the page.

    Attributes:
        open: whether the page is open to the local network.
        base: its address there, such as "http://192.168.1.20:8730".
        keys: that make the one-time keys.
    """

    open: bool
    base: str
    keys: Keys

    def address(self) -> str:
        """An address that opens the page once; the one given out before stops working."""
        return f"{self.base}/?key={self.keys.once()}"

    def shown(self) -> Response:
        """A fresh code as a drawing, with the address it holds."""
        if not self.open:
            wrong = Fault(
                file="",
                entry="",
                read="a page that is open to this machine only",
                do="stop it and start it again with: barwright bench JOB --lan",
            )
            return refused(422, wrong)
        address = self.address()
        return told({"address": address, "code": code_rows(address)})


def code_rows(address: str) -> list[str]:
    """The address as a QR code (ISO/IEC 18004): rows of 1 and 0, its quiet zone not included."""
    import segno

    code = segno.make(address, error="m", micro=False)
    return ["".join("1" if cell else "0" for cell in row) for row in code.matrix]


def code_text(address: str) -> str:
    """The same for a terminal, dark on light in half blocks."""
    import segno

    out = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(out, compact=True)
    return out.getvalue()


def own_address() -> str | None:
    """This machine's address on the local network; None when it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(UNSENT)
        except OSError:
            return None
        found = str(probe.getsockname()[0])
    return None if found.startswith("127.") or found == "0.0.0.0" else found  # noqa: S104
