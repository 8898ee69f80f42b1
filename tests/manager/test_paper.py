"""The report for an inspector and the card of what can be said, on paper and through their commands."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.door import kitchen
from assistant.errors import InputError
from assistant.logbook import Draft, Logbook, SetClock, open_views
from assistant.manager import paper as paper_module
from assistant.manager.card_pdf import write_card
from assistant.manager.exceptions_by_place import MANY, by_place
from assistant.manager.letters import font_for
from assistant.manager.paper import Paper
from assistant.manager.phrase_card import card_text, phrase_card
from assistant.manager.report import Report, gather
from assistant.manager.report_pdf import write_report
from assistant.site import Site
from intents.catalogue import load_catalogue
from tests.manager.pdf_text import pdf_text

MONDAY, SUNDAY = date(2026, 2, 23), date(2026, 3, 1)


@pytest.fixture
def week_report(week_once: Path, site: Site, now: SetClock) -> Report:
    """The report of the ordinary week."""
    with open_views(week_once) as views:
        return gather(views, site, MONDAY, SUNDAY, now.now())


def text_of(path: Path) -> str:
    """Return the words of a PDF as a reader sees them; skips where the reader is missing."""
    return " ".join(pdf_text(path, "-layout").split())


def test_the_numbers_add_up(week_report: Report, week_once: Path) -> None:
    """Passed, failed and not judged are all readings; each failed one is an exception."""
    report = week_report
    assert len(report.readings) == sum(map(report.count, ("pass", "fail", "cannot judge", "cooling")))
    failed = {each.line.entry.id for each in report.exceptions if each.line.now.kind == "reading"}
    assert failed == {line.entry.id for line in report.readings if line.now.verdict == "fail"}
    with open_views(week_once) as views:
        assert report.head == views.head()


def test_every_exception_says_what_came_of_it(week_report: Report) -> None:
    """Two were rechecked, one is still open, one could not be taken."""
    outcomes = {each.line.now.subject: each.outcome for each in week_report.exceptions}
    assert outcomes["prep cooler"].startswith("rechecked 40.2°F, pass")
    assert outcomes["chlorine bucket 1"].startswith("rechecked 100 ppm, pass")
    assert outcomes["line cooler 1"] == "still open for 16 h 35 min"
    assert week_report.still_open == 1


def test_days_without_a_signature_are_named(week_report: Report) -> None:
    """Saturday and Sunday are not signed off yet."""
    assert week_report.unsigned == (date(2026, 2, 28), SUNDAY)
    assert len(week_report.reviews) == 5


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_week_on_paper(week_report: Report, site: Site, tmp_path: Path, paper: str) -> None:
    """Summary, exceptions, places, cooling, checks, rounds, signatures, head and caution are all there."""
    path = tmp_path / "week.pdf"
    pages = write_report(week_report, site, path, paper=paper, readings=True)
    text = text_of(path)
    for words in (
        "Food safety record", "Exceptions and corrective actions", "still open", "Readings by place",
        "Chicken soup", "Thermometer checks", "32.4°F", "Rounds", "missed: 3 of 4", "Signatures", "Marlene",
        str(week_report.head), "local health department", "half a pan", "Every reading",
        f"page {pages} of {pages}",
    ):  # fmt: skip
        assert words in text, words


def test_an_empty_day_on_paper(tmp_path: Path, site: Site, now: SetClock) -> None:
    """A day without entries says so, on one or two pages, and can still be signed."""
    with Logbook.open(tmp_path / "log", clock=now) as log:
        report = gather(log.views, site, MONDAY, MONDAY, now.now())
    assert write_report(report, site, tmp_path / "empty.pdf") <= 2
    text = text_of(tmp_path / "empty.pdf")
    assert "Nothing was logged in these days." in text
    assert "Inspector, date" in text


def test_a_terrible_day_on_paper(terrible_day: Path, tmp_path: Path, site: Site, now: SetClock) -> None:
    """Dozens of failures, long names and strange characters fit; every failed entry is named."""
    with open_views(terrible_day) as views:
        report = gather(views, site, MONDAY, MONDAY, now.now())
    write_report(report, site, tmp_path / "terrible.pdf")
    text = text_of(tmp_path / "terrible.pdf")
    for each in report.exceptions:
        assert f"#{each.line.entry.id})" in text
    assert '<b>bold</b> & "quoted"' in text
    assert "naïve" in text


def test_letters_of_many_scripts_are_drawn(tmp_path: Path) -> None:
    """European letters by our own font, others by one of this machine where it has any; else squares."""
    page = Paper("a4", "names", "foot")
    plain, others = "Ærø Żółć Ελλάς Кухня – “41°F” ● ▲ ◇ □ ½", ("محمد", "שלום", "冷")
    page.say(f"{plain} {' '.join(others)} soup")
    page.write_to(tmp_path / "names.pdf")
    lacking = [letter for word in others for letter in word if font_for(letter) is None]
    assert page.drawable(plain) == plain
    assert page.lacking == len(lacking)
    for word in others:
        assert page.drawable(word) == "".join("□" if letter in lacking else letter for letter in word)
    text = text_of(tmp_path / "names.pdf")
    assert "Żółć" in text
    assert "م" in lacking or "محمد" in text.replace("\u202b", "").replace("\u202c", "")


def test_a_letter_that_no_font_has_is_a_square_and_is_explained(
    terrible_day: Path, tmp_path: Path, site: Site, now: SetClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Visible, not lost: the report says what the square stands for."""
    monkeypatch.setattr(paper_module, "font_for", lambda letter: None)
    with open_views(terrible_day) as views:
        report = gather(views, site, MONDAY, MONDAY, now.now())
    write_report(report, site, tmp_path / "terrible.pdf")
    text = text_of(tmp_path / "terrible.pdf")
    assert "naïve □" in text
    assert "□ stands for a letter that no font of this machine has" in text


