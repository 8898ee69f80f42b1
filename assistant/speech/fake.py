"""A recogniser that returns what a script says: for tests, and for trying a kitchen without a microphone."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.audio.utterance import Samples, to_samples
from assistant.audio.voice_activity import VoiceActivity
from assistant.speech.heard import Heard
from assistant.speech.recogniser import Plain
from assistant.speech.vocabulary import Lack
from intents.hypotheses import Hypotheses, Hypothesis


class ScriptedRecogniser(Plain):
    """Each utterance with speech in it takes the next line of the script; silence takes none."""

    name = "scripted"
    model = "script"
    streams = False

    def __init__(self, script: Iterable[str | Hypotheses]) -> None:
        self._script = iter(script)
        self._activity = VoiceActivity()
        self._heard = Heard(self._activity)
        self._next: Hypotheses | None = None

    def warm_up(self) -> None:
        """Do nothing."""

    def start(self) -> None:
        """Begin an utterance."""
        self.reset()

    def reset(self) -> None:
        """Forget the sound; a line that was looked at but not finished comes again."""
        self._heard = Heard(self._activity)

    def accept(self, frames: bytes | Samples) -> None:
        """Look for speech in the frames."""
        self._heard.accept(to_samples(frames))

    def partial(self) -> str:
        """Return the line that is due, as soon as somebody speaks."""
        return self._due().best if self._heard.spans() else ""

    def finish(self) -> Hypotheses:
        """Return the next line of the script if anybody spoke."""
        advice, spoke = self._heard.advice(), bool(self._heard.spans())
        self.reset()
        if not spoke:
            return Hypotheses((), 0.0, self.name, self.model, advice)
        line, self._next = self._due(), None
        return line

    def lacking(self) -> tuple[Lack, ...]:
        """A script lacks nothing."""
        return ()

    def close(self) -> None:
        """Do nothing."""

    def _due(self) -> Hypotheses:
        if self._next is None:
            line = next(self._script, "")
            if isinstance(line, str):
                alternatives = (Hypothesis(line),) if line else ()
                line = Hypotheses(alternatives, 1.0 if line else 0.0, self.name, self.model)
            self._next = line
        return self._next
