"""The pages that only read: today, the log, one entry, places, cooling, the kitchen, phrases, hints."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import islice

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from assistant.errors import InputError
from assistant.logbook.query import Filter
from assistant.logbook.settle import AMENDING
from assistant.logbook.views import Line, Page, Views
from assistant.manager import cooling_batches, places, rounds, shown, week, words, worth_a_look
from assistant.manager.changes import changed_in, changes_of, original
from assistant.manager.guard import cookie
from assistant.manager.houses import houses
from assistant.manager.notes import notes_of_day, notes_on
from assistant.manager.phrase_card import phrase_card
from assistant.manager.render import LANGUAGE_COOKIE, Pages
from assistant.manager.reviews import reviews_of, signed_by, signers
from assistant.manager.round_times import dues_of
from assistant.manager.running import running as running_clocks
from assistant.manager.spans import WORDS as DAY_WORDS
from assistant.manager.spans import span_of_log
from assistant.manager.stories import story_of
from assistant.manager.texts import LANGUAGES
from assistant.manager.worth_patterns import Undone, undone_of
from assistant.rules.cooling import CoolingLimits
from assistant.rules.profile import limit_tables
from assistant.rules.tables import read_table
from intents.catalogue import load_catalogue

SHOWN_MOST = 12
SUMMARY_MOST = 200
PAGE_LINES = 50
MOST_SEARCHED = 1000
OPEN_DAYS = 92
"""So far back an action is looked for that was still open on a past day."""
_CLOCKS_CHANGE = timedelta(hours=2)
"""So far the offset from UTC of a past day may differ from today's."""
MOST_READINGS = 20_000


def today(request: Request) -> Response:
    """One day at a glance: open actions, fails and blanks first."""
    pages: Pages = request.app.state.pages
    desk, asked = pages.desk, request.query_params
    now = desk.clock.now()
    day = words.day_of(asked.get("day", ""), now.date())
    kitchen = asked.get("kitchen", "") if desk.office else ""
    with desk.views(kitchen) as views:
        summary = views.day(day, limit=SUMMARY_MOST)
        signed = signed_by(reviews_of(views, day)) if kitchen or not desk.office else ()
        lines = [] if desk.office and not kitchen else list(views.each(Filter.on(day)))
        recent = _cooling(views, day - timedelta(days=1), day) if lines else []
        clocks = list(views.each(_clocks(day))) if lines else []
        span = span_of_log(views, now.date())
        was_open, open_count = summary.open, str(summary.open_in_all)
        if day < now.date():
            was_open, open_count = _open_then(views, day, now, many=desk.office and not kitchen)
        failed = [(line, story_of(views, line)) for line in summary.failed[:SHOWN_MOST]]
        changes = changed_in(views, Filter.on(day), lines) if lines else ()
        notes = notes_of_day(views, day) if kitchen or not desk.office else []
    batches = cooling_batches.batches_of(recent, desk.site, now)
    running = [batch for batch in batches if batch.next_due and batch.verdict == "cannot judge"]
    day_state = span.state(day)
    site = desk.site_of(kitchen)
    known = (
        ()
        if (desk.office and not kitchen) or day_state
        else rounds.rounds_of(lines, site, over=day < now.date(), closed=site.kitchen.closed_on(day))
    )
    return pages.show(
        request, "today", day=day, today=now.date(), before=day - timedelta(days=1), now=now,
        after=day + timedelta(days=1), summary=summary, rounds=known,
        dues=dues_of(lines, site, day, now) if known else (), round_rule=rounds.RULE,
        closed=site.kitchen.closed_on(day), place_names=site, failed=failed, changes=changes,
        was_open=was_open, open_count=open_count,
        day_words=DAY_WORDS[day_state],
        signed=signed, shown_most=SHOWN_MOST, running=running if day == now.date() else [],
        notes=notes, signers=signers(desk.site),
        clocks=running_clocks(clocks, desk.site.profile, now) if day == now.date() else (),
        kitchens=desk.kitchens() if desk.office else (),
        houses=houses(desk, pages.proof, day) if desk.office and not kitchen else (),
    )  # fmt: skip