@pytest.mark.parametrize("days", range(1, 8))
def test_no_last_page_is_nearly_empty(
    week_once: Path, tmp_path: Path, site: Site, now: SetClock, days: int
) -> None:
    """Whatever the span, the last page holds more than a signature's line."""
    with open_views(week_once) as views:
        report = gather(views, site, MONDAY, MONDAY + timedelta(days=days - 1), now.now())
    write_report(report, site, tmp_path / "report.pdf", readings=days % 2 == 0)
    last = text_of(tmp_path / "report.pdf").rstrip("\f").split("\f")[-1]
    assert len(last.split()) > 60, last


def test_spans_that_make_no_report(week_once: Path, site: Site, now: SetClock) -> None:
    """Turned round, or longer than a year and a month."""
    with open_views(week_once) as views:
        with pytest.raises(InputError, match="swap"):
            gather(views, site, SUNDAY, MONDAY, now.now())
        with pytest.raises(InputError, match="make several"):
            gather(views, site, date(2020, 1, 1), SUNDAY, now.now())


def test_the_card_holds_every_intent_that_can_be_said(site: Site) -> None:
    """Each intent with patterns or examples stands on the card once, with a line about it."""
    catalogue = load_catalogue("en")
    listed = [phrase.intent for topic in phrase_card(catalogue) for phrase in topic.phrases]
    wanted = [name for name, each in catalogue.intents.items() if each.about and each.examples]
    assert sorted(listed) == sorted(wanted)
    text = card_text(phrase_card(catalogue), site.kitchen.wake_phrase)
    assert '"hey kitchen"' in text
    assert all(catalogue[name].about in text for name in wanted)


