"""What came in for one prompt: the words, the wake phrase, the number, and how loud all of it was."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from assistant.audio.end_of_speech import EndOfSpeech, EndSettings, Phase
from assistant.audio.frames import FrameSource, SourceState
from assistant.audio.levels import CLIPPED_SHARE, levels_of
from assistant.audio.utterance import RATE, Samples, empty
from assistant.audio.voice_activity import cut_to_speech, probabilities_of, speech_spans
from assistant.dialogue.gate import agreed
from assistant.dialogue.hearing import choose, numbers_of
from assistant.dialogue.wake import after_wake, strip_wake
from assistant.hear_check.prompts import Prompt
from assistant.speech.calls import Call
from assistant.speech.recogniser import Recogniser
from intents.hypotheses import Hypotheses
from intents.interpret import Interpreter

WAIT_S = 8.0
"""How long somebody may take to begin."""
_NOISE_S = 2.0  # sound before the speech that counts as this place's noise
_ONSET_S = 0.5  # before speech is noticed it may have begun
_LEAST_NOISE_S = 0.3
_READ_S = 0.25
_FRAME = RATE * 3 // 100


@dataclass(frozen=True)
class Figures:
    """What came in for one prompt. ``called`` is None without a wake phrase.

    ``speech_dbfs`` is the loudest tenth of the speech, ``noise_dbfs`` the mean power of what sounds before
    it, in dB below full scale; ``over_noise_db`` compares the mean powers of both. ``number`` says whether
    the place's number was heard right, None without a reading; ``sure`` whether it would have been logged
    without a question.
    """

    prompt: str
    heard: str
    called: bool | None
    number: bool | None
    sure: bool | None
    speech_dbfs: float
    noise_dbfs: float
    over_noise_db: float
    clipped: bool


@dataclass(frozen=True, eq=False)
class Sound:
    """One utterance, and what sounded before it."""

    speech: Samples
    before: Samples


def listen_once(source: FrameSource, wait_s: float = WAIT_S) -> Sound:
    """Wait for somebody to speak and to fall silent; no speech where nobody begins within ``wait_s``."""
    ends = EndOfSpeech(EndSettings(hang_s=0.9))
    before: list[Samples] = []
    waited = 0.0
    while waited < wait_s or ends.phase is not Phase.WAITING:
        block = source.read(_READ_S)
        if block is None:
            if source.state is not SourceState.RUNNING:
                break
            waited += _READ_S
            continue
        phase = ends.accept(block.samples)
        if phase is Phase.ENDED:
            break
        if phase is Phase.WAITING:
            waited += len(block.samples) / RATE
            before.append(block.samples)
    heard = np.concatenate([*before, empty()])
    return Sound(ends.take(), heard[-round((_NOISE_S + _ONSET_S) * RATE) : -round(_ONSET_S * RATE)])


def measure(
    prompt: Prompt, sound: Sound, recogniser: Recogniser, interpreter: Interpreter, phrase: str
) -> Figures:
    """Let ``recogniser`` hear what was said for ``prompt``, and return what came of it."""
    hypotheses, called = _hear(sound.speech, recogniser, phrase)
    number = sure = None
    if prompt.reading:
        wanted = numbers_of(interpreter.interpret(prompt.reading))
        heard = choose(hypotheses, interpreter.interpret) if hypotheses.alternatives else None
        number = heard is not None and numbers_of(heard.interpretation) == wanted
        sure = heard is not None and number and agreed(heard)
    spans = speech_spans(probabilities_of(sound.speech))
    levels = levels_of(cut_to_speech(sound.speech, spans, 0.0))
    heard_before = len(sound.before) >= _LEAST_NOISE_S * RATE
    noise = levels_of(sound.before if heard_before else _softest(sound.speech))
    return Figures(
        prompt.words,
        hypotheses.best,
        called if prompt.called else None,
        number,
        sure,
        round(levels.loud_dbfs, 1),
        round(noise.rms_dbfs, 1),
        round(levels.rms_dbfs - noise.rms_dbfs, 1),
        levels.clipped_share > CLIPPED_SHARE,
    )


def _hear(speech: Samples, recogniser: Recogniser, phrase: str) -> tuple[Hypotheses, bool]:
    """Return what was heard behind the phrase, and whether the phrase was."""
    recogniser.start()
    for at in range(0, len(speech), _FRAME):
        recogniser.accept(speech[at : at + _FRAME])
    recogniser.look()
    call = recogniser.call(wait=True)
    hypotheses = recogniser.finish()
    written = strip_wake(hypotheses.best, phrase)[1]
    called = call is Call.YES or (call is not Call.NO and (hypotheses.woken or written))
    return after_wake(replace(hypotheses, woken=called), phrase), called


def _softest(samples: Samples) -> Samples:
    """Return the softest tenth of a second: this place's noise, where nothing was heard before the speech."""
    size = RATE // 10
    pieces = [samples[at : at + size] for at in range(0, max(1, len(samples) - size), size)]
    return min(pieces, key=lambda piece: float(np.mean(piece.astype(np.float64) ** 2)) if len(piece) else 0.0)
