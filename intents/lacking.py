"""What a language pack still lacks of what English has: the list that whoever adds a language works off."""

from __future__ import annotations

from assistant.rules.food_names import find_food
from assistant.rules.foods import all_foods
from intents.catalogue import load_catalogue
from intents.language import data_folder
from intents.lexicon import BASE, not_needed, pack_tables, words_lacking
from intents.names_heard import foods_of

FILES = (
    "__init__.py",
    "numbers.py",
    "clock.py",
    "spell.py",
    "quantities.toml",
    "shown.toml",
    "foods.csv",
    "equipment.csv",
)
"""What a pack must have besides concepts and intents."""


def lacking_of(code: str) -> tuple[tuple[str, str], ...]:
    """Return the kind and name of everything that a pack lacks and does not do well without.

    Kinds, in the order in which they are best made: "file", "list", "concept", "intent" (the whole table),
    "reply" (of an intent that is there), "food".
    """
    found = [("file", name) for name in FILES if not (data_folder(code) / name).is_file()]
    found += words_lacking(code)
    own, replies = _replies(code), list[tuple[str, str]]()
    for name, intent in load_catalogue(BASE).intents.items():
        if intent.replies and name not in own:
            found.append(("intent", name))
        elif intent.replies:
            replies += [("reply", f"{name}.{key}") for key in intent.replies if key not in own[name]]
    named = {food.name for _, said in foods_of(code) if (food := find_food(said)) is not None}
    foods = [("food", food.name) for food in all_foods() if food.name not in named]
    return tuple(row for row in (*found, *replies, *foods) if row not in not_needed(code))


def _replies(code: str) -> dict[str, frozenset[str]]:
    """Return the keys of the replies that a pack has itself, by intent."""
    tables = (row for topic, rows in pack_tables(code).items() if topic != "concepts" for row in rows)
    return {name: frozenset(table["replies"]) for name, table in tables if table.get("replies")}
