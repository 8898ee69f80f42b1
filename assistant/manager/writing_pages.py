"""The pages with forms: the PIN, closing an action, signing off, checking the record."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from assistant.errors import InputError, LogWriteError
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from assistant.manager import words
from assistant.manager.desk import LocalDesk
from assistant.manager.guard import cookie
from assistant.manager.pin import TryLimit, pin_matches
from assistant.manager.reading_pages import SHOWN_MOST, SUMMARY_MOST
from assistant.manager.render import Pages
from assistant.manager.reviews import days_signed, reviews_of
from assistant.manager.sessions import SESSION_COOKIE
from assistant.site import Site

REVIEW_DAYS = 14
MOST_CHECKED = 200_000
ENGINE = "page"
"""What stands in an entry's ``engine`` when it was written here and not spoken."""

Form = dict[str, str]
Writer = Callable[[Request, Form], Response]


def with_form(write: Writer) -> Callable[[Request], Any]:
    """Read the form, see that this page made it for this browser, then write in a thread of its own."""

    async def handle(request: Request) -> Response:
        pages: Pages = request.app.state.pages
        async with request.form(max_files=0, max_fields=12) as data:
            form = {name: value for name, value in data.items() if isinstance(value, str)}
        if not pages.sessions.form_is_ours(request.state.form_cookie, form.get("token", "")):
            sentence = (
                "That form is too old or not from this page: go back, load the page again, send it again."
            )
            return await run_in_threadpool(pages.refuse, request, 403, sentence)
        return await run_in_threadpool(write, request, form)

    return handle


def append(request: Request, draft: Draft) -> None:
    """Log one entry; a fault stays on every page until the log can be written again."""
    pages: Pages = request.app.state.pages
    try:
        pages.desk.append(draft)
    except LogWriteError as error:
        pages.refused_write = str(error)
        raise


def signers(site: Site) -> list[str]:
    """Return who may sign, managers first."""
    order = {"manager": 0, "lead": 1, "cook": 2}
    return [person.name for person in sorted(site.people, key=lambda person: order[person.role])]


