"""Setting a kitchen up on the page: what forms may say, what is refused, what the file and the log keep."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from assistant.errors import InputError
from assistant.logbook import Logbook, SetClock, open_views
from assistant.logbook.clock import Clock
from assistant.logbook.facts import last_facts, site_of
from assistant.manager import set_up
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.people import set_person
from assistant.manager.site_file import SiteFile, put_row, put_table, take_row
from assistant.site import Site, load_site, parse_site
from assistant.typed import TypedTalk

EXAMPLE = (files("assistant") / "example_site.toml").read_text(encoding="utf-8")


@pytest.fixture
def file(tmp_path: Path) -> SiteFile:
    """A copy of the example's file, with its remarks."""
    path = tmp_path / "site.toml"
    path.write_text(EXAMPLE, encoding="utf-8")
    return SiteFile(path)


@pytest.fixture
def desk(file: SiteFile, tmp_path: Path, now: SetClock) -> LocalDesk:
    """The desk over an empty log of a kitchen with a file of its own."""
    site = file.site()
    Logbook.open(tmp_path / "log", site=site.kitchen.name, clock=now).close()
    return LocalDesk(tmp_path / "log", site, now)


@pytest.fixture
def page(desk: LocalDesk, file: SiteFile, now: SetClock) -> TestClient:
    """A client of the page of that kitchen."""

    def load() -> tuple[Site, Clock]:
        return load_site(file.path), now

    made = build(desk, desk.folder, site_file=file.path, load=load)
    return TestClient(made, base_url="http://127.0.0.1", follow_redirects=True)


