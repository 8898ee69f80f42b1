"""The box for typed words: the same road as spoken ones, with the answer beside it."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from assistant.errors import InputError, LogWriteError
from assistant.manager.render import Pages
from assistant.manager.words import text_of
from assistant.manager.writing_pages import Form, need

LONGEST = 400


def say(request: Request) -> Response:
    """The box, and this browser's last turns."""
    pages: Pages = request.app.state.pages
    if pages.talk is None:
        raise InputError("Words are taken on the kitchen's own page, not here.")
    need(request, "tell")
    return pages.show(request, "say", turns=pages.talk.before(_browser(request)), longest=LONGEST)


def take(request: Request, form: Form) -> Response:
    """Take one typed turn."""
    pages: Pages = request.app.state.pages
    if pages.talk is None:
        raise InputError("Words are taken on the kitchen's own page, not here.")
    need(request, "tell")
    words = text_of(form, "words", "what you would say")
    who = request.state.who
    try:
        pages.talk.say(_browser(request), who.name if who else "", words)
    except LogWriteError as error:
        pages.refused_write = str(error)
        raise
    return RedirectResponse("/say#last", status_code=303)


def _browser(request: Request) -> str:
    """Return what tells this browser (and who is signed in on it) from others."""
    return f"{request.state.form_cookie} {request.state.session}"
