"""Opens the recogniser that listens, with the words of the intents and the site, and hears sound as turns."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor

from assistant.audio.utterance import RATE, Samples, Utterance
from assistant.audio.voice_activity import trim_to_speech
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.turn import Turn
from assistant.logbook.entry import Clip
from assistant.logbook.store import Logbook
from assistant.speech.recogniser import Recogniser, recognise
from assistant.speech.vocabulary import Vocabulary
from intents.interpret import Interpreter
from intents.language import language
from intents.words import tokenise

CLIP_PAD_SECONDS = 0.3
"""Sound kept before and after the speech in a clip."""


def vocabulary_of(
    interpreter: Interpreter, wake_phrase: str = "", said: Mapping[str, str] | None = None
) -> Vocabulary:
    """Return every word that the intents and the site's names hold; nouns are equipment and trade words.

    Food names are many: those of the examples and the trade's short words come first. ``said`` tells how
    names are said, in letters that sound like it.
    """
    numbers = language(interpreter.lexicon.language).numbers
    lexicon, catalogue, names = interpreter.lexicon, interpreter.catalogue, interpreter.names
    examples = tuple(example.say for intent in catalogue.intents.values() for example in intent.examples)
    words = set(lexicon.finder.words) | set(lexicon.filler) | set(lexicon.links) | numbers.number_words()
    spoken = (*names.foods, *names.equipment, *names.people, *names.rounds)
    words |= {word for phrase, _ in spoken for word in phrase.split()}
    words |= {
        word for sentence in examples for word in sentence.lower().replace(",", " ").replace("?", " ").split()
    }
    main_names: dict[str, str] = {}
    for phrase, place in names.equipment:
        if not any(numbers.is_number_word(word) for word in phrase.split()):
            main_names.setdefault(place, phrase)
    people = [name for _, name in names.people][:MOST_PEOPLE]
    nouns = dict.fromkeys([*people, *HINTED, *main_names.values()])
    return Vocabulary(
        tuple(sorted(words)), examples, tuple(nouns), wake_phrase, own_names(interpreter, said or {})
    )


def own_names(interpreter: Interpreter, said: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Return each word of the site's own names, with the letters by which it is said."""
    numbers = language(interpreter.lexicon.language).numbers
    told = {name.lower(): letters for name, letters in said.items()}
    words = dict.fromkeys(word for name in interpreter.sites_own for word in tokenise(name))
    return tuple(
        (word, told.get(word, word)) for word in words if word.isalpha() and not numbers.is_number_word(word)
    )


MOST_PEOPLE = 8
"""Names of people hinted at: unhinted, "this is Dev" was heard as "devil" from most voices."""

HINTED = (
    "quat bucket", "chlorine bucket", "walk-in", "reach-in", "low-boy", "thaw", "sanitizer", "ppm",
    "hand sink", "third sink", "steam table", "dish machine", "final rinse", "ground beef", "prep cooler",
    "freezer",
)  # fmt: skip
"""Trade words that a general recogniser tends to mishear, the most needed first. Never a number."""


def hear(conversation: Conversation, recogniser: Recogniser, utterance: Utterance, log: Logbook) -> Turn:
    """Recognise one utterance and take the turn; its clip is kept only if something is logged."""
    hypotheses = recognise(recogniser, utterance)
    return conversation.hear(hypotheses, keeper(log, utterance))


def keeper(log: Logbook, utterance: Utterance, cut: bool = False) -> Callable[[], Clip]:
    """Return a function that keeps the spoken part of ``utterance`` as a clip when it is called.

    With ``cut`` it is that part already: looking for speech again would delay the answer.
    """

    def keep() -> Clip:
        spoken: Samples = utterance.samples if cut else trim_to_speech(utterance, CLIP_PAD_SECONDS).samples
        return log.keep_clip(spoken if len(spoken) else utterance.samples, RATE, utterance.said_at)

    return keep


def open_recogniser(
    interpreter: Interpreter,
    engine: str = "",
    wake_phrase: str = "",
    said: Mapping[str, str] | None = None,
) -> Recogniser:
    """Return the recogniser called ``engine``, or the best one installed, warmed up.

    Raises ``InputError`` for an unknown name and ``MissingError`` where its model is not installed.
    """
    with Opening(engine, interpreter.lexicon.language) as opening:
        return opening.recogniser(interpreter, wake_phrase, said)


class Opening:
    """A recogniser that is loaded beside other work, such as opening the kitchen that has its words.

    Loading begins at once. A block that ends without having asked for the recogniser gives it up.
    """

    def __init__(self, engine: str = "", language: str = "en") -> None:
        self._words: Future[Vocabulary] = Future()
        self._thread = ThreadPoolExecutor(1, "opening")
        self._opened = self._thread.submit(self._open, engine, language)

    def recogniser(
        self, interpreter: Interpreter, wake_phrase: str = "", said: Mapping[str, str] | None = None
    ) -> Recogniser:
        """Return it, loaded and warmed up; raises as ``open_recogniser`` does."""
        self._words.set_result(vocabulary_of(interpreter, wake_phrase, said))
        interpreter.interpret("warm up")  # builds its index of examples, which takes half a second
        return self._opened.result()

    def __enter__(self) -> Opening:
        return self

    def __exit__(self, *fault: object) -> None:
        self._words.cancel()
        self._thread.shutdown(wait=False)

    def _open(self, engine: str, language: str) -> Recogniser:
        from assistant.speech.engines import open_engine

        recogniser = open_engine(engine, self._words.result, language)
        recogniser.warm_up()
        return recogniser