def _open_then(views: Views, day: date, now: datetime, *, many: bool) -> tuple[tuple[Line, ...], str]:
    """Return the actions that were open when a past day ended, and how many: "200+" where more were.

    Of ``many`` kitchens only so many actions are looked through, and the count says so, too.
    """
    ended = datetime.combine(day + timedelta(days=1), time(), now.tzinfo)
    wanted = Filter(
        first_day=day - timedelta(days=OPEN_DAYS), last_day=day, kinds=("action_opened",),
        open_after=0 if many else views.made_until(ended - _CLOCKS_CHANGE),
    )  # fmt: skip
    found: list[Line] = []
    for number, line in enumerate(views.each(wanted)):
        if len(found) == SUMMARY_MOST or (many and number == MOST_SEARCHED):
            return tuple(found), f"{len(found)}+"
        closing = views.line(line.closed_by, line.site) if line.closed_by else None
        if line.open or (closing is not None and closing.entry.at_local[:10] > day.isoformat()):
            found.append(line)
    return tuple(found), str(len(found))


def choose_language(request: Request) -> Response:
    """Show this browser the pages in a language from here on."""
    to = request.query_params.get("to", "")
    answer = RedirectResponse("/", status_code=303)
    if to in LANGUAGES:
        answer.headers.append("set-cookie", cookie(LANGUAGE_COOKIE, to, request))
    return answer


def head_now(request: Request) -> Response:
    """What changes when a page shows something new: the chain's head, and the minutes in steps of five."""
    pages: Pages = request.app.state.pages
    return Response(pages.state_now(), media_type="text/plain", headers={"Cache-Control": "no-store"})


