"""Draws the report for an inspector as a PDF."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from pathlib import Path

from assistant.logbook.entry import Entry
from assistant.logbook.views import Line
from assistant.manager import cooling_batches, places, shown
from assistant.manager.chart import Chart, Frame
from assistant.manager.exceptions_by_place import MANY, by_place
from assistant.manager.paper import BAD, QUIET, Paper
from assistant.manager.proof import TITLE, WHAT_TO_DO, alarm_of
from assistant.manager.report import Report
from assistant.manager.round_times import Due
from assistant.manager.rounds import RULE, RoundState
from assistant.site import Site

CAUTION = (
    "Verdicts follow the figures that were in force in this program when a reading was taken. The product"
    " label, the machine's data plate, the approved plan, the local health department and licensed practice"
    " decide; this record replaces none of them."
)
RECORDED = (
    "Only speech that was addressed to the assistant is kept. Entries are only ever added; corrections and"
    " withdrawals are entries of their own. The chain head stands for every entry up to it: with it"
    " anybody can check later that nothing was changed. It does not show that an entry was honest when made."
)
_SMALL = Frame(width=420, height=170, left=44, right=10, top=10, bottom=24, letter=6.6, text_height=8)
_GAP = 6.0
TIGHTER = (1.0, 0.95, 0.9, 0.86)
"""How much closer lines are set, one after the other, until the last page is no nearly empty one."""
LEAST_ON_LAST = 75.0
"""Millimetres from the top that the last page is filled to at least."""
MOST_TRIED = 40
"""Pages: a longer report is drawn once."""
_UNKNOWN = {
    "to come": "Days still to come",
    "removed": "Days whose entries were removed by the rule for how long they are kept",
    "before the log": "Days before the log began",
}


def write_report(
    report: Report, site: Site, path: Path, *, paper: str = "letter", readings: bool = False
) -> int:
    """Write the report to ``path``; ``readings`` adds a table of every reading. Returns the page count."""
    for tight in TIGHTER:
        page = _drawn(report, site, paper, tight, readings=readings)
        if page.page_no() == 1 or page.get_y() >= LEAST_ON_LAST or page.page_no() > MOST_TRIED:
            break
        page.close_fonts()
    else:
        page = _drawn(report, site, paper, 1.0, readings=readings, end_together=True)
    page.write_to(path)
    return int(page.page_no())


def _drawn(
    report: Report, site: Site, paper: str, tight: float, *, readings: bool, end_together: bool = False
) -> Paper:
    """Return the drawn pages; with ``end_together`` the last page begins with what is said of the record."""
    alarm = alarm_of(report.check)
    head = f"chain head {report.head.count}:{report.head.hash[:16]}…"
    last = "▲ does not check out, see page 1" if alarm else head
    foot = f"{report.kitchen} · {_span(report)} · {last}"
    page = Paper(paper, f"Food safety record, {report.kitchen}", foot, tight=tight)
    if alarm:
        page.alarm(f"▲ {TITLE}", f"{alarm} {WHAT_TO_DO}")
    _opening(page, report)
    _exceptions(page, report, site)
    _changes(page, report, site)
    _notes(page, report, site)
    _places(page, report)
    _cooling(page, report, site)
    _checks(page, report, site)
    _rounds(page, report)
    if readings:
        _all_readings(page, report, site)
    if end_together:
        page.add_page()
    _worked(page, report)
    _record(page, report)
    _lacking(page)
    _signatures(page, report)
    return page


def _span(report: Report) -> str:
    if report.first == report.last:
        return shown.day(report.first)
    return f"{shown.short_day(report.first)} to {shown.day(report.last)}"


def _opening(page: Paper, report: Report) -> None:
    made = f"{shown.day(report.made.date())}, {shown.clock(report.made)}"
    page.big_title(
        "Food safety record", f"{report.kitchen}\n{_span(report)}\nPrinted {made}. Figures: {report.profile}."
    )
    for why, days in report.not_known().items():
        page.say(f"◇ {_UNKNOWN[why]}: {', '.join(_days(days))}.", bold=True)
    page.heading("Summary")
    if not report.entries:
        page.say("Nothing was logged in these days.", bold=True)
    rows = [
        ("Readings", str(len(report.readings))),
        ("● passed", str(report.count("pass"))),
        ("▲ failed", str(report.count("fail"))),
        ("◇ could not be judged", str(len(report.unjudged))),
        ("◇ on the way of cooling", str(report.count("cooling"))),
        ("– reported as not taken", str(sum(e.line.now.kind == "not_taken" for e in report.exceptions))),
        ("□ corrective actions of these days still open", str(report.still_open)),
        ("Food thrown out (entries)", str(len(report.discards))),
        ("Corrected or taken back", str(len(report.changes))),
        ("Logged while the machine's clock was in doubt", str(report.doubtful)),
        ("Entries in all", str(report.entries)),
    ]
    page.rows(("", "Number"), rows, (70, 30))
    page.say(CAUTION, 8, color=QUIET)


def _exceptions(page: Paper, report: Report, site: Site) -> None:
    page.heading("Exceptions and corrective actions")
    if not report.exceptions:
        page.say("No reading failed and none was reported as not taken.")
    else:
        if len(report.exceptions) > MANY:
            page.rows(
                ("By place or food", "Failed", "Not taken", "Still open", "On days", "When"),
                [
                    (one.about, *map(str, (one.failed, one.not_taken, one.open, one.days)), one.span)
                    for one in by_place(report.exceptions, site)
                ],
                (36, 10, 12, 12, 10, 20),
            )
            page.heading(f"Each of the {len(report.exceptions)}", 35)
        rows = [
            (
                _when(each.line), shown.about(each.line.now, site),
                f"{_verdict(each.line)} {shown.value(each.line.now)}".strip(),
                shown.limits(each.line.now.limits), _then(each.todo, each.outcome),
                _by(each.line),
            )
            for each in report.exceptions
        ]  # fmt: skip
        heads = ("When", "What", "Reading", "Limit", "To do, and what came of it", "By")
        page.rows(heads, rows, (16, 14, 13, 13, 26, 18))
    if report.unjudged:
        page.heading("Could not be judged")
        rows_unjudged = [
            (_when(line), shown.about(line.now, site), shown.value(line.now), shown.limits(line.now.limits),
             shown.unjudged(line), _by(line))
            for line in report.unjudged
        ]  # fmt: skip
        page.rows(("When", "What", "Read", "Limit", "Why", "By"), rows_unjudged, (16, 16, 12, 14, 26, 16))
    if report.discards:
        page.heading("Thrown out")
        rows_out = [
            (_when(line), shown.about(line.now, site), line.now.amount or "not said", line.now.note,
             _by(line))
            for line in report.discards
        ]  # fmt: skip
        page.rows(("When", "What", "How much", "Remark", "By"), rows_out, (16, 26, 20, 24, 16))


def _changes(page: Paper, report: Report, site: Site) -> None:
    if not report.changes:
        return
    page.heading("Corrections and withdrawals")
    rows = [
        (
            f"{shown.about(each.line.entry, site)} (#{each.line.entry.id})",
            f"{each.first}\n{_moment(each.line.entry)}, {shown.who(each.line.entry)}".strip(),
            each.instead,
            f"{_moment(each.by)}, {shown.who(each.by)} (#{each.by.id})",
        )
        for each in report.changes
    ]
    page.rows(("What", "First said", "Instead", "Changed"), rows, (26, 30, 22, 26))


def _notes(page: Paper, report: Report, site: Site) -> None:
    if not report.notes:
        return
    page.heading("Notes")
    rows = [(_when(line), _on_what(line, site), line.now.note, _by(line)) for line in report.notes]
    page.rows(("When", "On what", "Note", "By"), rows, (16, 22, 46, 16))


def _on_what(line: Line, site: Site) -> str:
    entry = f" (#{line.now.refers_to})" if line.now.refers_to else ""
    return f"{shown.about(line.now, site)}{entry}"


def _moment(entry: Entry) -> str:
    at = shown.moment(entry)
    return f"{shown.short_day(at.date())} {shown.clock(at)}"


def _then(todo: str, outcome: str) -> str:
    return "; ".join(part for part in (todo.strip(), outcome) if part)


def _places(page: Paper, report: Report) -> None:
    page.heading("Readings by place", 75)
    if not report.series:
        page.say("No reading was logged.")
        return
    page.say(
        "● passed, ▲ failed, ◇ not judged; dashed: the limits by which the readings were judged.",
        8,
        color=QUIET,
    )
    begin = datetime.combine(report.first, time(), report.made.tzinfo)
    end = datetime.combine(report.last + timedelta(days=1), time(), report.made.tzinfo)
    width = (page.epw - _GAP) / 2
    height = width * _SMALL.height / _SMALL.width + 13
    charted = [series for series in report.series if len(series.lines) > 1]
    for number, series in enumerate(charted):
        if number % 2 == 0:
            if page.will_page_break(height):
                page.add_page()
            top = page.get_y()
        x = page.l_margin + (number % 2) * (width + _GAP)
        _place(page, series, x, top, width, places.chart_of(series, begin, end, _SMALL))
        page.set_xy(page.l_margin, top + height)
    for series in (each for each in report.series if len(each.lines) == 1):
        page.say(
            f"{series.name}, {series.label}: {series.summary}", 8.5, color=BAD if series.failed else QUIET
        )


def _place(page: Paper, series: places.Series, x: float, y: float, width: float, chart: Chart) -> None:
    page.set_xy(x, y)
    page.type(9, bold=True)
    page.cell(width, 4.5, _fitting(page, f"{series.name}, {series.label}", width))
    page.set_xy(x, y + 4.5)
    page.type(7.5, color=BAD if series.failed else QUIET)
    page.cell(width, 4, _fitting(page, series.summary, width))
    page.chart(chart, x, y + 8.5, width)


def _fitting(page: Paper, text: str, width: float) -> str:
    text = page.drawable(text)
    while len(text) > 4 and page.get_string_width(text) > width - 1:
        text = text[:-2].rstrip("…") + "…"
    return text


def _cooling(page: Paper, report: Report, site: Site) -> None:
    page.heading("Cooling", 80 if report.batches else 30)
    if not report.batches:
        page.say("No cooling was logged.")
        return
    page.say(
        "The curve is fitted to the readings (Newton's law of cooling): a forecast, never a verdict.",
        8,
        color=QUIET,
    )
    width = page.epw * 0.55
    for batch in report.batches:
        lines = [
            f"{shown.clock(shown.moment(line.now))}  {shown.value(line.now)}  {_by(line)}"
            for line in batch.lines
        ]
        drawn = len(batch.readings) > 1  # a chart of one point shows nothing that its words do not
        height = max(width * _SMALL.height / _SMALL.width + 12 if drawn else 0, 22 + 4.2 * len(lines))
        if page.will_page_break(height):
            page.add_page()
        top = page.get_y()
        page.type(9, bold=True)
        began = f"{shown.short_day(batch.began.date())} from {shown.clock(batch.began)}"
        page.cell(page.epw, 4.5, _fitting(page, f"{shown.capital(batch.food)}, {began}", page.epw))
        if drawn:
            page.chart(cooling_batches.chart_of(batch, site, _SMALL), page.l_margin, top + 6, width)
        page.set_xy(page.l_margin + width + 4, top + 8)
        page.type(8.5, bold=True, color=BAD if batch.verdict == "fail" else QUIET)
        rest = page.epw - width - 4
        page.multi_cell(rest, 4.2, f"{shown.mark(batch.verdict)} {batch.verdict}: {batch.told}", align="L")
        for text in lines:
            page.set_x(page.l_margin + width + 4)
            page.type(8)
            page.cell(rest, 4.2, _fitting(page, text, rest), new_x="LMARGIN", new_y="NEXT")
        page.set_xy(page.l_margin, top + height)


def _checks(page: Paper, report: Report, site: Site) -> None:
    page.heading("Thermometer checks", 30)
    if not report.checks:
        page.say("No thermometer check was logged.")
        return
    rows = [
        (_when(line), shown.about(line.now, site), line.now.measured, shown.value(line.now),
         shown.limits(line.now.limits), _verdict(line), _by(line))
        for line in report.checks
    ]  # fmt: skip
    page.rows(
        ("When", "Thermometer", "In", "Read", "Limit", "Verdict", "By"), rows, (18, 16, 14, 10, 18, 12, 16)
    )


def _rounds(page: Paper, report: Report) -> None:
    page.heading("Rounds", 30)
    if not report.rounds:
        page.say("No rounds are set up in the kitchen's own file.")
        return
    states = report.rounds[0][1]
    heads = ["Day", *(shown.capital(state.plan.name) for state in states)]
    rows = [
        [shown.short_day(day), *(_round(each, dues) for each in states_of)]
        for day, states_of, dues in report.rounds
    ]
    page.rows(heads, rows, [14, *([86 // len(states)] * len(states))])
    page.say(RULE, 8, color=QUIET)


def _round(state: RoundState, dues: tuple[Due, ...]) -> str:
    """Return what became of a round on a day: of each time set, or else of the day."""
    times = [due for due in dues if due.plan.id == state.plan.id]
    return "\n".join(f"{due.mark} {due.told}" for due in times) or f"{state.mark} {state.told}"


def _all_readings(page: Paper, report: Report, site: Site) -> None:
    page.heading("Every reading")
    rows = [
        (_when(line), shown.about(line.now, site), line.now.measured, shown.value(line.now),
         shown.limits(line.now.limits), _verdict(line), _by(line))
        for line in report.readings
    ]  # fmt: skip
    page.rows(
        ("When", "What", "Measured", "Read", "Limit", "Verdict", "By"), rows, (18, 18, 12, 10, 18, 12, 16)
    )


def _lacking(page: Paper) -> None:
    if page.lacking:
        page.say(
            "□ stands for a letter that no font of this machine has; the entry's number leads to it.", 8,
            color=QUIET,
        )  # fmt: skip


def _signatures(page: Paper, report: Report) -> None:
    page.heading("Signatures", 35)
    for line in report.reviews:
        page.say(f"● {shown.who(line.now)}, {_when(line)}: {line.now.note} (#{line.entry.id})")
    if report.unsigned:
        page.say(f"□ Not signed off: {', '.join(_days(report.unsigned))}.")
    if page.will_page_break(22):
        page.add_page()
    page.ln(11)
    half = (page.epw - 10) / 2
    y = page.get_y()
    page.set_draw_color(*QUIET)
    for number, who in enumerate(("Person in charge, date", "Inspector, date")):
        x = page.l_margin + number * (half + 10)
        page.line(x, y, x + half, y)
        page.set_xy(x, y + 1)
        page.type(8, color=QUIET)
        page.cell(half, 4, who)
    page.set_xy(page.l_margin, y + 7)


def _days(days: tuple[date, ...]) -> list[str]:
    named = [shown.short_day(day) for day in days[:14]]
    return named if len(days) <= 14 else [*named, f"and {len(days) - 14} more days"]


def _worked(page: Paper, report: Report) -> None:
    if report.worked:
        page.heading("Who worked", 30)
        rows = [(name, str(days), str(entries)) for name, days, entries in report.worked]
        page.rows(("Name, as told or signed in", "Days", "Entries"), rows, (60, 20, 20))


def _record(page: Paper, report: Report) -> None:
    page.heading("The record", 33)
    page.say(RECORDED, 8.5)
    page.say(f"Chain head: {report.head}", 8.5, bold=True)
    if report.check is not None and report.check.ok:
        counted = f"{report.check.checked} entries and {report.check.clips} recordings"
        page.say(f"Checked when this was printed: {counted} are as they were logged.", 8.5)


def _when(line: Line) -> str:
    at = shown.moment(line.now)
    late = ", entered late" if line.entry.late else ""
    return f"{shown.short_day(at.date())} {shown.clock(at)}{late}"


def _by(line: Line) -> str:
    return f"{shown.who(line.now)} (#{line.entry.id})"


def _verdict(line: Line) -> str:
    word = shown.verdict(line)
    return f"{shown.mark(word)} {word}" if word else ""