def form_of(page: TestClient, path: str) -> dict[str, str]:
    """Return what a browser would send of a form left as it is."""
    text = page.get(path).text
    found = dict(re.findall(r'<input[^>]*?name="([^"]+)"[^>]*?value="([^"]*)"', text))
    ticks = re.findall(r'name="([^"]+)" type="checkbox" value="1"( checked)?', text)
    found = {key: value for key, value in found.items() if key not in {name for name, on in ticks if not on}}
    for name, inner in re.findall(r'<select[^>]*?name="([^"]+)"[^>]*>(.*?)</select>', text, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', inner)
        found[name] = chosen[1] if chosen else ""
    found |= dict(re.findall(r'<textarea[^>]*?name="([^"]+)"[^>]*>(.*?)</textarea>', text, re.DOTALL))
    return found


def test_a_form_left_as_it_is_changes_nothing(page: TestClient, file: SiteFile) -> None:
    """Every form of every thing, sent unchanged, asks for no change: the forms lose nothing."""
    site = file.site()
    counts = {"people": len(site.people), "products": len(site.products), "rounds": len(site.rounds),
              "equipment": len(site.equipment)}  # fmt: skip
    for key, count in counts.items():
        for number in range(count):
            path = f"/set-up/{key}/{number}"
            answer = page.post(path, data={**form_of(page, path), "step": "look"})
            assert "Nothing was changed in the form." in answer.text, path
    assert file.text() == EXAMPLE


def test_a_change_keeps_every_other_line(file: SiteFile) -> None:
    """Remarks, order and spaces stay; only what was changed differs."""

    def edit(document: object) -> None:
        put_row(document, "equipment", 0, {"shelves": 4, "also": None})  # type: ignore[arg-type]
        put_row(document, "people", None, {"name": "Ana", "role": "cook"})  # type: ignore[arg-type]
        put_table(document, "kitchen", {"profile": "california"})  # type: ignore[arg-type]
        take_row(document, "rounds", 1)  # type: ignore[arg-type]

    after = file.changed(edit).after
    gone = [line for line in EXAMPLE.splitlines() if line and line not in after.splitlines()]
    new = [line for line in after.splitlines() if line and line not in EXAMPLE.splitlines()]
    assert new == ['profile = "california"       # see `kitchen profiles`', 'name = "Ana"', "shelves = 4"]
    assert len(gone) == 7  # the profile, two of the walk-in's, and the four lines of a round
    assert "\n\n\n" not in after


def test_a_change_is_in_force_and_in_the_log(page: TestClient, file: SiteFile, desk: LocalDesk) -> None:
    """The look changes nothing; the second step does, with who, before and after in the log."""
    filled = {**form_of(page, "/set-up/equipment/0"), "shelves": "4", "numbers": "1-2, 4"}
    looked = page.post("/set-up/equipment/0", data={**filled, "step": "look"})
    assert "Put it in force" in looked.text
    assert file.text() == EXAMPLE
    done = page.post("/set-up/equipment/0", data={**filled, "step": "take", "person": "Marlene"})
    assert "It is in force and in the log." in done.text
    item = desk.site.equipment[0]
    assert (item.shelves, item.numbers, item.id) == (4, (1, 2, 4), "walk-in")
    with open_views(desk.folder) as views:
        (entry,) = list(views.entries())
        told = site_of(last_facts(views), "x")
    assert entry.person == "Marlene"
    assert "Shelves: 5 → 4" in entry.note
    assert "nothing → 1, 2, 4" in entry.note
    assert told is not None
    assert told.equipment[0].numbers == (1, 2, 4)
    assert [plan.places for plan in told.rounds] == [plan.places for plan in desk.site.rounds]


@pytest.mark.parametrize(
    ("path", "changed", "says"),
    [
        ("/set-up/products/0", {"label_min_ppm": "500"}, "must not be above &#39;Highest ppm"),
        ("/set-up/products/0", {"label_max_ppm": "4 hundred"}, "is no number"),
        ("/set-up/products/0", {"label_max_ppm": ""}, "it was left empty"),
        ("/set-up/equipment/0", {"shelves": "40"}, "&#39;Shelves&#39; does not fit"),
        ("/set-up/equipment/0", {"kind": "spaceship"}, "none of the choices"),
        ("/set-up/equipment/4", {"numbers": "1-200"}, "write numbers such as"),
        ("/set-up/equipment/new", {"name": "Walk-In", "kind": "freezer"}, "&#39;walk-in&#39; is used twice"),
        ("/set-up/rounds/0", {"due": "25:10"}, "is no time"),
        ("/set-up/rounds/0", {"cooling": "1"}, "either places or cooling"),
        ("/set-up/kitchen/new", {"wake_phrase": "hi"}, "at least 3 characters"),
        ("/set-up/kitchen/new", {"profile": "atlantis"}, "none of the choices"),
        ("/set-up/people/new", {"name": "rosa"}, "&#39;rosa&#39; is used twice"),
        ("/set-up/menu/new", {"dish": "moon pie", "food": "moon rock"}, "no table of foods has"),
        ("/set-up/alerts/new", {"mail_to": "nobody"}, "&#39;Mail to&#39; does not fit"),
        ("/set-up/people/0", {"mark": "older"}, "was changed since you opened this form"),
    ],
)  # fmt: skip
def test_what_the_files_rules_refuse_is_told_beside_the_form(
    page: TestClient, file: SiteFile, path: str, changed: dict[str, str], says: str
) -> None:
    """One clear sentence, what was typed is kept, nothing is changed."""
    answer = page.post(path, data={**form_of(page, path), **changed, "step": "take", "person": "Ana"})
    assert answer.status_code == 400
    assert says in answer.text
    assert file.text() == EXAMPLE


def test_a_place_taken_out_leaves_its_rounds_too(page: TestClient, file: SiteFile) -> None:
    """Removing the freezer takes it out of the rounds that name it, and the look says so."""
    number = next(n for n, item in enumerate(file.site().equipment) if item.id == "freezer")
    path = f"/set-up/equipment/{number}"
    looked = page.post(path, data={**form_of(page, path), "step": "remove"})
    assert "round opening set-up, places left out" in looked.text
    taken = {**form_of(page, path), "remove": "1", "step": "take", "person": "Ana"}
    assert "It is in force" in page.post(path, data=taken).text
    assert not any("freezer" in plan.places for plan in file.site().rounds)
    assert "freezer" not in [item.id for item in file.site().equipment]


def test_a_file_changed_by_hand_is_taken_up(page: TestClient, file: SiteFile) -> None:
    """An editor's change shows on the next page; one with a fault is told and the old kitchen stays."""
    file.path.write_text(EXAMPLE.replace("Copper Lane Kitchen", "Mill Road Kitchen"), encoding="utf-8")
    assert "Mill Road Kitchen" in page.get("/").text
    file.path.write_text(EXAMPLE.replace("shelves = 5", "shelves = 50"), encoding="utf-8")
    text = page.get("/").text
    assert "&#39;equipment.shelves&#39; of &#39;walk-in&#39;" in text
    assert "on line" in text
    assert "Mill Road Kitchen" in text


def test_only_a_manager_may_set_up(desk: LocalDesk, page: TestClient, token: Callable[..., str]) -> None:
    """A lead with a PIN of her own sees no link, and is refused."""
    set_person(desk.folder, "Dev", "lead", "quiet-9-onion")
    sign = {"person": "Dev", "pin": "quiet-9-onion", "next": "/", "token": token(page, "/pin")}
    assert "Set up or change" not in page.post("/pin", data=sign).text
    assert "not for the role" in page.get("/set-up/people/0").text
    assert "Set up or change" not in page.get("/kitchen").text


def test_hostile_names_are_text(page: TestClient) -> None:
    """A tag in a name is shown as typed."""
    tag = "<script>alert(1)</script>"
    sent = {**form_of(page, "/set-up/people/new"), "name": tag, "role": "cook"}
    assert "<script>alert" not in page.post("/set-up/people/new", data={**sent, "step": "look"}).text
    page.post("/set-up/people/new", data={**sent, "step": "take", "person": "Ana"})
    for path in ("/set-up", "/kitchen", "/log", "/"):
        assert "<script>alert" not in page.get(path).text


@pytest.mark.parametrize(
    ("text", "kept"),
    [("10:30", "10:30"), ("4:30 pm", "16:30"), ("12 am", "00:00"), ("12:15 PM", "12:15"), ("7", "07:00"),
     ("16.45", "16:45")],
)  # fmt: skip
def test_times_are_read_as_people_write_them(text: str, kept: str) -> None:
    """Twelve and twenty-four hours."""
    section = set_up.sections()["rounds"]
    values = set_up.read_form(section, {"name": "a", "due": text, "cooling": "1"}, load_site())
    assert values["due"] == [kept]


@pytest.mark.parametrize("text", ["24:00", "13 pm", "soon", "10:75"])
def test_what_is_no_time_is_refused(text: str) -> None:
    """Never guessed."""
    section = set_up.sections()["rounds"]
    with pytest.raises(InputError, match="is no time"):
        set_up.read_form(section, {"name": "a", "due": text, "cooling": "1"}, load_site())


def test_every_field_is_a_key_of_the_site_file() -> None:
    """The table of forms names no key that the file's rules do not know."""
    for key, section in set_up.sections().items():
        if section.mapping:
            continue
        annotation = Site.model_fields[key].annotation
        model = annotation if section.table else annotation.__args__[0]  # type: ignore[union-attr]
        assert {field.key for field in section.fields} <= set(model.model_fields)  # type: ignore[union-attr]


def test_closed_days_are_closed() -> None:
    """By weekday and by date (25 December 2026 is a Friday, by any calendar)."""
    text = '[kitchen]\nclosed_weekdays = ["monday"]\nclosed_dates = [2026-12-25]\n'
    kitchen = parse_site(text, "x").kitchen
    assert kitchen.closed_on(date(2026, 12, 25))
    assert kitchen.closed_on(date(2026, 12, 28))
    assert not kitchen.closed_on(date(2026, 12, 26))


def test_a_dish_of_the_menu_is_the_food_that_it_stands_for(tmp_path: Path, now: SetClock) -> None:
    """155°F for ground beef: FDA model Food Code 2022, 3-401.11(A)(2); cheesecake is ready to eat."""
    menu = '[kitchen]\nname = "k"\n[menu]\n"moon pie" = "cheesecake"\n"number nine" = "ground beef"\n'
    site = parse_site(menu, "x")
    talk = TypedTalk(tmp_path, lambda: (site, now))
    said = ("where does the moon pie go", "how hot do I cook the number nine")
    first, second = talk.try_words(site, said)
    assert "ready to eat" in first.reply
    assert "155°F" in second.reply
