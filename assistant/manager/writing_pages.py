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
from assistant.logbook.query import Cursor, Filter
from assistant.logbook.signed_days import days_signed
from assistant.logbook.views import Line
from assistant.manager import words
from assistant.manager.desk import LocalDesk
from assistant.manager.guard import cookie
from assistant.manager.notes import note_draft, notes_of_day
from assistant.manager.people import Right, checked_name, find_person
from assistant.manager.pin import PEOPLE_NAME, TryLimit, pin_matches
from assistant.manager.reading_pages import SHOWN_MOST, SUMMARY_MOST
from assistant.manager.render import Pages
from assistant.manager.reviews import reviews_of, signers
from assistant.manager.sessions import SESSION_COOKIE, Who
from assistant.manager.stories import story_of

REVIEW_DAYS = 14
PAGE_ACTIONS = 25
MOST_CHECKED = 200_000
MOST_FIELDS = 400
"""Of a form: a round asks for every place of the kitchen."""
ENGINE = "page"
"""What stands in an entry's ``engine`` when it was written here and not spoken."""

Form = dict[str, str]
Writer = Callable[[Request, Form], Response]


def need(request: Request, right: Right) -> None:
    """Raise ``InputError`` unless whoever is signed in has a right; without a PIN everybody has all."""
    who: Who | None = request.state.who
    if who is not None and not who.may(right):
        raise InputError(f"That is not for the role '{who.role}'; ask a lead or the manager.")


def signature(request: Request, form: Form) -> tuple[str, str]:
    """Return whose name an entry carries and how sure that is ('' with a PIN of one's own)."""
    who: Who | None = request.state.who
    if who is not None and who.name:
        return who.name, ""
    name = checked_name(form.get("person", ""))
    return name, "name not checked, no PIN set" if who is None else "signed in with the manager's PIN"


def with_form(write: Writer) -> Callable[[Request], Any]:
    """Read the form, see that this page made it for this browser, then write in a thread of its own."""

    async def handle(request: Request) -> Response:
        pages: Pages = request.app.state.pages
        async with request.form(max_files=0, max_fields=MOST_FIELDS) as data:
            form = {name: value for name, value in data.items() if isinstance(value, str)}
        ours = pages.sessions.form_is_ours(
            request.state.form_cookie, form.get("token", ""), request.state.session
        )
        if not ours:
            sentence = (
                "That form is too old or not from this page: go back, load the page again, send it again."
            )
            return await run_in_threadpool(pages.refuse, request, 403, sentence)
        return await run_in_threadpool(write, request, form)

    return handle


def append(request: Request, *drafts: Draft, name: str = "") -> None:
    """Log a turn, all or nothing; a fault stays on every page until the log can be written again."""
    pages: Pages = request.app.state.pages
    try:
        pages.desk.append(*drafts, name=name)
    except LogWriteError as error:
        pages.refused_write = str(error)
        raise


