"""Who is signed in: random tokens, kept in memory only, and the tokens that forms carry."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic

IDLE_SECONDS = 30 * 60.0
LONGEST_SECONDS = 8 * 3600.0
_MOST = 200
SESSION_COOKIE = "kitchen_session"
FORM_COOKIE = "kitchen_form"


@dataclass(slots=True)
class _Session:
    began: float
    seen: float


class Sessions:
    """Sessions by token; one that is idle for half an hour or eight hours old is gone."""

    def __init__(self, seconds: Callable[[], float] = monotonic) -> None:
        """Count time with ``seconds``."""
        self._seconds = seconds
        self._lock = threading.Lock()
        self._open: dict[str, _Session] = {}
        self._key = secrets.token_bytes(32)

    def begin(self) -> str:
        """Return the token of a new session."""
        now, token = self._seconds(), secrets.token_urlsafe(32)
        with self._lock:
            self._open = {key: each for key, each in self._open.items() if self._lives(each, now)}
            while len(self._open) >= _MOST:
                del self._open[min(self._open, key=lambda key: self._open[key].seen)]
            self._open[self._name(token)] = _Session(now, now)
        return token

    def lives(self, token: str) -> bool:
        """Whether a token is that of a session still open, which this renews."""
        now = self._seconds()
        with self._lock:
            session = self._open.get(self._name(token))
            if session is None or not self._lives(session, now):
                self._open.pop(self._name(token), None)
                return False
            session.seen = now
            return True

    def end(self, token: str) -> None:
        """End a session; an unknown one does nothing."""
        with self._lock:
            self._open.pop(self._name(token), None)

    def form_token(self, cookie: str) -> str:
        """Return what a form has to carry for a browser that holds ``cookie``."""
        return hmac.new(self._key, cookie.encode(), hashlib.sha256).hexdigest()

    def form_is_ours(self, cookie: str, token: str) -> bool:
        """Whether a form was made by this page for this browser."""
        return bool(cookie) and hmac.compare_digest(self.form_token(cookie).encode(), token.encode())

    def _name(self, token: str) -> str:
        return hashlib.sha256(token.encode()).hexdigest()

    def _lives(self, session: _Session, now: float) -> bool:
        return now - session.seen < IDLE_SECONDS and now - session.began < LONGEST_SECONDS
