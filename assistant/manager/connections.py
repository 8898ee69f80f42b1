"""Keeps the page open for its owner when somebody holds connections open and says nothing.

A connection has a few seconds for each whole request. Where one address, or all together, hold too many,
the one that has been silent longest makes room for the new one, so nobody is locked out by being late.
"""

from __future__ import annotations

import asyncio
from typing import Any, cast

from uvicorn.protocols.http.h11_impl import H11Protocol

REQUEST_SECONDS = 15.0
"""So long may a request take to arrive in full, its form included."""
MOST_OF_ONE_ADDRESS = 24
MOST_IN_ALL = 120


class Crowd:
    """The connections that are open now, the longest silent first."""

    def __init__(
        self, of_one_address: int = MOST_OF_ONE_ADDRESS, in_all: int = MOST_IN_ALL, proxy: str = ""
    ) -> None:
        """``proxy`` is an address that many people come from: only the number in all counts for it."""
        self._of_one_address = of_one_address
        self._in_all = in_all
        self._proxy = proxy
        self._open: dict[PatientProtocol, str] = {}

    def enter(self, connection: PatientProtocol, address: str) -> None:
        """Take in a new connection; one that is silent makes room where there are too many."""
        same = [each for each, where in self._open.items() if where == address]
        if len(same) >= self._of_one_address and address != self._proxy:
            self._make_room(same)
        elif len(self._open) >= self._in_all:
            self._make_room(list(self._open))
        self._open[connection] = address

    def heard(self, connection: PatientProtocol) -> None:
        """A whole request came: this one goes to the end of the row."""
        if connection in self._open:
            self._open[connection] = self._open.pop(connection)

    def leave(self, connection: PatientProtocol) -> None:
        """Forget a connection that ended."""
        self._open.pop(connection, None)

    def _make_room(self, among: list[PatientProtocol]) -> None:
        waiting = [each for each in among if not each.busy]
        if waiting:
            waiting[0].hang_up()


class PatientProtocol(H11Protocol):
    """A connection that has to say something in time."""

    crowd = Crowd()
    """Of the server that this class was made for; see ``protocol``."""

    _limit: asyncio.TimerHandle | None = None

    @property
    def busy(self) -> bool:
        """Whether a request is being answered."""
        return self.cycle is not None and not self.cycle.response_complete

    def connection_made(self, transport: Any) -> None:
        """Begin to wait for a request."""
        super().connection_made(transport)
        self.crowd.enter(self, self.client[0] if self.client else "")
        self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop waiting."""
        self._stop()
        self.crowd.leave(self)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Take in a part; the time runs on until the request is whole."""
        if self._limit is None:
            self._wait()
        super().data_received(data)
        if self.cycle is not None and not self.cycle.more_body:
            self._stop()
            self.crowd.heard(self)

    def hang_up(self) -> None:
        """End the connection at once."""
        self._stop()
        self.crowd.leave(self)
        self.transport.abort()

    def _wait(self) -> None:
        self._limit = self.loop.call_later(REQUEST_SECONDS, self.hang_up)

    def _stop(self) -> None:
        if self._limit is not None:
            self._limit.cancel()
            self._limit = None


def protocol(proxy: str = "") -> type[asyncio.Protocol]:
    """Return the class of connections for one server."""
    made = type("PatientProtocol", (PatientProtocol,), {"crowd": Crowd(proxy=proxy)})
    return cast("type[asyncio.Protocol]", made)