def actions(request: Request) -> Response:
    """Corrective actions that nothing has closed, a page at a time, all or of one place."""
    pages: Pages = request.app.state.pages
    desk, asked = pages.desk, request.query_params
    kitchen, place = asked.get("kitchen", "") if desk.office else "", asked.get("place", "")
    after = Cursor.parse(asked["after"]) if asked.get("after") else None
    wanted = Filter(open=True, subject=place)
    with desk.views(kitchen) as views:
        page = views.lines(wanted, limit=PAGE_ACTIONS, after=after)
        listed = [(line, story_of(views, line)) for line in page.lines]
        count = views.count(wanted)
        subjects = views.tally(Filter(open=True), "subject")
        several = views.lines(wanted, limit=SUMMARY_MOST).lines
    together: dict[str, list[Line]] = {}
    for line in several:
        together.setdefault(line.now.subject, []).append(line)
    closed = asked.get("closed", "")
    return pages.show(
        request, "actions", lines=listed, count=count, place=place, signers=signers(desk.site),
        now=desk.clock.now(), paged=after is not None or page.next is not None,
        further=str(page.next) if page.next else "", begun=after is not None,
        in_all={subject: number for (subject,), number in subjects.items()},
        done=f"Action {closed} is closed." if closed.isdecimal() else _closed_together(request),
        together={subject: lines for subject, lines in together.items() if lines[1:]},
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def _closed_together(request: Request) -> str:
    count = request.query_params.get("together", "")
    return f"{count} actions are closed." if count.isdecimal() else ""


def close_action(request: Request, form: Form) -> Response:
    """Close one action with a name and a note."""
    number = int(request.path_params["number"])
    _close(request, form, [number])
    return RedirectResponse(f"/actions?closed={number}", status_code=303)


def close_actions(request: Request, form: Form) -> Response:
    """Close the ticked actions, which have one cause, with one name and note: all of them or none."""
    numbers = [int(name[7:]) for name in form if name.startswith("action:") and name[7:].isdecimal()]
    if not numbers:
        raise InputError("No action was ticked.")
    _close(request, form, sorted(numbers))
    return RedirectResponse(f"/actions?together={len(numbers)}", status_code=303)


def _close(request: Request, form: Form, numbers: list[int]) -> None:
    desk = request.app.state.pages.desk
    need(request, "close")
    person, how = signature(request, form)
    note = words.text_of(form, "note", "what was done, in a few words", shortest=3)
    note += f"; {how}" if how else ""
    drafts = []
    with desk.views() as views:
        for number in numbers:
            line = views.line(number) if number < 1 << 62 else None
            if line is None or line.entry.kind != "action_opened":
                raise InputError(f"There is no corrective action {number}.")
            if not line.open:
                raise InputError(f"Action {number} is closed already; look at it in the log.")
            drafts.append(Draft(
                kind="action_closed", subject=line.now.subject, measured=line.now.measured, refers_to=number,
                person=person, note=note, engine=ENGINE,
            ))  # fmt: skip
    append(request, *drafts)


def add_note(request: Request, form: Form) -> Response:
    """Add a note on an entry or a day; what it is about stays as it is."""
    desk = request.app.state.pages.desk
    need(request, "note")
    person, how = signature(request, form)
    text = words.text_of(form, "note", "the note", shortest=2)
    text += f"; {how}" if how else ""
    if number := form.get("entry", ""):
        with desk.views() as views:
            line = views.line(int(number)) if number.isdecimal() and len(number) < 18 else None
        if line is None:
            raise InputError(f"There is no entry {number[:20]} in this log.")
        append(request, note_draft(line, text, person, ENGINE))
        return RedirectResponse(f"/entry/{number}#notes", status_code=303)
    day = words.day_of(form.get("day", ""), desk.clock.now().date())
    append(request, note_draft(day, text, person, ENGINE))
    return RedirectResponse(f"/?day={day}#notes", status_code=303)


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
        reviews, notes = reviews_of(views, day), notes_of_day(views, day)
        summary = views.day(day, limit=SUMMARY_MOST)
    return pages.show(
        request, "review", day=day, days=days, summary=summary, reviews=reviews, notes=notes,
        shown_most=SHOWN_MOST, signers=signers(desk.site), done="Signed off." if asked.get("signed") else "",
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def sign_off(request: Request, form: Form) -> Response:
    """Add the entry of a review: reviewer, day, number of entries, open actions."""
    desk = request.app.state.pages.desk
    need(request, "sign")
    day = words.day_of(form.get("day", ""), desk.clock.now().date())
    if day > desk.clock.now().date():
        raise InputError(f"{day} is still to come; sign it when it is over.")
    person, how = signature(request, form)
    remark = words.text_of(form, "note", "the remark", shortest=0)
    with desk.views() as views:
        count = views.count(replace(Filter.on(day), amendments=True))
        still_open = views.count(Filter(open=True))
        first = views.first_day()
    if first is None or day < first:
        raise InputError(
            f"The log knows no {day}: it begins {f'on {first}' if first else 'with its first entry'}."
        )
    if form.get("seen", "").isdecimal() and int(form["seen"]) != count:
        raise InputError(
            f"Since you opened the page, {day} went from {form['seen']} to {count} entries; look again."
        )
    note = f"reviewed {day}: {count} entries, {still_open} open"
    note += f"; {how}" if how else ""
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
    if not request.state.pin_set or request.state.signed_in:
        return RedirectResponse("/", status_code=303)
    return _pin_page(request, _local(request.query_params.get("next", "/")))


def _pin_page(request: Request, target: str, fault: str = "", status: int = 200, name: str = "") -> Response:
    pages: Pages = request.app.state.pages
    folder = request.app.state.pin_folder
    gone = "The PIN's file is gone: set it again with 'kitchen manager set-pin' on this machine."
    return pages.show(
        request, "pin", status=status, next=target, name=name, people=(folder / PEOPLE_NAME).is_file(),
        fault=fault or (gone if request.state.pin_gone else ""),
    )  # fmt: skip


def try_pin(request: Request, form: Form) -> Response:
    """Open a session for the right PIN; a wrong one costs time."""
    pages: Pages = request.app.state.pages
    limit: TryLimit = request.app.state.tries
    address = request.client.host if request.client else ""
    target, name = _local(form.get("next", "/")), form.get("person", "").strip()
    if request.state.pin_gone:
        return _pin_page(request, target, status=403)
    wait = limit.attempt(address)
    if wait:
        minutes = int(wait // 60) + 1
        fault = (
            f"Too many wrong PINs; wait {minutes} minute{'s' if minutes > 1 else ''}, then try again. At the"
            " machine itself the page opens at once after 'kitchen manager set-pin'."
        )
        return _pin_page(request, target, fault, 429, name)
    who = _who(request, name, form.get("pin", ""))
    if who is None:
        return _pin_page(request, target, "That is not the PIN; try again.", 403, name)
    limit.right(address)
    answer = RedirectResponse(target, status_code=303)
    token = pages.sessions.begin(who, request.state.pins_mark)
    answer.headers.append("set-cookie", cookie(SESSION_COOKIE, token, request))
    return answer


def _who(request: Request, name: str, pin: str) -> Who | None:
    """Return whose PIN that is: without a name the manager's."""
    folder = request.app.state.pin_folder
    if not name:
        return Who() if pin_matches(folder, pin) else None
    today = request.app.state.pages.desk.clock.now().date()
    person = find_person(folder, name, pin, today)
    return Who(person.name, person.role, person.until) if person else None


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