def test_the_card_on_paper(tmp_path: Path) -> None:
    """Topics, lines and the caution about mixing are on it."""
    card = phrase_card(load_catalogue("en"))
    write_card(card, "hey kitchen", "Copper Lane", tmp_path / "card.pdf")
    text = text_of(tmp_path / "card.pdf")
    assert "Never mix bleach" in text
    assert all(topic.title in text for topic in card)


def run(*arguments: str) -> tuple[int, str]:
    """Run a command; return its exit code and what it printed."""
    done = CliRunner().invoke(kitchen, list(arguments))
    return done.exit_code, done.output


def test_the_report_command_writes_and_says_what(week: Path, tmp_path: Path) -> None:
    """It names the file, the pages, the entries and the chain head."""
    path = tmp_path / "new" / "report.pdf"
    at = ("--state", str(week), "--at", "2026-03-01T14:30-06:00")
    code, printed = run(*at, "report", "--from", "2026-02-23", "--to", "2026-03-01", "--pdf", str(path))
    assert code == 0, printed
    assert path.read_bytes().startswith(b"%PDF")
    with open_views(week) as views:
        assert str(views.head()) in printed


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--from", "monday", "--pdf", "x.pdf"), "is no day"),
        (("--from", "2026-03-02", "--to", "2026-03-01", "--pdf", "x.pdf"), "swap the two days"),
        (("--database", "postgresql://nowhere", "--pdf", "x.pdf"), "--kitchen"),
    ],
)
def test_a_wrong_report_is_one_sentence(week: Path, arguments: tuple[str, ...], sentence: str) -> None:
    """Exit code 2 and what to write instead."""
    code, printed = run("--state", str(week), "report", *arguments)
    assert code == 2
    assert sentence in printed
    assert "Traceback" not in printed


def test_a_report_without_a_log_is_one_sentence(tmp_path: Path) -> None:
    """Nothing is made where there is nothing to report."""
    code, printed = run("--state", str(tmp_path / "none"), "report", "--pdf", str(tmp_path / "x.pdf"))
    assert code == 2
    assert "There is no log in " in printed
    assert not (tmp_path / "none").exists()


def test_the_card_command_prints_text_and_writes_a_file(tmp_path: Path) -> None:
    """Without a file it is text for the terminal."""
    assert "REPORT AND PLAY BACK" in run("card")[1]
    assert run("card", "--pdf", str(tmp_path / "card.pdf"))[0] == 0
    assert (tmp_path / "card.pdf").exists()


def test_setting_the_pin_by_command(tmp_path: Path) -> None:
    """Taken from standard input; a weak one is refused in a sentence."""
    runner = CliRunner()
    refused = runner.invoke(kitchen, ["--state", str(tmp_path), "manager", "set-pin"], input="1111\n")
    assert refused.exit_code == 2
    assert "PIN needs" in refused.output
    done = runner.invoke(kitchen, ["--state", str(tmp_path), "manager", "set-pin"], input="4711-basil\n")
    assert done.exit_code == 0
    assert "4711" not in done.output
    opened = run("--state", str(tmp_path / "other"), "manager", "--host", "0.0.0.0")
    assert opened[0] == 2
    assert "set-pin" in opened[1]


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_no_heading_of_the_card_stands_alone(site: Site, tmp_path: Path, paper: str) -> None:
    """Below each topic's title stands its first line, in the same column of the same page."""
    card = phrase_card(load_catalogue(site.kitchen.language))
    write_card(card, site.kitchen.wake_phrase, "Copper Lane", tmp_path / "card.pdf", paper=paper)
    width, height = ("306", "792") if paper == "letter" else ("297", "842")
    halves = []
    for x in ("0", width):
        cut = ["-x", x, "-y", "0", "-W", width, "-H", height]
        halves.append(pdf_text(tmp_path / "card.pdf", "-layout", *cut))
    text = "\n".join(halves)
    for topic in card:
        assert re.search(rf"^[ \f]*{topic.title}\n+ *• ", text, re.MULTILINE), topic.title


