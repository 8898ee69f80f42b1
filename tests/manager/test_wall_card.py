"""The card for the wall: one page, the site's own places, and every line of it understood."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.logbook import Logbook, SetClock
from assistant.manager.card_pdf import write_card
from assistant.manager.phrase_card import phrase_card
from assistant.manager.wall_card import LANGUAGES, wall_card
from assistant.manager.wall_card_pdf import write_wall_card
from assistant.site import Equipment, Kitchen, Site, load_site
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses
from intents.wording import pairs, wording
from tests.manager.pdf_text import pdf_text


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("languages", [("en",), ("es",), LANGUAGES], ids="+".join)
def test_it_is_one_page(site: Site, tmp_path: Path, paper: str, languages: tuple[str, ...]) -> None:
    """Every line is on it, whole, in either paper."""
    cards = tuple(wall_card(site, each) for each in languages)
    assert write_wall_card(cards, site.kitchen.name, tmp_path / "card.pdf", paper=paper) == 1
    text = "".join(pdf_text(tmp_path / "card.pdf").split())
    for card in cards:
        for line in card.lines:
            assert "".join(line.say.split()) in text
        assert "".join(card.caution.split()) in text


def test_it_names_the_sites_own_places(site: Site) -> None:
    """In each language; the sanitizer by its label; what a site lacks is left out."""
    english, spanish = ([line.say for line in wall_card(site, each).lines] for each in LANGUAGES)
    assert english[:3] == ["walk-in 38", "quat bucket one 200", "steam table 148"]
    assert spanish[:3] == ["cuarto frío 38", "cubeta de cuat uno 200", "mesa de vapor 148"]
    small = Site(
        kitchen=Kitchen(units="C", profile="fda_2022"),
        equipment=(Equipment(id="fridge", name="tall fridge", kind="cold_holding"),),
    )
    lines = [line.say for line in wall_card(small, "en").lines]
    assert lines[:2] == ["tall fridge 3", "chicken 74"]
    assert not any("this is" in line or "start the" in line for line in lines)


KITCHENS = Path(__file__).parents[1] / "dialogue" / "kitchens"


@pytest.mark.parametrize("kitchen", ["canteen", "diner"])
def test_names_that_the_language_has_not_stay_as_the_site_writes_them(kitchen: str) -> None:
    """No name half in the other language ("hot tazaboard", "camarones drawer"), on the card or said back."""
    there = load_site(KITCHENS / f"{kitchen}.toml")
    own = {each.name for each in there.equipment}
    for name in own:
        assert wording("es").place(name) in (name, dict(_called_in_spanish()).get(name.lower()))
    says = [line.say for line in wall_card(there, "es").lines[:3]]
    assert all(say.rpartition(" ")[0] in own for say in says), says


def _called_in_spanish() -> list[tuple[str, str]]:
    return [(english.lower(), spoken) for spoken, english in reversed(pairs("es", "equipment"))]


def test_a_place_is_said_back_in_spanish_as_the_site_writes_it(tmp_path: Path) -> None:
    """A drawer named by a food that Spanish has a word for."""
    diner = load_site(KITCHENS / "diner.toml")
    kitchen = diner.model_copy(update={"kitchen": diner.kitchen.model_copy(update={"language": "es"})})
    with Logbook.open(tmp_path, site=kitchen.kitchen.name) as log:
        talk = Conversation(kitchen, log, log.clock)
        assert talk.hear(Hypotheses.typed("shrimp drawer 38")).reply == "Shrimp drawer, 38°F. Bien."
        talk.hear(Hypotheses.typed("shrimp drawer 50"))
        assert talk.hear(Hypotheses.typed("qué sigue abierto")).reply.endswith(
            "shrimp drawer, medir la comida."
        )


@pytest.mark.parametrize("kitchen", ["", "canteen", "diner"])
def test_two_languages_stand_line_beside_line(site: Site, tmp_path: Path, kitchen: str) -> None:
    """What means the same begins at the same height, and the last line is clear of the running foot."""
    there = load_site(KITCHENS / f"{kitchen}.toml") if kitchen else site
    cards = tuple(wall_card(there, each) for each in LANGUAGES)
    path = tmp_path / "card.pdf"
    assert write_wall_card(cards, there.kitchen.name, path) == 1
    text = pdf_text(path, "-bbox")
    found = re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)"', text)
    words = [(float(x), float(top), float(bottom)) for x, top, bottom in found]
    middle = float(re.findall(r'<page width="([\d.]+)"', text)[0]) / 2
    begins = [min(x for x, *_ in words if x > edge) for edge in (0, middle)]
    left, right = ({round(top) for x, top, _ in words if abs(x - edge) < 1.5} for edge in begins)
    assert len(left & right) > len(cards[0].lines)
    foot = max(top for _, top, _ in words)
    body = max(bottom for _, top, bottom in words if top < foot - 1)
    assert foot - body > 8


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_line_is_understood(site: Site, tmp_path: Path, language: str) -> None:
    """Said one after the other as they stand on the wall, each is answered or logged."""
    from datetime import UTC, datetime

    clock = SetClock(datetime(2026, 3, 2, 15, tzinfo=UTC))
    with Logbook.open(tmp_path, site=site.kitchen.name, clock=clock) as log:
        for line in wall_card(site, language).lines:
            talk = Conversation(site, log, clock)
            talk.hear(Hypotheses.typed("walk-in 38" if language == "en" else "cuarto frío 38"))
            for say in line.say.split(" · "):
                reply = talk.hear(Hypotheses.typed(say)).reply
                assert reply, say
                assert not reply.startswith(("I don't have", "No tengo una regla")), (say, reply)


def test_the_spanish_list_has_no_english_left(site: Site, tmp_path: Path) -> None:
    """Titles, lines and the running foot of the printed list are Spanish; the wake phrase is the site's."""
    topics = phrase_card(load_catalogue("es"))
    english = {topic.title for topic in phrase_card(load_catalogue("en"))}
    assert not english & {topic.title for topic in topics}
    path = tmp_path / "list.pdf"
    write_card(topics, site.kitchen.wake_phrase, "Cocina", path, language="es")
    text = pdf_text(path, "-layout")
    assert "página 1 de" in text
    said = text.replace(site.kitchen.wake_phrase, "").lower()
    words = set(re.findall(r"[a-z]+", said))
    assert not words & {"the", "what", "say", "page", "of", "and", "how", "with", "when", "then", "or", "is"}