def actions(request: Request) -> Response:
    """Corrective actions that nothing has closed, each with what opened it."""
    pages: Pages = request.app.state.pages
    desk = pages.desk
    kitchen = request.query_params.get("kitchen", "") if desk.office else ""
    with desk.views(kitchen) as views:
        page = views.lines(Filter(open=True), limit=SUMMARY_MOST)
        listed: list[tuple[Line, Line | None]] = []
        for line in page.lines:
            cause = line.entry.refers_to
            listed.append((line, views.line(cause, line.site if desk.office else "") if cause else None))
    closed = request.query_params.get("closed", "")
    return pages.show(
        request, "actions", lines=listed, more=page.next is not None, signers=signers(desk.site),
        done=f"Action {closed} is closed." if closed.isdecimal() else "",
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def close_action(request: Request, form: Form) -> Response:
    """Close one action with a name and a note."""
    desk = request.app.state.pages.desk
    person = words.text_of(form, "person", "your name")
    note = words.text_of(form, "note", "what was done, in a few words", shortest=3)
    number = int(request.path_params["number"])
    with desk.views() as views:
        line = views.line(number) if number < 1 << 62 else None
    if line is None or line.entry.kind != "action_opened":
        raise InputError(f"There is no corrective action {number}.")
    if not line.open:
        raise InputError(f"Action {number} is closed already; look at it in the log.")
    append(request, Draft(
        kind="action_closed", subject=line.now.subject, measured=line.now.measured, refers_to=number,
        person=person, note=note, engine=ENGINE,
    ))  # fmt: skip
    return RedirectResponse(f"/actions?closed={number}", status_code=303)


def review(request: Request) -> Response:
    """The last days with who signed them, and one of them to sign."""
    pages: Pages = request.app.state.pages
    desk, asked = pages.desk, request.query_params
    last = desk.clock.now().date()
    day = words.day_of(asked.get("day", ""), last)
    kitchen = asked.get("kitchen", "") if desk.office else ""
    days = []
    with desk.views(kitchen) as views:
        span = Filter(first_day=last - timedelta(days=REVIEW_DAYS - 1))
        signed: dict[str, list[str]] = {}
        for line in views.each(replace(span, kinds=("review",), standing_only=True)):
            for each in days_signed(line):
                signed.setdefault(each, []).append(line.now.person)
        for number in range(REVIEW_DAYS):
            each_day = last - timedelta(days=number)
            count = views.count(replace(Filter.on(each_day), amendments=True))
            days.append((each_day, count, list(dict.fromkeys(signed.get(each_day.isoformat(), ())))))
        reviews = reviews_of(views, day)
        summary = views.day(day, limit=SUMMARY_MOST)
    return pages.show(
        request, "review", day=day, days=days, summary=summary, reviews=reviews, shown_most=SHOWN_MOST,
        signers=signers(desk.site), done="Signed off." if asked.get("signed") else "",
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def sign_off(request: Request, form: Form) -> Response:
    """Add the entry of a review: reviewer, day, number of entries, open actions."""
    desk = request.app.state.pages.desk
    day = words.day_of(form.get("day", ""), desk.clock.now().date())
    if day > desk.clock.now().date():
        raise InputError(f"{day} is still to come; sign it when it is over.")
    person = words.text_of(form, "person", "your name")
    remark = words.text_of(form, "note", "the remark", shortest=0)
    with desk.views() as views:
        count = views.count(replace(Filter.on(day), amendments=True))
        still_open = views.count(Filter(open=True))
    if form.get("seen", "").isdecimal() and int(form["seen"]) != count:
        raise InputError(
            f"Since you opened the page, {day} went from {form['seen']} to {count} entries; look again."
        )
    note = f"reviewed {day}: {count} entries, {still_open} open"
    note += "" if request.state.signed_in else "; name not checked, no PIN set"
    append(request, Draft(
        kind="review", subject=day.isoformat(), person=person, engine=ENGINE,
        note=f"{note}; {remark}" if remark else note,
    ))  # fmt: skip
    return RedirectResponse(f"/review?{urlencode({'day': day.isoformat(), 'signed': 1})}", status_code=303)


def record(request: Request) -> Response:
    """What is recorded, and the chain head."""
    pages: Pages = request.app.state.pages
    return pages.show(request, "record", report=None, **_record(pages))


def check_record(request: Request, form: Form) -> Response:
    """Check every entry and clip, where that takes seconds."""
    pages: Pages = request.app.state.pages
    shown_values = _record(pages)
    if not isinstance(pages.desk, LocalDesk) or shown_values["too_long"]:
        raise InputError("Check this log with the command 'kitchen log verify'.")
    report = pages.desk.check()
    pages.proof.tell(report)
    return pages.show(request, "record", report=report, **shown_values)


def _record(pages: Pages) -> dict[str, Any]:
    desk = pages.desk
    if desk.office:
        return {"head": None, "too_long": True, "kitchens": desk.kitchens()}
    with desk.views() as views:
        head = views.head()
    return {"head": head, "too_long": head.count > MOST_CHECKED}


def ask_pin(request: Request) -> Response:
    """The page that asks for the PIN."""
    pages: Pages = request.app.state.pages
    if not request.state.pin_set or request.state.signed_in:
        return RedirectResponse("/", status_code=303)
    return pages.show(request, "pin", next=_local(request.query_params.get("next", "/")), fault="")


def try_pin(request: Request, form: Form) -> Response:
    """Open a session for the right PIN; a wrong one costs time."""
    pages: Pages = request.app.state.pages
    limit: TryLimit = request.app.state.tries
    address = request.client.host if request.client else ""
    target = _local(form.get("next", "/"))
    wait = limit.attempt(address)
    if wait:
        minutes = int(wait // 60) + 1
        return pages.show(
            request, "pin", status=429, next=target,
            fault=f"Too many wrong PINs; wait {minutes} minute{'s' if minutes > 1 else ''}, then try again.",
        )  # fmt: skip
    if not pin_matches(request.app.state.pin_folder, form.get("pin", "")):
        return pages.show(request, "pin", status=403, next=target, fault="That is not the PIN; try again.")
    limit.right(address)
    answer = RedirectResponse(target, status_code=303)
    answer.headers.append("set-cookie", cookie(SESSION_COOKIE, pages.sessions.begin(), request))
    return answer


def leave(request: Request, form: Form) -> Response:
    """End the session."""
    request.app.state.pages.sessions.end(request.cookies.get(SESSION_COOKIE, ""))
    answer = RedirectResponse("/pin", status_code=303)
    answer.headers.append("set-cookie", cookie(SESSION_COOKIE, "", request, gone=True))
    return answer


def _local(target: str) -> str:
    """Return an address of this page, never one of another machine."""
    fine = target.startswith("/") and not target.startswith(("//", "/\\")) and target.isprintable()
    return target if fine and len(target) < 500 else "/"
