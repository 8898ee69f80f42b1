"""People with PINs of their own: what each may do, whose name an entry carries, and when it ends."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from assistant.door import kitchen, options_first
from assistant.errors import InputError
from assistant.logbook import Filter, open_views
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.people import FILE_NAME, checked_name, load_people, set_person
from assistant.manager.pin import set_pin

Token = Callable[[TestClient, str], str]
PIN = "basil-4711"
DAY = "2026-02-28"


def signed_in(desk: LocalDesk, token: Token, role: str, until: date | None = None) -> TestClient:
    """A client that somebody of a role opened with a PIN of their own."""
    set_pin(desk.folder, "quite-another-1")
    set_person(desk.folder, "Ingrid Vale", role, PIN, until)
    page = TestClient(build(desk, desk.folder, loopback=False), base_url="http://kitchen.test")
    page.post("/pin", data={"token": token(page, "/pin"), "person": "ingrid vale", "pin": PIN})
    return page


@pytest.mark.parametrize(
    ("role", "signs", "closes", "doubts"),
    [("cook", False, False, False), ("lead", True, True, False), ("manager", True, True, True),
     ("inspector", False, False, False)],
)  # fmt: skip
def test_each_role_may_do_its_part(
    desk: LocalDesk, token: Token, role: str, signs: bool, closes: bool, doubts: bool
) -> None:
    """All read; the forms are not there for who may not send them, and are refused if sent."""
    page = signed_in(desk, token, role, date(2026, 12, 31) if role == "inspector" else None)
    with open_views(desk.folder) as views:
        number = views.open_actions()[0].entry.id
    assert page.get("/log").status_code == 200
    assert (
        "Sign off" in page.get(f"/review?day={DAY}").text.partition("<h1>")[2].partition("</h1>")[2]
    ) == signs
    assert ("Close action" in page.get("/actions").text) == closes
    assert ("Looked at:" in page.get("/worth").text) == doubts
    form = {"token": token(page, "/"), "day": DAY, "note": "compressor mended"}
    assert (page.post("/review", data=form).status_code == 200) == signs
    assert (page.post(f"/actions/{number}", data=form).status_code == 200) == closes


def test_a_signature_is_the_name_that_signed_in(desk: LocalDesk, token: Token) -> None:
    """Whatever name a form carries."""
    page = signed_in(desk, token, "lead")
    page.post("/review", data={"token": token(page, "/"), "day": DAY, "person": "Somebody Else"})
    with open_views(desk.folder) as views:
        review = views.latest(Filter(kinds=("review",)))
    assert review is not None
    assert (review.now.person, "not checked" in review.now.note) == ("Ingrid Vale", False)


def test_an_inspectors_pin_ends(desk: LocalDesk, token: Token) -> None:
    """The last day still opens, the day after does not; without a last day none is given."""
    assert signed_in(desk, token, "inspector", date(2026, 3, 1)).get("/log").url.path == "/log"
    assert signed_in(desk, token, "inspector", date(2026, 2, 28)).get("/log").url.path == "/pin"
    with pytest.raises(InputError, match="--until"):
        set_person(desk.folder, "Ingrid Vale", "inspector", PIN)


def test_a_pin_taken_away_ends_the_session(desk: LocalDesk, token: Token) -> None:
    """At once, also while the page is open."""
    page = signed_in(desk, token, "manager")
    assert page.get("/log").url.path == "/log"
    words = ("--state", str(desk.folder), "manager", "person", "Ingrid Vale", "--remove")
    assert CliRunner().invoke(kitchen, options_first(list(words))).exit_code == 0
    assert page.get("/log").url.path == "/pin"


@pytest.mark.parametrize(
    "name", ["", "  ", "x" * 61, "Ann\u202egro", "a\u200bb", "<b>", "12345", "Ann\x00", "=1+1", "💥"]
)
def test_a_name_is_plain_text(name: str) -> None:
    """No marks that turn the writing round, no markup, no formula, no nothing."""
    with pytest.raises(InputError):
        checked_name(name)


@pytest.mark.parametrize("name", ["Zoë O’Brien", "José Núñez-Vega", "李小龍", "محمد", "Ng", "Sam (close)"])
def test_names_of_the_world_are_names(name: str) -> None:
    """Whatever script they are written in."""
    assert checked_name(f"  {name} ") == name


def test_people_are_kept_for_the_owner_only(desk: LocalDesk) -> None:
    """No PIN in the file; a new PIN replaces the old one, also written another way."""
    set_person(desk.folder, "Ann", "cook", PIN)
    set_person(desk.folder, "ANN", "lead", "oregano-99")
    path = desk.folder / FILE_NAME
    assert [(each.name, each.role) for each in load_people(desk.folder)] == [("ANN", "lead")]
    assert path.stat().st_mode & 0o077 == 0
    assert "oregano" not in path.read_text()
    path.write_text('[{"name": "x"}]')
    with pytest.raises(InputError, match="cannot be used"):
        load_people(desk.folder)