def log(request: Request) -> Response:
    """The log with its filters, a page at a time."""
    pages: Pages = request.app.state.pages
    desk = pages.desk
    query = words.log_query(request.query_params, desk.clock.now().date())
    with desk.views(query.wanted.site if desk.office else "") as views:
        page, further = _page_of(views, query)
        count = len(page.lines) if query.said else views.count(query.wanted)
        known = (views.values_of("subject"), views.values_of("person"), views.values_of("item"))
    words_of_count = f"{count} entr{'y' if count == 1 else 'ies'} fit{'s' if count == 1 else ''}."
    if further:
        words_of_count = f"{count} of the {further} entries looked at so far fit; go on with the next page."
    return pages.show(
        request, "log", page=page, query=query, asked=query.asked, asked_after=bool(query.after),
        places=known[0], people=known[1], foods=known[2], kinds=words.KINDS, kind_words=shown.KIND_WORDS,
        count_words=words_of_count if count else "Nothing fits.",
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def _page_of(views: Views, query: words.LogQuery) -> tuple[Page, int]:
    """Return a page of the log, and how many entries were looked at where words are looked for in more.

    Words are looked for a thousand entries at a time, so that a page comes soon over any number of them.
    """
    if not query.said:
        page = views.lines(query.wanted, limit=PAGE_LINES, after=query.after, newest_first=query.newest_first)
        return page, 0
    page = views.lines(query.wanted, limit=MOST_SEARCHED, after=query.after, newest_first=query.newest_first)
    found = tuple(line for line in page.lines if query.holds(line))
    return Page(found, page.next), len(page.lines) if page.next else 0


def entry(request: Request) -> Response:
    """One entry, with all that is stored of it."""
    pages: Pages = request.app.state.pages
    line = line_asked_for(request)
    if line is None:
        return pages.refuse(request, 404, f"There is no entry {request.path_params['number']} in this log.")
    with pages.desk.views(line.site if pages.desk.office else "") as views:
        story, notes = story_of(views, line), notes_on(views, line)
        root = original(views, line) if line.entry.kind in AMENDING else None
    stored = line.entry.model_dump(mode="json")
    stored["limits"] = shown.limits(line.entry.limits)
    stored["clip"] = f"{line.entry.clip.path}, SHA-256 {line.entry.clip.sha256}" if line.entry.clip else ""
    facts = [
        (key.replace("_", " "), value) for key, value in stored.items() if value not in ("", None, False)
    ]
    return pages.show(
        request, "entry", line=line, notes=notes, signers=signers(pages.desk.site),
        facts=facts, story=story, root=root, changes=changes_of([line]),
        now=pages.desk.clock.now(), lacks_sound=bool(line.entry.clip) and pages.desk.sound(line) is None,
    )  # fmt: skip


def line_asked_for(request: Request) -> Line | None:
    """Return the line that an address names, or ``None``."""
    desk = request.app.state.pages.desk
    kitchen = request.query_params.get("kitchen", "") if desk.office else ""
    if desk.office and not kitchen:
        raise InputError("The address names no kitchen; open the entry from the log.")
    number = int(request.path_params["number"])
    with desk.views(kitchen) as views:
        found: Line | None = views.line(number) if number < 1 << 62 else None
    return found


def clip(request: Request) -> Response:
    """The recording of one entry, if its bytes are those that were logged."""
    import hashlib

    pages: Pages = request.app.state.pages
    line = line_asked_for(request)
    sound = pages.desk.sound(line) if line else None
    if line is None or line.entry.clip is None or sound is None:
        return pages.refuse(request, 404, "There is no recording of that entry here.")
    if hashlib.sha256(sound).hexdigest() != line.entry.clip.sha256:
        return pages.refuse(request, 409, "That recording was changed after it was logged: it is not played.")
    return _ranged(request, sound)


def _ranged(request: Request, sound: bytes) -> Response:
    """Answer with a part where the player asks for one (``bytes=first-last``), as seeking needs it."""
    headers = {"Accept-Ranges": "bytes", "Cache-Control": "no-store"}
    unit, _, span = request.headers.get("range", "").partition("=")
    first, _, last = span.partition("-")
    if unit != "bytes" or not first.isdecimal() or (last and not last.isdecimal()) or len(first + last) > 20:
        return Response(sound, media_type="audio/flac", headers=headers)
    start, end = int(first), min(int(last) if last else len(sound) - 1, len(sound) - 1)
    if start > end:
        return Response(b"", 416, {"Content-Range": f"bytes */{len(sound)}"})
    headers["Content-Range"] = f"bytes {start}-{end}/{len(sound)}"
    return Response(sound[start : end + 1], 206, headers, "audio/flac")


def place_charts(request: Request) -> Response:
    """Each place's readings over time."""
    pages: Pages = request.app.state.pages
    desk, asked = pages.desk, request.query_params
    now = desk.clock.now()
    first, last = words.short_span_of(asked, now.date(), 7)
    kitchen = asked.get("kitchen", "") if desk.office else ""
    choose = desk.office and not kitchen
    lines: list[Line] = []
    if not choose:
        with desk.views(kitchen) as views:
            lines = _readings(views, first, last)
    begin, end = axis(first, last, now)
    series = places.series_of(lines, desk.site)
    drawn = [(each, places.chart_of(each, begin, end) if len(each.lines) > 1 else None) for each in series]
    return pages.show(
        request, "places", series=drawn, first=first, last=last, choose=choose,
        cut=MOST_READINGS if len(lines) >= MOST_READINGS else 0,
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def one_place(request: Request) -> Response:
    """A place's own page: four weeks of each measurement, what failed, and what came of it."""
    pages: Pages = request.app.state.pages
    desk, asked = pages.desk, request.query_params
    now, name = desk.clock.now(), asked.get("name", "")
    first, last = words.short_span_of(asked, now.date(), 28)
    kitchen = asked.get("kitchen", "") if desk.office else ""
    if desk.office and not kitchen:
        raise InputError("The address names no kitchen; open the place from its kitchen's page.")
    wanted = Filter(first_day=first, last_day=last, subject=name, kinds=("reading",), standing_only=True)
    with desk.views(kitchen) as views:
        lines = list(islice(views.each(wanted), MOST_READINGS))
        failed = [line for line in reversed(lines) if line.now.verdict == "fail"]
        told = [(line, story_of(views, line)) for line in failed[:SHOWN_MOST]]
    begin, end = axis(first, last, now)
    series = places.series_of(lines, desk.site)
    drawn = [(each, places.chart_of(each, begin, end) if len(each.lines) > 1 else None) for each in series]
    return pages.show(
        request, "place", name=name, series=drawn, first=first, last=last, failed=told, count=len(failed),
        now=now, warning=week.warning_of(lines, now.date()),
    )  # fmt: skip


def week_page(request: Request) -> Response:
    """A week at a glance: places by days, worst first, beside the week before."""
    pages: Pages = request.app.state.pages
    desk, asked = pages.desk, request.query_params
    today = desk.clock.now().date()
    day = words.day_of(asked.get("day", ""), today)
    monday = day - timedelta(days=day.weekday())
    kitchen = asked.get("kitchen", "") if desk.office else ""
    choose = desk.office and not kitchen
    days = [monday + timedelta(days=number) for number in range(7)]
    rows: tuple[week.Row, ...] = ()
    log = None
    if not choose:
        with desk.views(kitchen) as views:
            rows = week.rows_of(_readings(views, monday - timedelta(days=7), days[-1]), desk.site, monday)
            log = span_of_log(views, today, kitchen)
    return pages.show(
        request, "week", days=days, rows=rows, choose=choose, log=log, monday=monday,
        before=monday - timedelta(days=7), after=monday + timedelta(days=7), today=today,
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def axis(first: date, last: date, now: datetime) -> tuple[datetime, datetime]:
    """Return the ends of an axis of time for a span of local days."""
    begin = datetime.combine(first, time(), now.tzinfo)
    return begin, datetime.combine(last + timedelta(days=1), time(), now.tzinfo)


def cooling(request: Request) -> Response:
    """The batches that cooled in a span, with limits and the fitted curve."""
    pages: Pages = request.app.state.pages
    desk, asked = pages.desk, request.query_params
    now = desk.clock.now()
    first, last = words.short_span_of(asked, now.date(), 7)
    kitchen = asked.get("kitchen", "") if desk.office else ""
    choose = desk.office and not kitchen
    lines: list[Line] = []
    if not choose:
        with desk.views(kitchen) as views:
            lines = _cooling(views, first, last)
    found = cooling_batches.batches_of(lines, desk.site, now)
    drawn = [
        (batch, cooling_batches.chart_of(batch, desk.site) if len(batch.readings) > 1 else None)
        for batch in reversed(found)
    ]
    return pages.show(
        request, "cooling", batches=drawn, first=first, last=last, choose=choose,
        limits_text=cooling_limits(CoolingLimits.of(desk.site.profile)),
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def cooling_limits(limits: CoolingLimits) -> str:
    """Return the two stages in words, with their source."""
    start, middle, end = (
        shown.with_unit(shown.plain(limit.value), limit.unit)
        for limit in (limits.start, limits.middle, limits.end)
    )
    one, total = shown.plain(limits.stage_one.value), shown.plain(limits.total.value)
    source = f"{limits.total.citation.document}, {limits.total.citation.section}"
    return f"{start} to {middle} within {one} hours, {end} within {total} hours of the start ({source})"


def kitchen(request: Request) -> Response:
    """Equipment, products, people, rounds and figures in force."""
    pages: Pages = request.app.state.pages
    profile = pages.desk.site.profile
    groups = []
    for table in limit_tables():
        keys = dict.fromkeys(row["key"] for row in read_table(table))
        limits = [profile.limits[key] for key in keys if key in profile.limits]
        if limits:
            groups.append((table.partition("/")[2].replace("_", " "), limits))
    return pages.show(request, "kitchen", profile=profile, groups=groups)


def phrases(request: Request) -> Response:
    """The card of what can be said."""
    pages: Pages = request.app.state.pages
    card = phrase_card(load_catalogue(pages.desk.site.kitchen.language))
    return pages.show(request, "phrases", card=card)


def worth(request: Request) -> Response:
    """Signs of made-up readings, for the manager only: without a PIN there is no telling who looks."""
    pages: Pages = request.app.state.pages
    desk = pages.desk
    name = request.query_params.get("kitchen", "") if desk.office else ""
    last = desk.clock.now().date()
    first = last - timedelta(days=worth_a_look.DAYS - 1)
    who = request.state.who
    locked = not request.state.pin_set or (who is not None and not who.may("doubt"))
    choose = desk.office and not name
    lines: list[Line] = []
    undone: tuple[Undone, ...] = ()
    if not locked and not choose:
        with desk.views(name) as views:
            every = Filter(first_day=first, last_day=last, kinds=("reading",))
            said = list(islice(views.each(every), MOST_READINGS))
            lines, undone = [line for line in said if not line.withdrawn], undone_of(said)
    return pages.show(
        request, "worth", locked=locked, choose=choose, first=first, last=last, count=len(lines),
        hints=worth_a_look.look((line.now for line in lines), undone),
        kitchens=desk.kitchens() if desk.office else (),
    )  # fmt: skip


def _readings(views: Views, first: date, last: date) -> list[Line]:
    wanted = Filter(first_day=first, last_day=last, kinds=("reading",), standing_only=True)
    return list(islice(views.each(wanted), MOST_READINGS))


def _cooling(views: Views, first: date, last: date) -> list[Line]:
    """Return readings and clocks of cooling, and what may end one: reheats and discards."""
    span = Filter(first_day=first, last_day=last, standing_only=True)
    wanted = (
        replace(span, kinds=("reading", "clock"), measured="cooling"),
        replace(span, kinds=("reading",), measured="reheating"),
        replace(span, kinds=("discard",)),
    )
    found = [line for each in wanted for line in islice(views.each(each), MOST_READINGS)]
    return sorted(found, key=lambda line: (line.site, line.entry.id))


def _clocks(day: date) -> Filter:
    return Filter(
        first_day=day - timedelta(days=2), last_day=day, kinds=("clock", "discard"), standing_only=True
    )
