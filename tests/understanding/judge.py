"""Judges the understanding on sentences never trained on.

``uv run python -m tests.understanding.judge [--show]``. ``unseen_*.csv``: say, intent (the right one), others
(further right ones), unsafe (whether a plain yes would be unsafe), act, speaker; by writers who saw only the
intents' names and what they are about. ``unseen_1`` and ``unseen_es_1`` may be read to learn from; the others
are only counted, nobody reads their failures. ``--net FOLDER`` judges another net than the one in use.
"""

from __future__ import annotations

import argparse
import csv
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from assistant.dialogue import conversation
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.turn import Turn
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site, load_site
from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpreter
from intents.meaning import FOLDER as IN_USE
from intents.meaning import NONE, UNSUPPORTED, Meanings
from intents.words import tokenise
from tests.empty_log import open_empty

FOLDER = Path(__file__).parent
READ = ("unseen_1", "unseen_es_1")
"""The sets whose failures may be read."""
OF_TALK = frozenset(
    {"yes", "no", "food_place", "frozen_check", "food_facts", "stop", "repeat", "more", "why", "correction"}
)
"""Intents that lean on what was said before: judged by what was understood, for alone they get no answer."""
OPENING = {"en": "where does the ground beef go", "es": "dónde va la carne molida"}
"""A called question: for some seconds after its answer the live loop hands on what it hears uncalled."""


@dataclass(frozen=True)
class Sentence:
    """One judged sentence."""

    say: str
    intent: str
    others: frozenset[str]
    unsafe: bool
    act: str
    speaker: str
    before: str = ""  # what was said to the assistant just before

    def right(self, intent: str) -> bool:
        """True when ``intent`` is the right one, or one whose answer would be right, too."""
        return intent == self.intent or intent in self.others


@dataclass
class Figures:
    """What was counted of one set."""

    fair: int = 0
    understood: int = 0  # the right intent is the likeliest
    answered: int = 0  # the turn has the right intent
    asked: int = 0  # one short question between two, the right one among them
    silent: int = 0  # silent, or "no rule"
    refused_yes: int = 0  # "I can't say yes to that as I heard it"
    permitted: list[str] = field(default_factory=list, repr=False)  # unsafe ones that got a permitting reply
    talk: int = 0
    acted: int = 0  # talk that got a reply or an entry, though it was typed or called
    overheard: int = 0  # talk that got one, not called, right after an answer
    unsupported: int = 0
    made_up: int = 0  # questions without an answer here that got one
    missed: list[str] = field(default_factory=list, repr=False)
    by_speaker: Counter[str] = field(default_factory=Counter)

    def text(self) -> str:
        """Return the figures in one line."""
        fair, talk = max(self.fair, 1), max(self.talk, 1)
        return (
            f"{self.fair} fair: understood {self.understood / fair:.1%}, answered "
            f"{self.answered / fair:.1%}, asked {self.asked / fair:.1%}, silent or no rule "
            f"{self.silent / fair:.1%}, no yes {self.refused_yes / fair:.1%}; "
            f"permitted though unsafe {len(self.permitted)}; talk acted on {self.acted} of {talk} called, "
            f"{self.overheard} overheard; "
            f"unsupported answered {self.made_up} of {self.unsupported}"
        )


