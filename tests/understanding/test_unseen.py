"""Sentences that nothing was trained on are understood; see README.md for the figures and who wrote them."""

from __future__ import annotations

import pytest

from intents.catalogue import load_catalogue
from tests.understanding.judge import Figures, judge, sentences


@pytest.fixture(scope="module", params=["unseen_1", "unseen_2", "unseen_3", "unseen_4"])
def figures(request: pytest.FixtureRequest) -> Figures:
    """What comes of one set, each sentence said alone."""
    return judge(request.param, overheard=False)


def test_most_are_understood(figures: Figures) -> None:
    """A little below what is measured today: a later change may not cost more than a point."""
    assert figures.understood >= 0.92 * figures.fair
    assert figures.answered >= 0.90 * figures.fair


def test_few_are_met_with_silence(figures: Figures) -> None:
    """Who asks a fair thing is answered."""
    assert figures.silent <= 0.03 * figures.fair


def test_no_more_than_one_is_permitted_that_would_hurt(figures: Figures) -> None:
    """Replies to what is dangerous are read: those that are left say what the rules say (see the README)."""
    permitted = len(figures.permitted)  # counted, so that a failure prints no sentence of the counted set
    assert permitted <= 1


def test_little_talk_is_acted_on(figures: Figures) -> None:
    """Typed talk: what is said aloud without the wake phrase has to be surer."""
    assert figures.acted <= 0.08 * figures.talk


@pytest.mark.parametrize("name", ["unseen_1", "unseen_2", "unseen_3", "unseen_4"])
def test_every_intent_is_judged(name: str) -> None:
    """The judged intents are those of the tables."""
    judged = {sentence.intent for sentence in sentences(name)}
    assert judged <= set(load_catalogue("en").intents)
    assert len(judged) >= 270


@pytest.mark.parametrize(
    ("name", "least"),
    [("unseen_es_1", 0.92), ("unseen_es_2", 0.87), ("unseen_es_3", 0.89), ("unseen_es_4", 0.95)],
)
def test_spanish_is_understood(name: str, least: float) -> None:
    """A little below what is measured today; the two permitted ones are named in the README."""
    found = judge(name, overheard=False)
    assert found.understood >= least * found.fair
    assert found.silent <= 0.04 * found.fair
    assert len(found.permitted) <= 2
    assert found.acted <= 0.15 * found.talk
