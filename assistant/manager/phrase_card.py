"""What can be said, by topic, made from the intents themselves; for the page, the printed card and text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.manager.wall_card import list_words, topic_order, topic_titles
from intents.catalogue import Catalogue, Intent

EXAMPLES = 2
"""How many further examples stand below each line of the card."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """One thing that can be said: a line with its example, and a few more ways to say it."""

    intent: str
    about: str
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Topic:
    """All phrases of one topic."""

    title: str
    phrases: tuple[Phrase, ...]


def phrase_card(catalogue: Catalogue) -> tuple[Topic, ...]:
    """Return the list of a language by topic, what is needed most first."""
    topics: dict[str, list[Intent]] = {}
    for intent in catalogue.intents.values():
        if intent.about and intent.examples:  # else only replies, nothing to say
            topics.setdefault(intent.topic, []).append(intent)
    rank = {topic: number for number, topic in enumerate(topic_order())}
    order = sorted(topics, key=lambda topic: (rank.get(topic, len(rank)), topic))
    titles = topic_titles(catalogue.language)
    return tuple(Topic(_title(topic, titles), tuple(map(_phrase, topics[topic]))) for topic in order)


def card_text(card: tuple[Topic, ...], wake_phrase: str, language: str = "en") -> str:
    """Return the card as plain text."""
    lines = [list_words(language, wake_phrase)["intro"].replace("“", '"').replace("”", '"')]
    for topic in card:
        lines += ["", topic.title.upper()]
        for phrase in topic.phrases:
            lines.append(f"  {phrase.about}")
            lines += [f'      "{example}"' for example in phrase.examples]
    return "\n".join(lines)


def _title(topic: str, titles: Mapping[str, str]) -> str:
    words = topic.replace("_", " ")
    return titles.get(topic, words[:1].upper() + words[1:])


def _phrase(intent: Intent) -> Phrase:
    fresh = [each.say for each in intent.examples if each.say not in intent.about]
    return Phrase(intent.name, intent.about, tuple(fresh[:EXAMPLES]))
