"""Whatever is said of any food under any profile, the answer can be spoken: no value is missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.dialogue.answer import Request, answer_function
from assistant.dialogue.conversation import interpreter_for
from assistant.dialogue.say import render
from assistant.dialogue.slots import Slots
from assistant.logbook.views import Views
from assistant.site import load_site
from intents.catalogue import load_catalogue

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
SITE = load_site()


class Nothing:
    """A log without an entry."""

    def rows(self, sql: str, parameters: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """Return no row."""
        return []

    def close(self) -> None:
        """Let go of nothing."""


SITES = {
    name: SITE.with_profile(name) for name in ("fda_2022", "fda_2013", "new_york_state", "united_kingdom")
}
INTERPRETER = interpreter_for(SITE)
CATALOGUE = load_catalogue()
TOPICS = set(
    "storage thawing cooking reheating receiving fish guests allergens growth referrals food".split()
)
INTENTS = [i for i in CATALOGUE.intents.values() if i.topic in TOPICS]
FOODS = (
    "chicken; raw chicken; ground beef; steak; salmon; eggs; pooled eggs; lettuce; cheesecake; rice; "
    "prime rib; ham; oysters; raw tuna for crudo; stuffed peppers; flour; ketchup; sausage; milk; "
    "meat; veggie burger; "
    "kidney beans; venison; sprouts; juice; turkey meatballs; sushi; steak tartare; butter; garlic in oil"
).split("; ")
TAILS = ["", "at 145", "at 155 for 20 seconds", "for three hours", "12 pounds", "by thursday noon", "at 44"]


CONCEPTS = sorted(INTERPRETER.lexicon.concepts)


@st.composite
def requests(draw: st.DrawFn) -> Request:
    """Draw an intent with as many foods as it needs or more, some of its meanings, and perhaps a number."""
    intent = draw(st.sampled_from(INTENTS))
    foods = draw(st.lists(st.sampled_from(FOODS), max_size=3))
    text = " and ".join(foods) + " " + draw(st.sampled_from(TAILS))
    slots = Slots.of(INTERPRETER.interpret(text).heard)
    concepts = frozenset(draw(st.lists(st.sampled_from(CONCEPTS), max_size=5)))
    placed = tuple((99, concept) for concept in concepts)
    site = SITES[draw(st.sampled_from(sorted(SITES)))]
    return Request(
        intent.name, replace(slots, concepts=concepts, concept_order=placed), site, NOW, Views(Nothing())
    )


@settings(max_examples=400)
@given(requests())
def test_every_answer_can_be_spoken(request: Request) -> None:
    """The reply and, where there is one, its reason are rendered whole."""
    if request.slots.lacking(CATALOGUE[request.intent].needs):
        return  # asked for before an answer is sought
    function = answer_function(request.intent)
    assert function is not None
    answer = function(request)
    if answer is None:
        return
    told = render(answer, request.intent, CATALOGUE)
    assert told
    assert not any(mark in told for mark in ("{", "None", "  ", ": .", ": ,"))


def test_the_food_topics_say_why() -> None:
    """Every intent of the food topics has its reason ready for "why"."""
    assert not [i.name for i in INTENTS if i.replies and "why" not in i.replies]
