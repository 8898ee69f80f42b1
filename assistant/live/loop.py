"""The loop itself: one block of sound a step, in one thread. Sound waits in the capture meanwhile.

While the cook pauses, what was said is recognised ahead, so that little is left to do at the end. The first
seconds of an utterance show whether it opens with the wake phrase (``assistant.speech.calls``); where it does
not, nor has the phrase later, it is dropped before anything else is done.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable
from functools import partial

import numpy as np

from assistant.audio.end_of_speech import EndOfSpeech, Phase
from assistant.audio.frames import Block, FrameSource, SourceState
from assistant.audio.utterance import RATE, Samples, Utterance
from assistant.dialogue.pending import awaited
from assistant.dialogue.turn import Turn
from assistant.ear import CLIP_PAD_SECONDS, keeper
from assistant.errors import LogWriteError
from assistant.kitchen import Kitchen
from assistant.live.attention import Attention
from assistant.live.called import addressed, behind_call
from assistant.live.complete import HANG_S, Completeness, completeness
from assistant.live.events import Answered, Event, Ignored, Level, State, StateChanged
from assistant.live.lull import DEEP_DB, DEEP_LULL_S, FALL_DB, LULL_S, Lull
from assistant.live.memory import MemoryKeeper
from assistant.live.speaking import BargeIn, Mouth
from assistant.speech.calls import Call
from assistant.speech.recogniser import Recogniser
from intents.hypotheses import Hypotheses

AHEAD_S = 0.16
"""Silence after which the words so far are recognised ahead."""
CALL_LOOKS_S = (1.3, 1.9, 2.5)
"""Length of an utterance, with the 0.4 s before it, when it is looked at for the wake phrase; its first
pauses are, too. People's calls of two or three syllables end 1.1 to 1.8 s after it begins."""
UNCALLED_S = 0.4
"""Silence that ends what nobody called for, so that a call soon behind it opens an utterance of its own. No
call of two words by 518 people had so long a pause in it."""
LOOK_S = 0.12
"""How often the words so far are looked at while somebody speaks."""
OVER_S = 0.2
"""Lull after which the words so far are recognised ahead while others talk on."""
LATE_S, LATE_KEPT_S = 3.0, 2.0
"""A wake phrase heard later than this begins the utterance anew, with so much of the sound before."""
RISE_KEPT_S = 0.8
"""Sound kept from before a rise: the first syllable of the phrase is in the rise itself."""
READ_S = 0.25
PHRASE_S = 1.0
"""Sound of an overlong stretch that begins the next one, so that a wake phrase across the cut is heard."""
QUIET_S = 20.0
"""Quiet that has to have lasted before a reminder."""
KEPT_BLOCKS = 40
"""Blocks kept from while we speak, so that an interruption is heard from its first word."""


