"""What the manager's pages show and take, through a client without a browser."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from assistant.logbook import Draft, Filter, Logbook, SetClock, open_views
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.site import Site

PATHS = (
    "/",
    "/log",
    "/places",
    "/cooling",
    "/actions",
    "/review",
    "/kitchen",
    "/phrases",
    "/worth",
    "/record",
)
Token = Callable[[TestClient, str], str]


@pytest.mark.parametrize("path", PATHS)
def test_every_page_opens_with_its_heading(page: TestClient, path: str) -> None:
    """Each page answers, has one main heading, names the language and shows the chain head."""
    answer = page.get(path)
    assert answer.status_code == 200
    assert answer.text.count("<h1>") == 1
    assert '<html lang="en">' in answer.text
    assert "Chain head" in answer.text


@pytest.mark.parametrize("path", PATHS)
def test_every_page_opens_on_an_empty_log(empty_page: TestClient, path: str) -> None:
    """A kitchen that has logged nothing yet sees pages, not faults."""
    assert empty_page.get(path).status_code == 200


@pytest.mark.parametrize("path", PATHS)
def test_every_page_opens_on_a_terrible_day(
    terrible_day: Path, site: Site, now: SetClock, tmp_path: Path, path: str
) -> None:
    """Nothing breaks when all fails, and what was said is shown as text, never as markup."""
    desk = LocalDesk(terrible_day, site, now)
    answer = TestClient(build(desk, tmp_path), base_url="http://127.0.0.1").get(
        path, params={"day": "2026-02-23"}
    )
    assert answer.status_code == 200
    assert "<b>bold</b>" not in answer.text


def test_today_tells_open_actions_first(page: TestClient) -> None:
    """The line cooler that failed last night is open; it comes before the failed and the missing ones."""
    text = page.get("/").text
    assert text.index("Open corrective actions") < text.index("Failed today") < text.index("Not taken")
    assert "Line cooler 1" in text[text.index("Open corrective actions") : text.index("Failed today")]
    assert "part done: 7 of 8 places read" in text
    assert "41°F by 6:00 pm" in text


def test_a_day_in_the_past_says_what_was_missed_and_who_signed(page: TestClient) -> None:
    """Monday's closing round left one place out; Marlene signed the day."""
    text = page.get("/", params={"day": "2026-02-23"}).text
    assert "missed: 3 of 4 places read" in text
    assert "signed by Marlene" in text


@pytest.mark.parametrize(
    ("asked", "there", "not_there"),
    [
        ({"failed": "1"}, "25 ppm", "183."),
        ({"open": "1"}, "Line cooler 1", "Walk-in"),
        ({"place": "walk-in"}, "Walk-in", "<strong>Freezer"),
        ({"person": "Dev", "kind": "reading"}, "· Dev ·", "· Rosa ·"),
        ({"kind": "discard"}, "half a pan", "°F"),
        ({"from": "2026-02-24", "to": "2026-02-24"}, "Tue 24 Feb", "Mon 23 Feb"),
    ],
)
def test_the_log_keeps_only_what_is_asked_for(
    page: TestClient, asked: dict[str, str], there: str, not_there: str
) -> None:
    """Each filter shows what fits and nothing else."""
    listed = page.get("/log", params=asked).text.partition('<ol class="entries')[2].partition("</ol>")[0]
    assert there in listed
    assert not_there not in listed


def test_paging_shows_every_entry_once(page: TestClient, week: Path) -> None:
    """Following "Next page" from the first page on leads through the whole log."""
    seen: list[str] = []
    path = "/log?order=oldest"
    while path:
        text = page.get(path).text
        seen += [part.partition('"')[0] for part in text.partition("<ol")[2].split('href="/entry/')[1:]]
        path = (
            text.partition('rel="next"')[0].rpartition('<a href="')[2].partition('"')[0]
            if "Next page" in text
            else ""
        )
        path = path.replace("&amp;", "&")
    with open_views(week) as views:
        wanted = {line.entry.id for line in views.each()}
    assert {int(number) for number in seen} >= wanted


