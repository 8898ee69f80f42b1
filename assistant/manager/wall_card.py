"""The card for the wall: the dozen things said most, by the site's own places, in one or two languages."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from assistant.manager.shown import plain
from assistant.site import Equipment, Site
from intents.language import language as spell_of
from intents.language import languages
from intents.wording import wording

LANGUAGES = languages()


@dataclass(frozen=True, slots=True)
class WallLine:
    """One thing to say, and what it does."""

    say: str
    does: str


@dataclass(frozen=True, slots=True)
class WallCard:
    """One language's card."""

    language: str
    title: str
    lines: tuple[WallLine, ...]
    caution: str
    remark: str


@cache
def _table() -> dict[str, Any]:
    text = (files("assistant.manager") / "tables" / "wall_card.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def topic_order() -> tuple[str, ...]:
    """Return the topics in the order in which they are needed most; others come after."""
    return tuple(_table()["order"])


def topic_titles(language: str) -> dict[str, str]:
    """Return how topics are called on the list; one that is not there is called by its own name."""
    return dict(_table()["topics"].get(language, {}))


def list_words(language: str, wake_phrase: str) -> dict[str, str]:
    """Return the words around the cards: title, short, intro, caution, page, and the wall card's title."""
    table = _table()
    words = {**table["list"][language], "caution": table["words"][language]["caution"]}
    return {name: text.replace("{wake}", wake_phrase) for name, text in words.items()}


def wall_card(site: Site, language: str) -> WallCard:
    """Return the card of a site in a language (``en``, ``es``)."""
    table = _table()
    wake = site.kitchen.wake_phrase
    words = {name: text.format(wake=wake) for name, text in table["words"][language].items()}
    lines = (_line(row, site, language) for row in table["lines"])
    return WallCard(
        language, words["title"], tuple(each for each in lines if each), words["caution"], words["emergency"]
    )


def _line(row: dict[str, Any], site: Site, language: str) -> WallLine | None:
    """Return a line with the site's own names, ``None`` where the site has nothing to put in."""
    values = {"value": row.get("value", {}).get(site.kitchen.units, "")}
    if kinds := row.get("kinds"):
        item = next((item for kind in kinds for item in site.equipment if item.kind == kind), None)
        if item is None:
            return None
        values["place"] = _spoken(item, language)
        values["value"] = values["value"] or _strength(site, item)
    if needs := row.get("needs", ""):
        names = [each.name for each in (site.rounds if needs == "round" else site.people)]
        if not names:
            return None
        values[needs] = wording(language).shown(names[0])
    if language not in row or (kinds and not values["value"]):
        return None
    text = row[language]
    return WallLine(text["say"].format(**values), text["does"])


def _strength(site: Site, item: Equipment) -> str:
    product = site.product_of(item.id)
    return plain(product.target_ppm or product.label_min_ppm) if product else ""


def _spoken(item: Equipment, language: str) -> str:
    """Return how a place is said in a language, its number as a word: the value's digits stand beside it."""
    name = wording(language).place(item.name)
    return f"{name} {spell_of(language).spell.say_integer(item.numbers[0])}" if item.numbers else name