def test_who_worked_is_told(week_report: Report, week_once: Path, site: Site, tmp_path: Path) -> None:
    """Each name with its days and entries, counted here from the lines alone."""
    with open_views(week_once) as views:
        lines = [line for line in views.each() if line.entry.person]
    names = {line.entry.person for line in lines}
    assert {name for name, _, _ in week_report.worked} == names == {"Rosa", "Dev", "Marlene"}
    for name, days, entries in week_report.worked:
        mine = [line.day for line in lines if line.entry.person == name]
        assert (days, entries) == (len(set(mine)), len(mine))
    write_report(week_report, site, tmp_path / "week.pdf")
    assert "Who worked" in text_of(tmp_path / "week.pdf")


def test_one_reading_is_a_line_and_no_chart(
    tmp_path: Path, site: Site, now: SetClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A chart of one point shows nothing."""
    drawn: list[object] = []
    monkeypatch.setattr(Paper, "chart", lambda *given: drawn.append(given))
    one = {"kind": "reading", "subject": "walk-in", "measured": "air", "value": "38", "unit": "F",
           "verdict": "pass"}  # fmt: skip
    with Logbook.open(tmp_path / "log", clock=now) as log:
        log.append(Draft.model_validate(one))
        report = gather(log.views, site, SUNDAY, SUNDAY, now.now())
        write_report(report, site, tmp_path / "one.pdf")
        assert not drawn
        assert "38°F" in text_of(tmp_path / "one.pdf")
        log.append(Draft.model_validate(one))
        write_report(gather(log.views, site, SUNDAY, SUNDAY, now.now()), site, tmp_path / "two.pdf")
    assert len(drawn) == 1


def test_readings_on_the_way_of_cooling_are_no_doubtful_ones(week_report: Report) -> None:
    """Soup that is cooling in time is counted apart from what could not be judged."""
    assert week_report.count("cooling") > 0
    assert week_report.count("cannot judge") == 0


def test_many_exceptions_are_told_by_place_first(
    terrible_day: Path, week_report: Report, tmp_path: Path, site: Site, now: SetClock
) -> None:
    """The table adds up to all of them, the worst place first; a few need no table."""
    with open_views(terrible_day) as views:
        report = gather(views, site, MONDAY, SUNDAY, now.now())
    assert len(report.exceptions) > MANY
    table = by_place(report.exceptions, site)
    assert sum(one.failed for one in table) == report.count("fail")
    assert sum(one.failed + one.not_taken for one in table) == len(report.exceptions)
    assert sum(one.open for one in table) == report.still_open
    assert [one.open for one in table] == sorted((one.open for one in table), reverse=True)
    machine = next(one for one in table if one.about == "Dish machine")
    assert (machine.failed, machine.not_taken, machine.span) == (0, 14, "Mon 23 Feb")
    path = tmp_path / "terrible.pdf"
    write_report(report, site, path)
    assert f"Each of the {len(report.exceptions)} When What" in text_of(path)
    write_report(week_report, site, path)
    assert "Each of the" not in text_of(path)


def test_what_could_not_be_judged_is_printed_with_why(tmp_path: Path, site: Site, now: SetClock) -> None:
    """Each with its limit and its reason, and as many as the summary counts."""
    draft = {"kind": "reading", "subject": "freezer", "measured": "air", "value": "7", "unit": "F",
             "verdict": "cannot judge", "limits": {"high": "0", "unit": "F"}}  # fmt: skip
    with Logbook.open(tmp_path / "log", clock=now) as log:
        log.append(Draft.model_validate(draft))
        report = gather(log.views, site, SUNDAY, SUNDAY, now.now())
    assert len(report.unjudged) == 1
    write_report(report, site, tmp_path / "one.pdf")
    text = text_of(tmp_path / "one.pdf")
    assert "could not be judged 1" in text
    assert "Could not be judged When" in text
    assert "Outside the limit, which alone is" in text