class LiveLoop:
    """Listens through ``source`` and answers through ``mouth``; tells ``watch`` what happens."""

    def __init__(
        self,
        kitchen: Kitchen,
        recogniser: Recogniser,
        source: FrameSource,
        mouth: Mouth,
        watch: Callable[[Event], None],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._kitchen = kitchen
        self._recogniser = recogniser
        self._source = source
        self._mouth = mouth
        self._watch = watch
        self._clock = clock
        self._ends = EndOfSpeech()
        self.attention = Attention(kitchen.site.kitchen.wake_phrase)
        self._barge_in = BargeIn()
        self._recent: deque[Block] = deque(maxlen=KEPT_BLOCKS)
        self._started = False
        self._ahead = False
        self._call_looks = 0
        self._looked_in_pause = False
        self._judged = ("", False)
        self._whole: Completeness = "unknown"
        self._lull = Lull()
        self._over = False
        self._looked = 0.0
        self._woken = self._asks = self._spoke = False
        self._state: State = "sleeping"
        self._note = ""
        self._at = 0.0
        self._quiet_since = clock()
        self._memory = MemoryKeeper(clock)
        self.lost = 0

    def run(self, stopped: Callable[[], bool] = lambda: False) -> None:
        """Listen until ``stopped`` or until the source ends."""
        self._source.start()
        try:
            while not stopped():
                block = self._source.read(READ_S)
                if block is not None:
                    self.step(block)
                elif self._source.state is SourceState.ENDED:
                    break
                self._idle()
        finally:
            self._source.close()

    def press(self) -> None:
        """The foot switch: falls silent if speaking, else listens without the wake phrase."""
        if self._mouth.speaking:
            self._mouth.stop()
            return
        self.attention.called(None)
        self.attention.wake(self._clock())
        self._mouth.signal("heard")

    def step(self, block: Block) -> None:
        """Take one block of sound."""
        self._at = block.at
        if block.lost:
            self._gap(block.lost)
        self._watch(Level(min(1.0, float(np.abs(block.samples).max(initial=0)) / 20_000)))
        if self._mouth.speaking:
            self._recent.append(block)
            if self._barge_in.accept(block, RATE):
                self._interrupted()
            return
        if self._mouth.hears_itself(block):
            return
        self._listen(block.samples)

    def _idle(self) -> None:
        """See to what changes without sound: the end of our own speech, a lost microphone."""
        if self._spoke and not self._mouth.speaking:
            self._spoke = False
            self.attention.answered(self._clock(), self._asks)
            self._recent.clear()
        if self._started or self._mouth.speaking or self.attention.awake(self._clock()):
            self._quiet_since = self._clock()
        elif self._clock() - self._quiet_since >= QUIET_S:
            self._quiet_since = self._clock()
            self._remind()
        if not (self._started or self._mouth.speaking):
            self._memory.idle()
        if self._source.state is SourceState.LOST:
            self._tell("no microphone", self._source.problem)
        elif self._state == "no microphone" or not (self._started or self._mouth.speaking):
            self._tell("listening" if self.attention.awake(self._clock()) else "sleeping")

    def _remind(self) -> None:
        """Give one soft reminder at a quiet moment, if one is due."""
        turn = self._kitchen.conversation.remind()
        if turn is not None:
            self.attention.called(None)
            self._answer(turn, woken=False)
            self._watch(Answered(turn, {}))

    def _listen(self, samples: Samples) -> None:
        phase = self._ends.accept(samples)
        if phase is not Phase.WAITING and not self._started:
            self._started = True
            self._ahead = self._woken = False
            self._judged, self._whole = ("", False), "unknown"
            self._begin()
            self._tell("hearing")
        if self._started and len(fresh := self._ends.fresh()):
            self._feed(fresh)
            self._look_for_call()
        if phase is Phase.SPEAKING:
            self._ahead = self._looked_in_pause = False
        elif phase is Phase.PAUSE and self._ends.silence_s >= AHEAD_S:
            self._pause()
        if phase is Phase.ENDED:
            self._utterance()
        elif self._started and self._said_while_others_talk():
            self._utterance(among_others=True)

    def _begin(self) -> None:
        self._recogniser.start()
        self._lull.begin()
        self._over = self._looked_in_pause = False
        self._call_looks = 0

    def _look_for_call(self) -> None:
        """Let the recogniser look at the utterance's beginning when it is long enough, and in a pause.

        Not while no phrase is needed, nor in a pause once a call was found: decoding ahead would wait for it.
        """
        length, looks = self._ends.speech_s, self._call_looks
        if self.attention.awake(self._at - length):
            return
        paused = self._ends.phase is Phase.PAUSE and self._ends.silence_s >= AHEAD_S
        if looks < len(CALL_LOOKS_S) and length >= CALL_LOOKS_S[looks]:
            self._call_looks = sum(length >= due for due in CALL_LOOKS_S)
            self._recogniser.look()
        elif paused and not self._looked_in_pause and looks < len(CALL_LOOKS_S):
            self._looked_in_pause = True
            if self._recogniser.call() is not Call.YES:
                self._recogniser.look()

    def _feed(self, samples: Samples) -> None:
        self._recogniser.accept(samples)
        self._lull.accept(samples)
        woken = self._recogniser.woken()
        if woken and not self._woken and self._ends.speech_s > LATE_S:
            # Others have talked for long: what was meant begins here, and so does its longest time.
            self._begin_anew(LATE_KEPT_S)
        self._woken = woken
        # Others talk without a pause and somebody nearer begins, perhaps with the phrase: look for it anew.
        if (
            self._ends.speech_s > LATE_S
            and not (woken or self.attention.awake(self._at))
            and self._lull.rose()
        ):
            self._begin_anew(RISE_KEPT_S)

    def _begin_anew(self, kept_s: float) -> None:
        self._ends.begin_late(kept_s)
        self._begin()
        self._recogniser.accept(sound := self._ends.fresh())
        self._lull.accept(sound)

    def _said_while_others_talk(self) -> bool:
        """Tell whether somebody has said something whole although it does not fall silent."""
        if not self._recogniser.streams or self._at - self._looked < LOOK_S:
            return False
        self._looked = self._at
        words = self._recogniser.partial()
        self._lull.hear(words)
        lasts_s, deep_s = self._lull.lasts_s(FALL_DB[self._called()]), self._lull.lasts_s(DEEP_DB)
        if self._over and deep_s < OVER_S:
            self._over = False
            self._recogniser.go_on()
        if max(lasts_s, deep_s) < OVER_S or not self._may_be_meant(words):
            return False
        if deep_s >= OVER_S and not self._over and self._ends.phase is Phase.SPEAKING:
            self._over = True
            self._recogniser.over()
        whole = self._judge(words)
        return lasts_s >= LULL_S[whole] or deep_s >= DEEP_LULL_S[whole]

    def _pause(self) -> None:
        """Judge whether what was said is whole, and work ahead, once a pause or as more words come out."""
        streams = self._recogniser.streams
        if self._ahead and not streams:
            return
        words = self._recogniser.partial()
        if self._recogniser.call() is Call.NO and not self._may_be_meant(words):
            self._ends.hang_s = UNCALLED_S
            return
        if not self._ahead and (self._may_be_meant(words) or not streams):
            self._ahead = True
            self._recogniser.ahead()
        elif self._ahead:
            words = self._recogniser.ahead_words() or words
        self._ends.hang_s = HANG_S[self._judge(words)]

    def _judge(self, words: str) -> Completeness:
        """Return whether ``words`` are whole, judged once for the same words."""
        judged = words, self._phrase_heard()
        if judged != self._judged:
            self._judged = judged
            talk = self._kitchen.conversation
            waits_for = partial(awaited, talk)
            self._whole = completeness(words, talk.interpreter, self.attention.phrase, judged[1], waits_for)
        return self._whole

    def _phrase_heard(self) -> bool:
        """Tell whether the sound so far has shown the wake phrase, whatever the words are."""
        return self._recogniser.call() is Call.YES or self._recogniser.woken()

    def _called(self) -> bool:
        """Tell whether the utterance so far has the wake phrase in it."""
        return self._phrase_heard() or self._by_words(self._recogniser.partial())

    def _may_be_meant(self, words: str) -> bool:
        """Tell whether an utterance that begins with ``words`` can be meant for the assistant."""
        began = self._at - self._ends.speech_s
        return self._phrase_heard() or self.attention.awake(began) or self._by_words(words)

    def _by_words(self, words: str) -> bool:
        """Tell whether ``words`` begin with the phrase, unless a look at the sound has shown otherwise."""
        return self._recogniser.call() is not Call.NO and self.attention.addressed(words, 0.0)[2]

    def _utterance(self, among_others: bool = False) -> None:
        ended = self._clock()
        by, silence = self._ends.ended_by, self._ends.silence_s
        awake = self.attention.awake(self._at - self._ends.speech_s)
        if not (awake or self._call_looks or self._looked_in_pause):
            self._recogniser.look()
        call = self._recogniser.call(wait=True)
        meant = not self._recogniser.streams or self._may_be_meant(self._recogniser.partial())
        sound = self._ends.take(PHRASE_S if by == "length" else 0.0)
        self._started = False
        if not meant or by == "length":
            self._recogniser.reset()
            self._watch(Ignored("too long" if meant else "not addressed"))
            return
        called, loudness = self._called(), self._lull.loudest_db
        if not (called or self.attention.near(loudness)):
            self._recogniser.reset()
            self._watch(Ignored("from afar"))
            return
        if among_others and not called:
            near = self._lull.near(FALL_DB[False])
            sound = sound[near]
            if near.start or not self._over:
                self._recogniser.start()
                self._recogniser.accept(sound)
        hypotheses = self._recogniser.finish()
        recognised = self._clock()
        began = self._at - len(sound) / RATE
        if not hypotheses.alternatives and call is not Call.YES and not hypotheses.woken:
            self._watch(Ignored("nothing heard"))
            return
        hypotheses = behind_call(hypotheses, call, self.attention.phrase)
        meant, rest, found = addressed(hypotheses, began, call, self.attention)
        if not meant:
            self._watch(Ignored("not addressed"))
            return
        if found:
            self.attention.called(loudness)
        hypotheses = self.attention.among(hypotheses, among_others, found)
        if found and not rest.strip():
            self.attention.wake(self._clock())
            self._mouth.signal("heard")
            return
        self._tell("thinking")
        beyond = max(0, round((silence - CLIP_PAD_SECONDS) * RATE))
        turn = self._take_turn(hypotheses, sound[: len(sound) - beyond])
        self.attention.came_to(something=found or not (turn.silent or turn.nothing))
        said_at = self._answer(turn, found)
        timings = {
            "end_of_speech": round(silence * 1000, 1),
            "recognise": round((recognised - ended) * 1000, 1),
            "answer": round((said_at - recognised) * 1000, 1),
        }
        self._watch(Answered(turn, timings))

    def _take_turn(self, hypotheses: Hypotheses, sound: Samples) -> Turn:
        utterance = Utterance(sound, self._kitchen.clock.now())
        try:
            return self._kitchen.conversation.hear(hypotheses, keeper(self._kitchen.log, utterance, cut=True))
        except LogWriteError as fault:
            self._tell("log fault", str(fault))
            words = self._kitchen.conversation.catalogue["log_fault"].replies["fault"]
            return Turn(heard=hypotheses.best, confidence=hypotheses.confidence, reply=words, speech=words)

    def _answer(self, turn: Turn, woken: bool) -> float:
        if turn.intent == "stop":
            self.attention.sleep()
            self._mouth.signal("stopped")
            return self._clock()
        if turn.silent:
            if woken:
                self._mouth.signal("problem")
            return self._clock()
        self._asks = turn.asks
        self._spoke = True
        self._barge_in.begin()
        self._recent.clear()
        self._tell("speaking")
        self._mouth.set_for(turn.language, turn.volume, turn.speed)
        clips = [self._kitchen.log.clips_folder / path for path in turn.play]
        return self._mouth.say(turn.speech, clips)

    def _interrupted(self) -> None:
        """Fall silent and hear what was said over us from its beginning."""
        self._mouth.stop(spoken_over=True)
        self._spoke = False
        self.attention.answered(self._clock(), self._asks)
        self._ends.reset()
        kept = list(self._recent)
        self._recent.clear()
        for block in kept[-12:]:
            self._listen(block.samples)

    def _gap(self, count: int) -> None:
        """Sound is missing: what was being said is not whole, so it is dropped and asked for again."""
        self.lost += count
        begun = self._started
        self._ends.reset()
        self._recogniser.reset()
        self._started = False
        if begun:
            self._watch(Ignored("gap"))
            if self.attention.awake(self._clock()):
                self._mouth.say(self._kitchen.conversation.catalogue["reading"].replies["say_again"])

    def _tell(self, state: State, note: str = "") -> None:
        if (state, note) != (self._state, self._note):
            self._state, self._note = state, note
            self._watch(StateChanged(state, note))
