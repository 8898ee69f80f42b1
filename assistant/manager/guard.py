"""What stands before every page: host, size, PIN and session checks; security headers on every answer."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from assistant.manager.pin import TryLimit, pin_is_set, pins_mark
from assistant.manager.sessions import FORM_COOKIE, SESSION_COOKIE, Sessions

LARGEST_FORM = 64 * 1024
LOOPBACK = ("127.0.0.1", "localhost", "::1")
OPEN_PATHS = ("/pin", "/static/")
REFRESH = "x-refresh"
"""Sent by a page that looks for new entries by itself: that keeps no session open."""
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'self';"
        " img-src 'self'; media-src 'self'; form-action 'self';"
        " frame-ancestors 'none'; base-uri 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}
Refusal = Callable[[Request, int, str], Response]


class Guard:
    """Wraps the pages. With ``loopback`` only requests that name this machine are answered.

    That keeps a web page elsewhere from reaching the log through a name that it made point here.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        sessions: Sessions,
        tries: TryLimit,
        folder: Path,
        loopback: bool,
        refuse: Refusal,
        today: Callable[[], str],
    ) -> None:
        """``folder`` is where the PINs are kept; ``refuse`` makes the page for a refusal.

        Once a PIN was seen the page stays locked, also when its file is gone.
        """
        self._tries = tries
        self._today = today
        self._mark = pins_mark(folder)
        self._locked = pin_is_set(folder)
        self._app = app
        self._sessions = sessions
        self._folder = folder
        self._loopback = loopback
        self._refuse = refuse

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer or refuse one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope, receive)
        request.state.form_cookie = request.cookies.get(FORM_COOKIE, "")
        mark = pins_mark(self._folder)
        if mark != self._mark:
            self._mark = mark
            self._tries.forget()
        self._locked = self._locked or bool(mark)
        request.state.pins_mark = mark
        request.state.pin_set = self._locked
        request.state.pin_gone = self._locked and not mark
        token = request.cookies.get(SESSION_COOKIE, "")
        request.state.who = (
            self._sessions.who(token, mark, self._today(), renew=REFRESH not in request.headers)
            if mark
            else None
        )
        request.state.signed_in = request.state.who is not None
        request.state.session = token if request.state.signed_in else ""
        fresh = "" if request.state.form_cookie else secrets.token_urlsafe(32)
        request.state.form_cookie = request.state.form_cookie or fresh
        answer = await run_in_threadpool(self._objection, request)

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                self._finish(MutableHeaders(scope=message), request, fresh)
            await send(message)

        try:
            await (answer or self._app)(scope, receive, sending)
        except ClientDisconnect:  # whoever asked is gone: nothing to answer, nothing was logged
            return

    def _objection(self, request: Request) -> Response | None:
        host = _host_only(request.headers.get("host", ""))
        if "transfer-encoding" in request.headers:
            return self._refuse(
                request, 413, "That form does not say how long it is; send it from this page."
            )
        if self._loopback and host not in LOOPBACK:
            return self._refuse(
                request, 421, "This page answers only to the name of this machine: localhost."
            )
        if request.method not in ("GET", "HEAD", "POST"):
            return self._refuse(request, 405, "This page can only be read, or sent a form.")
        if request.method == "POST" and not _small(request.headers):
            return self._refuse(request, 413, "That form is too long; write less.")
        path = request.url.path
        if request.state.pin_set and not request.state.signed_in and not path.startswith(OPEN_PATHS):
            wanted = path + (f"?{request.url.query}" if request.url.query else "")
            target = f"/pin?next={quote(wanted)}" if request.method == "GET" and path != "/" else "/pin"
            return RedirectResponse(target, status_code=303)
        return None

    def _finish(self, headers: MutableHeaders, request: Request, fresh: str) -> None:
        for name, value in HEADERS.items():
            headers.setdefault(name, value)
        if request.url.path.startswith("/static/"):
            headers["Cache-Control"] = "max-age=3600"
        elif fresh:
            headers.append("set-cookie", cookie(FORM_COOKIE, fresh, request))


def cookie(name: str, value: str, request: Request, *, gone: bool = False) -> str:
    """Return a cookie's header: for this page only, out of reach of scripts and other sites."""
    secure = "; Secure" if request.url.scheme == "https" else ""
    return f"{name}={value}; Path=/; HttpOnly; SameSite=Strict{secure}" + ("; Max-Age=0" if gone else "")


def _host_only(host: str) -> str:
    if host.startswith("["):
        return host[1:].partition("]")[0]
    return host.partition(":")[0].lower()


def _small(headers: Headers) -> bool:
    """Whether a form states its length and that is small enough; none in pieces of unknown size."""
    length = headers.get("content-length", "")
    return length.isdecimal() and int(length) <= LARGEST_FORM
