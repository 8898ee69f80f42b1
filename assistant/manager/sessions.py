"""Who is signed in: random tokens, kept in memory only, and the tokens that forms carry."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic

from assistant.manager.people import RIGHTS, Right, Role

IDLE_SECONDS = 30 * 60.0
LONGEST_SECONDS = 8 * 3600.0
_MOST = 200
SESSION_COOKIE = "kitchen_session"
FORM_COOKIE = "kitchen_form"


@dataclass(frozen=True, slots=True)
class Who:
    """Who is signed in: a name ('' with the manager's PIN, which anybody may have been told) and the role."""

    name: str = ""
    role: Role = "manager"
    until: str = ""

    def may(self, right: Right) -> bool:
        """Whether the role has a right."""
        return right in RIGHTS[self.role]


@dataclass(slots=True)
class _Session:
    began: float
    seen: float
    who: Who
    mark: str


class Sessions:
    """Sessions by token; one that is idle for half an hour or eight hours old is gone."""

    def __init__(self, seconds: Callable[[], float] = monotonic) -> None:
        """Count time with ``seconds``."""
        self._seconds = seconds
        self._lock = threading.Lock()
        self._open: dict[str, _Session] = {}
        self._key = secrets.token_bytes(32)

    def begin(self, who: Who | None = None, mark: str = "") -> str:
        """Return the token of a new session; it ends when ``mark`` (of the PINs) is another."""
        now, token = self._seconds(), secrets.token_urlsafe(32)
        with self._lock:
            self._open = {key: each for key, each in self._open.items() if self._lives(each, now)}
            while len(self._open) >= _MOST:
                del self._open[min(self._open, key=lambda key: self._open[key].seen)]
            self._open[self._name(token)] = _Session(now, now, who or Who(), mark)
        return token

    def who(self, token: str, mark: str = "", today: str = "", *, renew: bool = True) -> Who | None:
        """Return whose session a token is, which renews it if asked to; ``None`` for one that ended."""
        now = self._seconds()
        with self._lock:
            session = self._open.get(self._name(token))
            over = session is not None and (
                not self._lives(session, now) or session.mark != mark or today > (session.who.until or "~")
            )
            if session is None or over:
                self._open.pop(self._name(token), None)
                return None
            session.seen = now if renew else session.seen
            return session.who

    def lives(self, token: str, mark: str = "") -> bool:
        """Whether a token is that of a session still open, which this renews."""
        return self.who(token, mark) is not None

    def end(self, token: str) -> None:
        """End a session; an unknown one does nothing."""
        with self._lock:
            self._open.pop(self._name(token), None)

    def form_token(self, cookie: str, session: str = "") -> str:
        """Return what a form has to carry for a browser that holds ``cookie``, within one ``session``."""
        text = f"{self._name(cookie)}{self._name(session)}"
        return hmac.new(self._key, text.encode(), hashlib.sha256).hexdigest()

    def form_is_ours(self, cookie: str, token: str, session: str = "") -> bool:
        """Whether a form was made by this page for this browser and the session that it is in now."""
        expected = self.form_token(cookie, session)
        return bool(cookie) and hmac.compare_digest(expected.encode(), token.encode())

    def _name(self, token: str) -> str:
        return hashlib.sha256(token.encode()).hexdigest()

    def _lives(self, session: _Session, now: float) -> bool:
        return now - session.seen < IDLE_SECONDS and now - session.began < LONGEST_SECONDS
