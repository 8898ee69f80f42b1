"""The page in Spanish: every text of a template is in the table in both languages, with the same values."""

from __future__ import annotations

import html
import re
from collections import Counter
from pathlib import Path

import pytest
from jinja2 import Environment
from starlette.testclient import TestClient

import assistant.manager
from assistant.manager import set_up, shown
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.render import NAV, TITLES
from assistant.manager.spans import WORDS
from assistant.manager.texts import _ATTRIBUTE, _SENTENCE, _SLOT, _WORDY, Shown, rows, translate

TEMPLATES = sorted((Path(assistant.manager.__file__).parent / "templates").glob("*.html"))
CODE = {
    "kitchen card --pdf card.pdf",
    "kitchen log verify",
    "kitchen manager person",
    "kitchen manager set-pin",
}
ENGLISH = (
    "the",
    "of",
    "and",
    "is",
    "was",
    "not",
    "with",
    "this",
    "what",
    "by",
    "from",
    "are",
    "no",
    "to",
    "all",
)
"""The commonest words of English that are no word of Spanish as a page has it ("no" is: left out below)."""


def texts_of(template: Path) -> list[str]:
    """Return what a template shows: between tags, in attributes read aloud, and in expressions."""
    found: list[str] = []
    inside = False
    environment = Environment(trim_blocks=True, lstrip_blocks=True)
    for token in environment._tokenize(template.read_text(encoding="utf-8"), template.name, None):
        if token.type == "string" and _SENTENCE.match(token.value) and re.search(r"[a-z]{2}", token.value):
            found.append(token.value)
        if token.type != "data":
            continue
        for piece in re.split(r"(<|>)", token.value):
            if piece in ("<", ">"):
                inside = piece == "<"
            elif inside:
                found += [each[1] for each in _ATTRIBUTE.findall(piece)]
            elif _WORDY.search(piece):
                found.append(piece)
    return [" ".join(each.split()) for each in found]


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.stem)
def test_every_text_of_a_template_is_in_the_table(template: Path) -> None:
    """Nothing that a template shows is left in English."""
    known = {english for english, _ in rows()}
    assert [each for each in texts_of(template) if each not in known] == []


def test_what_the_program_shows_is_in_the_table() -> None:
    """Menu, titles, verdicts, kinds, the set-up's forms, days that the log cannot speak of."""
    known = {english for english, _ in rows()}
    shown_words = {word for word in shown.MARKS if word} | set(shown.KIND_WORDS.values())
    menu = {name for _, name in NAV} | set(TITLES.values()) | {text for text in WORDS.values() if text}
    forms = set()
    for section in set_up.sections().values():
        forms |= {section.title, section.one, section.about}
        forms |= {text for field in section.fields for text in (field.label, field.help) if text}
    assert sorted((shown_words | menu | forms) - known) == []


def test_both_languages_have_the_same_values() -> None:
    """Each row once, nothing empty, the same slots, and no slot beside another."""
    assert [english for english, count in Counter(row[0] for row in rows()).items() if count > 1] == []
    for english, spanish in rows():
        assert english
        assert spanish
        if not english.startswith("1 "):
            assert sorted(_SLOT.findall(english)) == sorted(_SLOT.findall(spanish)), english
        assert "}{" not in english


@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        ("2 readings, lowest 3°C, highest 4°C; 2 failed.",
         "2 lecturas, mínima 3°C, máxima 4°C; fallaron: 2."),
        ("the log has 4 to mend", "the log has 4 to mend"),
        ("41°F or colder", "41°F o más frío"),
        ("due by 10:30 am: done late at 11:20 am", "antes de 10:30 am: hecha tarde a las 11:20 am"),
        ("not done: 3 of 8 places read", "sin hacer: 3 de 8 lugares leídos"),
        ("the soup of the day", "the soup of the day"),
    ],
)  # fmt: skip
def test_values_stay_as_they_are(english: str, spanish: str) -> None:
    """What is around them changes; what no row fits stays."""
    assert translate(english, "es") == spanish
    assert translate(english, "en") == english


def test_days_in_spanish() -> None:
    """1 March 2026 was a Sunday (any calendar)."""
    from datetime import date

    assert Shown("es").day(date(2026, 3, 1)) == "domingo 1 de marzo de 2026"
    assert Shown("es").short_day(date(2026, 3, 1)) == "dom 1 mar"


PATHS = ("/", "/log", "/week", "/places", "/actions", "/review", "/record", "/copies", "/kitchen")


@pytest.mark.parametrize("path", PATHS)
def test_a_spanish_page_has_no_english_left(desk: LocalDesk, path: str) -> None:
    """Outside what was logged, named or typed: counted by the commonest English words."""
    kitchen = desk.site.kitchen.model_copy(update={"language": "es"})
    desk.site = desk.site.model_copy(update={"kitchen": kitchen})
    page = TestClient(build(desk, desk.folder), base_url="http://127.0.0.1")
    text = page.get(path).text
    assert '<html lang="es">' in text
    body = re.sub(
        r'<p class="said">.*?</p>|<option.*?</option>|<td[^>]*>.*?</td>|<th scope="row">.*?</th>',
        " ",
        text,
        flags=re.DOTALL,
    )
    body = re.sub(
        r"<li><strong>.*?</li>|<summary>.*?</summary>|<a [^>]*lang=.*?</a>|<code>.*?</code>",
        " ",
        body,
        flags=re.DOTALL,
    )
    plain = html.unescape(re.sub(r"<[^>]+>", " ", body[body.index("<body") :])).lower()
    left = [word for word in re.findall(r"[a-záéíóúñü]+", plain) if word in set(ENGLISH) - {"no"}]
    assert left == []


def test_a_browser_may_choose_the_language(page: TestClient) -> None:
    """Spanish by the link at the foot, and back."""
    assert "Acciones abiertas" in page.get("/language?to=es").text
    assert '<html lang="es">' in page.get("/log").text
    assert "Open actions" in page.get("/language?to=en").text
    assert '<html lang="en">' in page.get("/language?to=xx").text


def test_what_was_said_is_never_translated(desk: LocalDesk, page: TestClient) -> None:
    """A remark that is also a text of the page stays as it was typed."""
    from assistant.logbook import Draft

    desk.append(Draft(kind="not_taken", subject="walk-in", note="Nothing is open."))
    page.get("/language?to=es")
    assert "Nothing is open." in page.get("/").text