@pytest.mark.parametrize(
    ("path", "sentence"),
    [
        ("/?day=yesterday", "is no day; write one like"),
        ("/log?kind=gossip", "is no kind of entry"),
        ("/log?after=nonsense", "is no place in the log"),
        ("/log?from=2026-03-01&to=2026-02-01", "swap the two days"),
        ("/places?from=2020-01-01", "choose a shorter span"),
    ],
)
def test_a_wrong_question_gets_one_sentence(page: TestClient, path: str, sentence: str) -> None:
    """An address that makes no sense is answered with a page that says what to do."""
    answer = page.get(path)
    assert answer.status_code == 400
    assert sentence in answer.text
    assert "Traceback" not in answer.text


@pytest.mark.parametrize("path", ["/entry/99999", "/clip/99999", "/nothing", "/entry/9999999999999999999999"])
def test_what_is_not_there_is_a_page_too(page: TestClient, path: str) -> None:
    """An entry, a recording or a page that does not exist."""
    assert page.get(path).status_code == 404


def test_an_entry_shows_what_was_first_said_and_what_stands(page: TestClient, week: Path) -> None:
    """A corrected reading shows both numbers and the words of the correction."""
    with open_views(week) as views:
        changed = next(line for line in views.each() if line.amendments)
    text = page.get(f"/entry/{changed.entry.id}").text
    assert "38°F" in text
    assert "first said: 83°F" in text
    assert "no, thirty eight" in text
    assert changed.entry.hash in text


def test_a_recording_is_played_as_logged(page: TestClient, week: Path) -> None:
    """The clip's bytes come whole or in parts, and only under the number of an entry that names them."""
    with open_views(week) as views:
        line = next(line for line in views.each() if line.entry.clip)
    path = f"/clip/{line.entry.id}"
    whole = page.get(path)
    assert line.entry.clip is not None
    assert hashlib.sha256(whole.content).hexdigest() == line.entry.clip.sha256
    part = page.get(path, headers={"Range": "bytes=10-19"})
    assert (part.status_code, part.content) == (206, whole.content[10:20])
    assert page.get(path, headers={"Range": "bytes=900000000-"}).status_code == 416
    assert page.get("/clip/../logbook.sqlite3").status_code == 404


def test_a_changed_recording_is_not_played(page: TestClient, week: Path) -> None:
    """Sound that no longer has its hash is refused with a sentence."""
    with open_views(week) as views:
        line = next(line for line in views.each() if line.entry.clip)
    assert line.entry.clip is not None
    (week / "clips" / line.entry.clip.path).write_bytes(b"something else")
    answer = page.get(f"/clip/{line.entry.id}")
    assert answer.status_code == 409
    assert "was changed after it was logged" in answer.text


def test_signing_a_day_off_adds_a_review(page: TestClient, week: Path, token: Token) -> None:
    """The entry names reviewer, day, number of entries and open actions; the page shows it at once."""
    form = {
        "token": token(page, "/review?day=2026-02-28"),
        "day": "2026-02-28",
        "person": "Marlene",
        "note": "seen",
    }
    answer = page.post("/review", data=form)
    assert "Signed off." in answer.text
    with open_views(week) as views:
        review = views.latest(Filter(kinds=("review",)))
        count = views.count(Filter(first_day=None, amendments=True))
    assert review is not None
    assert review.now.subject == "2026-02-28"
    assert review.now.person == "Marlene"
    assert "entries, 1 open" in review.now.note
    assert "name not checked, no PIN set" in review.now.note
    assert count == review.entry.id
    assert "signed by Marlene" in page.get("/", params={"day": "2026-02-28"}).text


def test_a_day_that_grew_meanwhile_is_not_signed(page: TestClient, desk: LocalDesk, token: Token) -> None:
    """Who signs has seen as many entries as the signature says."""
    form = {"token": token(page, "/review"), "day": "2026-03-01", "seen": "3", "person": "Marlene"}
    answer = page.post("/review", data=form)
    assert answer.status_code == 400
    assert "look again" in answer.text


