"""The card for the wall: one page, the site's own places, and every line of it understood."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.logbook import Logbook, SetClock
from assistant.manager.card_pdf import write_card
from assistant.manager.phrase_card import phrase_card
from assistant.manager.wall_card import LANGUAGES, wall_card
from assistant.manager.wall_card_pdf import write_wall_card
from assistant.site import Equipment, Kitchen, Site
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("languages", [("en",), ("es",), LANGUAGES], ids="+".join)
def test_it_is_one_page(site: Site, tmp_path: Path, paper: str, languages: tuple[str, ...]) -> None:
    """Every line is on it, whole, in either paper."""
    cards = tuple(wall_card(site, each) for each in languages)
    assert write_wall_card(cards, site.kitchen.name, tmp_path / "card.pdf", paper=paper) == 1
    done = subprocess.run(["pdftotext", str(tmp_path / "card.pdf"), "-"], capture_output=True, check=True)
    text = "".join(done.stdout.decode().split())
    for card in cards:
        for line in card.lines:
            assert "".join(line.say.split()) in text
        assert "".join(card.caution.split()) in text


def test_it_names_the_sites_own_places(site: Site) -> None:
    """In each language; the sanitizer by its label; what a site lacks is left out."""
    english, spanish = ([line.say for line in wall_card(site, each).lines] for each in LANGUAGES)
    assert english[:3] == ["walk-in 38", "quat bucket 1 200", "steam table 148"]
    assert spanish[:3] == ["cuarto frío 38", "cubeta de cuat 1 200", "mesa de vapor 148"]
    small = Site(
        kitchen=Kitchen(units="C", profile="fda_2022"),
        equipment=(Equipment(id="fridge", name="tall fridge", kind="cold_holding"),),
    )
    lines = [line.say for line in wall_card(small, "en").lines]
    assert lines[:2] == ["tall fridge 3", "chicken 74"]
    assert not any("this is" in line or "start the" in line for line in lines)


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
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True)
    text = done.stdout.decode()
    assert "página 1 de" in text
    said = text.replace(site.kitchen.wake_phrase, "").lower()
    words = set(re.findall(r"[a-z]+", said))
    assert not words & {"the", "what", "say", "page", "of", "and", "how", "with", "when", "then", "or", "is"}
