"""Two listeners as one recogniser: a streaming partner, and a slower one that writes the words down.

The partner gives the words while they are spoken; the other works ahead in a thread of its own as soon
as the speaker pauses. What each of them heard stays apart, so that the dialogue can ask whether both
heard the same number.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace

import numpy as np

from assistant.audio.utterance import RATE, Samples, empty, to_samples
from assistant.speech.calls import Call, Opinions, may_be_call, opens_with_call
from assistant.speech.recogniser import Recogniser
from assistant.speech.vocabulary import Lack
from intents.hypotheses import Hypotheses

_SILENCE = np.zeros(RATE * 3 // 10, np.int16)
"""As long as a listener needs to notice that nobody speaks any more."""
_FAINT = 100.0  # of 32768: the noise of a quiet room


class PairRecogniser:
    """``words`` decides what was said, ``partner`` streams and is asked for a second opinion.

    With a ``phrase`` both are asked whether an utterance opens with it.
    """

    def __init__(self, words: Recogniser, partner: Recogniser, phrase: str = "") -> None:
        self._words = words
        self._partner = partner
        self._phrase = phrase
        self._thread = ThreadPoolExecutor(1, "listener")
        self._ahead: Future[str] | None = None
        self._looks: list[Future[bool]] = []
        self._call = Call.OPEN
        self._habit: float | None = None
        self._sound: list[Samples] = []
        self._over = False

    @property
    def name(self) -> str:
        """Both engines' names."""
        return f"{self._words.name}+{self._partner.name}"

    @property
    def model(self) -> str:
        """Both models' names."""
        return f"{self._words.model}+{self._partner.model}"

    def warm_up(self) -> None:
        """Warm both up, side by side."""
        warming = self._thread.submit(self._words.warm_up)
        self._partner.warm_up()
        warming.result()
        if self._phrase:
            self._thread.submit(self._unsaid).result()

    def start(self) -> None:
        """Begin an utterance in both. What the thread still decodes is thrown away when it is done."""
        self._clear()
        self._words.start()
        self._partner.start()

    def accept(self, frames: bytes | Samples) -> None:
        """Hand the frames to both; the partner decodes them at once."""
        samples = to_samples(frames)
        self._sound.append(samples.copy())
        if not self._over:
            self._words.accept(samples)
        self._partner.accept(samples)

    @property
    def streams(self) -> bool:
        """Whether the partner gives words while they are spoken."""
        return self._partner.streams

    def partial(self) -> str:
        """Return the partner's words so far, within milliseconds."""
        return self._partner.partial()

    def ahead(self) -> None:
        """Let the other one decode what there is, in its own thread; returns at once."""
        if not self._over:
            self._forget()
            self._ahead = self._thread.submit(self._words.partial)

    def ahead_words(self) -> str:
        """Return what the other one made of the last pause, as soon as it is done."""
        return self._ahead.result() if self._ahead is not None and self._ahead.done() else ""

    def over(self) -> None:
        """Let the other one decode what there is, with silence behind it in place of what still comes."""
        if not self._over:
            self._words.accept(_SILENCE)
            self.ahead()
            self._over = True

    def go_on(self) -> None:
        """Let the other one begin anew with all the sound."""
        if self._over:
            self._over = False
            self._forget()
            self._words.start()
            self._words.accept(np.concatenate([*self._sound, empty()]))

    def woken(self) -> bool:
        """Tell whether the partner heard the wake phrase."""
        return self._partner.woken()

    def opening(self, samples: Samples, phrase: str) -> float | None:
        """Return what the one that decides thinks."""
        return self._words.opening(samples, phrase)

    def look(self) -> None:
        """Ask both about the sound so far, in the thread. The last look counts: it has heard most."""
        if self._phrase:
            sound = np.concatenate([*self._sound, empty()])
            self._looks.append(self._thread.submit(self._opens, sound))

    def call(self, wait: bool = False) -> Call:
        """Return what the last look has shown, or that the words tell where no phrase is listened for."""
        while self._looks and (wait or self._looks[0].done()):
            self._call = Call.YES if self._looks.pop(0).result() else Call.NO
        return self._call if self._phrase else Call.BY_WORDS

    def _opens(self, samples: Samples) -> bool:
        written = self._words.opening(samples, self._phrase)
        if written is None or not may_be_call(written):
            return False
        margin = self._partner.opening(samples, self._phrase)
        return opens_with_call(Opinions(written, self._unsaid(), margin))

    def _unsaid(self) -> float:
        """Return how readily the one that decides writes the phrase where nobody speaks."""
        if self._habit is None:
            noise = np.random.default_rng(0).normal(0, _FAINT, 2 * RATE).astype(np.int16)
            self._habit = self._words.opening(noise, self._phrase) or 0.0
        return self._habit

    def finish(self) -> Hypotheses:
        """Return the words of the one, with what the partner heard beside them."""
        second = self._partner.finish()
        self._settle()
        first = self._words.finish()
        self._clear()
        timings = {
            **first.timings_ms,
            **{f"partner_{key}": value for key, value in second.timings_ms.items()},
        }
        # Who knows another language than was spoken has no opinion of the words.
        knows = not first.language or second.language in ("", first.language)
        return replace(
            first,
            engine=self.name,
            model=self.model,
            woken=second.woken,
            second=second.alternatives if knows else None,
            advice=first.advice or second.advice,
            timings_ms=timings,
        )

    def reset(self) -> None:
        """Drop the utterance in both."""
        self._clear()
        self._words.reset()
        self._partner.reset()

    def lacking(self) -> tuple[Lack, ...]:
        """Return the words that the partner does not know; the other one spells them."""
        return tuple(replace(lack, written=True) for lack in self._partner.lacking())

    def close(self) -> None:
        """Let go of both models."""
        self._thread.shutdown(wait=True, cancel_futures=True)
        self._words.close()
        self._partner.close()

    def _clear(self) -> None:
        self._forget()
        for look in self._looks:
            look.cancel()
        self._looks.clear()
        self._call = Call.OPEN
        self._sound.clear()
        self._over = False

    def _forget(self) -> None:
        """Drop work that a later pause has made stale, if the thread has not begun with it."""
        if self._ahead is not None:
            self._ahead.cancel()
            self._ahead = None

    def _settle(self) -> None:
        """Wait for work in the thread; a fault in it is raised here."""
        if self._ahead is not None:
            self._ahead.result()
            self._ahead = None