def test_closing_an_action_needs_a_name_and_a_note(page: TestClient, week: Path, token: Token) -> None:
    """The note goes into the log; closing twice, or without a word, is refused."""
    with open_views(week) as views:
        number = views.open_actions()[0].entry.id
    form = {"token": token(page, "/actions"), "person": "Marlene", "note": ""}
    refused = page.post(f"/actions/{number}", data=form)
    assert refused.status_code == 400
    assert "Write what was done" in refused.text
    closed = page.post(f"/actions/{number}", data={**form, "note": "compressor mended, probed 38"})
    assert f"Action {number} is closed." in closed.text
    again = page.post(f"/actions/{number}", data={**form, "note": "once more"})
    assert "closed already" in again.text
    with open_views(week) as views:
        assert not views.open_actions()
        line = views.line(number)
        closing = views.line(line.closed_by or 0) if line else None
    assert closing is not None
    assert closing.now.note == "compressor mended, probed 38; name not checked, no PIN set"


def test_no_entry_but_an_action_can_be_closed(page: TestClient, token: Token) -> None:
    """A reading is no action."""
    form = {"token": token(page, "/actions"), "person": "Marlene", "note": "closed"}
    assert page.post("/actions/2", data=form).status_code == 400


def test_checking_the_record_finds_a_change(page: TestClient, week: Path, token: Token) -> None:
    """The check says that all is as logged, until a recording is altered."""
    form = {"token": token(page, "/record")}
    assert "are as they were logged" in page.post("/record", data=form).text
    clip = next((week / "clips").rglob("*.flac"))
    clip.write_bytes(clip.read_bytes() + b"x")
    assert "Faults found: 1; the first: the clip of entry" in page.post("/record", data=form).text


def test_a_log_that_cannot_be_written_says_so_on_every_page(
    page: TestClient, week: Path, now: SetClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While another program holds the log, each page tells that nothing is recorded; then no more."""
    monkeypatch.setattr("assistant.logbook.database.BUSY_SECONDS", 0.05)
    with Logbook.open(week, clock=now) as log, log.database.atomic():
        assert "The log cannot be written" in page.get("/kitchen").text
    assert "The log cannot be written" not in page.get("/kitchen").text


def test_the_kitchen_page_shows_figures_with_their_sources(page: TestClient, site: Site) -> None:
    """Every figure of the profile stands there once, with document and how it is known."""
    text = page.get("/kitchen").text
    assert text.count('<th scope="row">') >= len(site.profile.limits) + len(site.equipment)
    assert "FDA Food Code 2022, 3-501.16" in text
    assert "200 to 400 ppm" in text


def test_what_is_recorded_is_said(page: TestClient) -> None:
    """The record page says that only addressed speech is kept, and shows the head in full."""
    text = page.get("/record").text
    assert "Only speech that was addressed to the assistant is kept" in text


def test_worth_a_look_needs_a_pin(page: TestClient) -> None:
    """Without a PIN there is no manager, so hints are shown to nobody."""
    assert "Set a PIN first" in page.get("/worth").text


@pytest.mark.parametrize("path", ["/", "/review?day=2026-03-01", "/log?unjudged=1"])
def test_what_was_not_judged_is_shown_with_why(
    week: Path, page: TestClient, now: SetClock, path: str
) -> None:
    """A reading that neither passed nor failed is in sight wherever the manager looks."""
    draft = {"kind": "reading", "subject": "freezer", "measured": "air", "value": "7", "unit": "F",
             "verdict": "cannot judge", "limits": {"high": "0", "unit": "F"}}  # fmt: skip
    with Logbook.open(week, clock=now) as log:
        log.append(Draft.model_validate(draft))
    text = page.get(path).text
    assert "7°F" in text
    assert "Outside the limit, which alone is no failure: the rest was not told" in text
    if path == "/":
        assert "<b>1</b> not judged" in text
