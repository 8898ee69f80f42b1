"""The manager's page as one web application, and how it is served."""

from __future__ import annotations

import socket
from importlib.resources import files
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from assistant.errors import InputError, KitchenError, in_words
from assistant.manager import copies_pages, say_page, set_up_pages
from assistant.manager import reading_pages as read
from assistant.manager import writing_pages as write
from assistant.manager.desk import Desk
from assistant.manager.guard import LOOPBACK, Guard
from assistant.manager.in_force import InForce, Load
from assistant.manager.night_shift import NightShift
from assistant.manager.pin import TryLimit, pin_is_set
from assistant.manager.render import Pages
from assistant.manager.sessions import Sessions
from assistant.manager.site_file import SiteFile
from assistant.manager.talk import Talk

_SENTENCES = {404: "There is no such page.", 405: "That page takes no form."}


def build(
    desk: Desk,
    pin_folder: Path,
    *,
    loopback: bool = True,
    sessions: Sessions | None = None,
    site_file: Path | None = None,
    by_night: bool = False,
    load: Load | None = None,
    talk: Talk | None = None,
) -> ASGIApp:
    """Return the application. ``pin_folder`` holds the PIN if one is set; ``loopback`` as in ``Guard``.

    ``by_night`` makes backups and checks by itself, with the kitchen's ``site_file``. ``load`` reads that
    file again, so that the kitchen can be set up on the page; ``talk`` takes typed words.
    """
    sessions = sessions or Sessions()
    pages = Pages(desk, sessions)
    app = Starlette(
        routes=_routes(),
        exception_handlers={
            KitchenError: _kitchen_fault, HTTPException: _http_fault, Exception: _unexpected,
        },
    )  # fmt: skip
    app.state.pages = pages
    pages.in_force = InForce(desk, SiteFile(site_file) if site_file else None, load)
    pages.talk = talk
    pages.night = NightShift(desk, pages.proof, site_file)
    if by_night:
        pages.night.begin()
    tries = app.state.tries = TryLimit()
    app.state.pin_folder = pin_folder
    return Guard(
        app, sessions=sessions, tries=tries, folder=pin_folder, loopback=loopback, refuse=pages.refuse,
        today=lambda: desk.clock.now().date().isoformat(),
    )  # fmt: skip


def serve(
    desk: Desk,
    pin_folder: Path,
    listening: socket.socket,
    *,
    loopback: bool,
    certificate: Path | None = None,
    key: Path | None = None,
    proxy: str = "",
    site_file: Path | None = None,
    load: Load | None = None,
    talk: Talk | None = None,
) -> None:
    """Serve the page on an open socket until it is stopped.

    ``proxy`` is the address of a proxy that is believed when it says who asks, and over what.
    """
    import uvicorn

    from assistant.manager.connections import protocol

    config = uvicorn.Config(
        build(
            desk, pin_folder, loopback=loopback and not proxy, site_file=site_file, by_night=True, load=load,
            talk=talk,
        ),
        log_level="warning", server_header=False,
        proxy_headers=bool(proxy), forwarded_allow_ips=proxy or None, http=protocol(proxy), ws="none",
        h11_max_incomplete_event_size=32 * 1024, timeout_keep_alive=10, limit_concurrency=200,
        ssl_certfile=certificate, ssl_keyfile=key, lifespan="off",
    )  # fmt: skip
    uvicorn.Server(config).run(sockets=[listening])


def listen(host: str, port: int, pin_folder: Path, proxy: str = "") -> socket.socket:
    """Return a listening socket; raises ``InputError`` for the network without a PIN, or a port in use."""
    check_address(proxy or host, pin_folder, behind_proxy=bool(proxy))
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family)
    except (OSError, OverflowError) as error:
        reason = in_words(error) if isinstance(error, OSError) else "there is no such port"
        raise InputError(
            f"The page cannot be opened at {host} port {port} ({reason}); choose another with --port."
        ) from None


def check_address(host: str, pin_folder: Path, *, behind_proxy: bool = False) -> None:
    """Raise ``InputError`` unless the page stays on this machine or a PIN is set."""
    if (behind_proxy or host not in LOOPBACK) and not pin_is_set(pin_folder):
        raise InputError(
            f"The page is not opened at {host} without a PIN; run 'kitchen manager set-pin' first."
        )


def _routes() -> list[Route | Mount]:
    static = StaticFiles(directory=str(files("assistant.manager") / "static"))
    number = "{number:int}"
    return [
        Route("/", read.today),
        Route("/log", read.log),
        Route(f"/entry/{number}", read.entry),
        Route(f"/clip/{number}", read.clip),
        Route("/week", read.week_page),
        Route("/place", read.one_place),
        Route("/places", read.place_charts),
        Route("/cooling", read.cooling),
        Route("/kitchen", read.kitchen),
        Route("/phrases", read.phrases),
        Route("/worth", read.worth),
        Route("/actions", write.actions),
        Route("/actions/close", write.with_form(write.close_actions), methods=["POST"]),
        Route("/note", write.with_form(write.add_note), methods=["POST"]),
        Route(f"/actions/{number}", write.with_form(write.close_action), methods=["POST"]),
        Route("/review", write.review, methods=["GET"]),
        Route("/review", write.with_form(write.sign_off), methods=["POST"]),
        Route("/record", write.record, methods=["GET"]),
        Route("/record", write.with_form(write.check_record), methods=["POST"]),
        Route("/pin", write.ask_pin, methods=["GET"]),
        Route("/pin", write.with_form(write.try_pin), methods=["POST"]),
        Route("/language", read.choose_language),
        Route("/head", read.head_now),
        Route("/copies", copies_pages.copies, methods=["GET"]),
        Route("/copies", write.with_form(copies_pages.back_up), methods=["POST"]),
        Route("/report.pdf", copies_pages.report),
        Route("/log.csv", copies_pages.spreadsheet),
        Route("/say", say_page.say, methods=["GET"]),
        Route("/say", write.with_form(say_page.take), methods=["POST"]),
        Route("/set-up", set_up_pages.overview, methods=["GET"]),
        Route("/set-up/test", write.with_form(set_up_pages.try_alerts), methods=["POST"]),
        Route("/set-up/usual", write.with_form(set_up_pages.usual), methods=["POST"]),
        Route("/set-up/{section}/{which}", set_up_pages.form, methods=["GET"]),
        Route("/set-up/{section}/{which}", write.with_form(set_up_pages.send), methods=["POST"]),
        Route("/leave", write.with_form(write.leave), methods=["POST"]),
        Mount("/static", static),
    ]


def _kitchen_fault(request: Request, error: Exception) -> Response:
    assert isinstance(error, KitchenError)
    pages: Pages = request.app.state.pages
    return pages.fault(request, error)


def _http_fault(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    pages: Pages = request.app.state.pages
    sentence = _SENTENCES.get(error.status_code, "That request cannot be answered.")
    return pages.refuse(request, error.status_code, sentence)


def _unexpected(request: Request, error: Exception) -> Response:
    pages: Pages = request.app.state.pages
    sentence = (
        "Something went wrong here; nothing was logged by it. Load the page again, or look at 'kitchen log'."
    )
    return pages.refuse(request, 500, sentence)