def sentences(name: str) -> list[Sentence]:
    """Return the sentences of one set."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return [
            Sentence(
                r["say"],
                r["intent"],
                frozenset(r["others"].split()),
                r["unsafe"] == "yes",
                r["act"],
                r["speaker"],
                r.get("before", ""),
            )
            for r in csv.DictReader(file)
        ]


@cache
def _site() -> Site:
    return load_site()


@contextmanager
def kitchens(interpreter: Interpreter) -> Iterator[Callable[[], Conversation]]:
    """Open conversations in the example kitchen, at noon, each with an empty log: a new one if need be."""
    with ExitStack() as opened:
        folder = Path(opened.enter_context(TemporaryDirectory()))
        clock = SetClock(datetime(2026, 3, 2, 12, 0, tzinfo=UTC))
        logs: list[Logbook] = []

        def kitchen() -> Conversation:
            if not logs or logs[-1].views.head().count:
                logs.append(opened.enter_context(open_empty(folder / str(len(logs)), clock)))
            return Conversation(_site(), logs[-1], clock, interpreter)

        yield kitchen


@contextmanager
def taught_as(net: Path) -> Iterator[None]:
    """Understand with the net of another folder."""
    meanings = Meanings(net)
    with patch("intents.interpret.meanings", lambda: meanings):
        yield


def judge(name: str, *, overheard: bool = True) -> Figures:
    """Say each sentence of a set alone, typed, and count what came of it.

    ``overheard``: talk is also said behind an answer, to nobody here.
    """
    found = Figures()
    with kitchens(conversation.interpreter_for(_site())) as kitchen:
        for each in sentences(name):
            talk = kitchen()
            if each.before:
                talk.hear(Hypotheses.typed(each.before))
            _count(found, each, talk, talk.hear(Hypotheses.typed(each.say)))
            if overheard and each.intent == NONE:
                found.overheard += _acted(_overheard(kitchen(), each, "es" if "_es_" in name else "en"))
    return found


def _overheard(talk: Conversation, each: Sentence, language: str) -> Turn:
    """Say a sentence to nobody here, right after the answer to a called question."""
    talk.hear(Hypotheses.typed(each.before or OPENING[language]))
    return talk.hear(Hypotheses((Hypothesis(each.say),), engine="whisper"))


def _acted(turn: Turn) -> bool:
    """True for a turn that answers or writes something down."""
    return bool(turn.entries or (turn.reply and turn.intent != "unsure"))


def _count(found: Figures, each: Sentence, talk: Conversation, turn: Turn) -> None:
    if each.intent == NONE:
        found.talk += 1
        if _acted(turn):
            found.acted += 1
            found.missed.append(f"[talk] {each.say} -> {turn.intent}: {turn.reply}")
        return
    if each.intent == UNSUPPORTED:
        found.unsupported += 1
        found.made_up += turn.intent not in (None, "unsure")
        return
    found.fair += 1
    answered, likeliest = each.right(turn.intent or ""), ""
    if not answered:
        likeliest = talk.interpreter.interpret(each.say, tokenise(each.before)).meaning.best.intent
    right = answered or each.right(likeliest)
    found.understood += right
    found.answered += answered or (right and each.intent in OF_TALK)
    asked = turn.asks and turn.intent == "unsure"
    found.asked += asked and not right
    found.silent += (not turn.reply or (turn.intent == "unsure" and not asked)) and each.intent not in OF_TALK
    found.refused_yes += turn.reply.startswith("I can't say yes")
    if each.unsafe and turn.intent and turn.intent != "unsure" and talk.state.last_answer is not None:
        answer = talk.state.last_answer
        intent = answer.intent or turn.intent
        known = intent in talk.base_catalogue
        if known and talk.base_catalogue[intent].stance(answer.reply) == "permits":
            found.permitted.append(f"{each.say} [{each.intent}] -> {turn.intent}: {turn.reply}")
    if not right:
        found.missed.append(f"{each.say} [{each.intent}] -> {likeliest} | {turn.intent}: {turn.reply}")
        found.by_speaker[each.speaker] += 1


def main() -> None:
    """Print the figures of every set; with ``--show`` the failures of those that may be read."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("names", nargs="*", default=["unseen_1", "unseen_2", "unseen_3", "unseen_4"])
    asked.add_argument("--show", action="store_true")
    asked.add_argument("--net", type=Path, default=IN_USE)
    given = asked.parse_args()
    for name in given.names:
        with taught_as(given.net):
            found = judge(name)
        print(f"{name}: {found.text()}")
        if given.show and name in READ:
            print(*found.missed, "--- permitted though unsafe", *found.permitted, sep="\n")
            print(found.by_speaker.most_common())


if __name__ == "__main__":
    main()
