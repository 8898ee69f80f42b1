"""Notes on entries and days, and several actions of one cause closed at once: only ever added to the log."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from assistant.logbook import SetClock, open_views
from assistant.logbook.verify import verify
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.people import set_person
from assistant.manager.report import gather
from assistant.site import Site


def test_a_note_on_an_entry_changes_nothing_else(
    page: TestClient, desk: LocalDesk, token: Callable[[TestClient, str], str]
) -> None:
    """It stands beside the entry, which keeps its bytes; the chain is whole."""
    with open_views(desk.folder) as views:
        before = dict(views.stored())
    sent = {"token": token(page, "/entry/40"), "entry": "40", "person": "Marlene", "note": "gauge was fogged"}
    text = page.post("/note", data=sent).text
    assert "gauge was fogged" in text
    assert "Marlene" in text
    with open_views(desk.folder) as views:
        after = dict(views.stored())
        (new,) = [line.entry for line in views.each() if line.entry.kind == "note"]
    assert before.items() < after.items()
    assert (new.refers_to, new.engine) == (40, "page")
    assert verify(desk.folder).ok


def test_a_note_on_a_past_day_stands_on_that_day_and_in_its_report(
    page: TestClient, desk: LocalDesk, site: Site, now: SetClock, token: Callable[[TestClient, str], str]
) -> None:
    """Written on Sunday about Wednesday."""
    sent = {
        "token": token(page, "/"),
        "day": "2026-02-25",
        "person": "Marlene",
        "note": "power was off at ten",
    }
    assert "power was off at ten" in page.post("/note", data=sent).text
    assert "power was off at ten" in page.get("/review?day=2026-02-25").text
    assert "power was off at ten" not in page.get("/?day=2026-02-24").text
    with desk.views() as views:
        report = gather(views, site, date(2026, 2, 25), date(2026, 2, 25), now.now())
        later = gather(views, site, date(2026, 2, 24), date(2026, 2, 24), now.now())
    assert ["power" in line.now.note for line in report.notes] == [True]
    assert not later.notes


@pytest.mark.parametrize(
    ("sent", "says"),
    [({"entry": "4000"}, "There is no entry 4000"), ({"day": "soon"}, "is no day"),
     ({"note": " "}, "Write the note")],
)  # fmt: skip
def test_a_note_that_will_not_do(
    page: TestClient, sent: dict[str, str], says: str, token: Callable[[TestClient, str], str]
) -> None:
    """One sentence each."""
    whole = {"token": token(page, "/"), "day": "2026-02-25", "person": "Marlene", "note": "a note", **sent}
    assert says in page.post("/note", data=whole).text


def test_an_inspector_writes_nothing(
    desk: LocalDesk, page: TestClient, token: Callable[[TestClient, str], str]
) -> None:
    """Inspectors read."""
    set_person(desk.folder, "Iris", "inspector", "plain-7-onion", date(2026, 3, 3))
    page.post("/pin", data={
        "person": "Iris", "pin": "plain-7-onion", "next": "/", "token": token(page, "/pin"),
    })  # fmt: skip
    home = page.get("/").text
    assert "Add a note" not in home
    assert "Type a reading" not in home
    sent = {"token": token(page, "/"), "day": "2026-02-25", "note": "x y"}
    assert "not for the role" in page.post("/note", data=sent).text


def test_several_actions_of_one_cause_are_closed_at_once(
    terrible_day: Path, tmp_path: Path, site: Site, now: SetClock, token: Callable[[TestClient, str], str]
) -> None:
    """The walk-in failed fourteen times: one note closes what is ticked, and nothing else."""
    folder = Path(shutil.copytree(terrible_day, tmp_path / "day"))
    page = TestClient(build(LocalDesk(folder, site, now), folder), base_url="http://127.0.0.1")
    with open_views(folder) as views:
        every = views.open_actions(limit=500)
    walk_in = [line.entry.id for line in every if line.now.subject == "walk-in"]
    assert len(walk_in) > 2
    assert "Close several of Walk-in at once" in page.get("/actions").text
    ticked = {f"action:{number}": "1" for number in walk_in[:-1]}
    sent = {"token": token(page, "/actions"), "person": "Marlene", "note": "compressor mended", **ticked}
    assert f"{len(ticked)} actions are closed." in page.post("/actions/close", data=sent).text
    with open_views(folder) as views:
        left = {line.entry.id for line in views.open_actions(limit=500)}
    assert left == {line.entry.id for line in every} - set(walk_in[:-1])
    again = page.post("/actions/close", data={**sent, f"action:{walk_in[-1]}": "1"}).text
    assert "is closed already" in again  # all or none
    with open_views(folder) as views:
        assert len(views.open_actions(limit=500)) == len(left)
