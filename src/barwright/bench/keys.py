"""Who may look: keys that are shown once and the sessions they open."""

from __future__ import annotations

import hmac
import secrets


class Keys:
    """The keys of one run; nothing is written down anywhere.

    Attributes:
        run: opens the page on this machine, as often as wanted.
    """

    def __init__(self) -> None:
        self.run = secrets.token_urlsafe(24)
        self._once: set[str] = set()
        self._sessions: set[str] = set()

    def once(self) -> str:
        """A key that opens the page on another machine, one time; older ones stop working."""
        key = secrets.token_urlsafe(24)
        self._once = {key}
        return key

    def opens(self, key: str, *, here: bool) -> str | None:
        """The session a key opens, None if it opens nothing.

        Args:
            key: as given in the address.
            here: whether the one who asks sits at this machine.
        """
        if here and hmac.compare_digest(key.encode(), self.run.encode()):
            return self._new()
        if key in self._once:
            self._once.discard(key)
            return self._new()
        return None

    def known(self, session: str | None) -> bool:
        """Whether a cookie's session was opened in this run."""
        return session is not None and session in self._sessions

    def _new(self) -> str:
        session = secrets.token_urlsafe(24)
        self._sessions.add(session)
        return session
