"""Which language typed words are in: another one is tried only where it could win."""

from __future__ import annotations

from collections.abc import Callable
from itertools import permutations

import pytest

from assistant.dialogue import conversation
from assistant.dialogue.conversation import Conversation
from assistant.site import Site
from intents.hypotheses import Hypotheses, Hypothesis
from intents.language import languages
from intents.lexicon import load_lexicon


@pytest.mark.parametrize(("one", "other"), [*permutations(languages(), 2)])
def test_no_emergency_is_said_in_the_own_words_of_another_language(one: str, other: str, site: Site) -> None:
    """So words that all stand in one language's own tables need not be looked at in the other's."""
    own, lexicon = conversation.interpreter_for(site, one).own_words, load_lexicon(other)
    phrases = {
        *(
            phrase
            for name, words in lexicon.lists.items()
            if name.startswith("emergency_")
            for phrase in words
        ),
        *lexicon.heard_as,  # what is misheard may turn into one
    }
    assert phrases
    assert [phrase for phrase in phrases if set(phrase.split()) - {"+"} <= own] == []


@pytest.mark.parametrize(
    ("say", "tried"),
    [
        ("quat bucket two hundred", ["en"]),
        ("se fue la luz", ["en", "es"]),
        ("is the chili fine", ["en"]),
    ],
)
def test_what_is_wholly_of_one_language_is_read_in_no_other(
    talk: Conversation, monkeypatch: pytest.MonkeyPatch, say: str, tried: list[str]
) -> None:
    """Nor is another language's interpreter built, which takes longer than all the rest of a typed turn."""
    asked: list[str] = []
    made: Callable[[str], object] = talk.speaker_of
    monkeypatch.setattr(talk, "speaker_of", lambda code: asked.append(code) or made(code))
    talk.hear(Hypotheses.typed(say))
    assert asked == tried


@pytest.mark.parametrize(
    ("language", "said", "other", "answered"),
    [
        ("es", "está inconsciente", "está en la mesa de vapor", "emergencias"),
        ("en", "she is not breathing", "she is not bringing the chicken", "emergency"),
    ],
)
def test_an_emergency_is_not_hidden_by_likelier_words(
    talk: Conversation, language: str, said: str, other: str, answered: str
) -> None:
    """A listener that is unsure has heard it all the same; a mere trace of it does not count."""

    def heard(share: float) -> Hypotheses:
        ways = (Hypothesis(other, 1 - share), Hypothesis(said, share))
        return Hypotheses(ways, 0.9, "whisper", "any", language=language, woken=True)

    assert answered in talk.hear(heard(0.3)).reply.lower()
    talk.fresh()  # right after an emergency its advice may be given again
    assert answered not in talk.hear(heard(0.04)).reply.lower()
