"""Hours of kitchen sound from a seed, and the real listening loop run on it by a clock of its own.

Made noise, music-like tones, silence, and people who talk without saying the wake phrase: the committed
chatter, near misses of the phrase, and every committed command and reading said to somebody else. All of it
is synthetic. The loop, the end of speech and the recogniser are the program's own; only time is not: a block
is there as soon as it is asked for, and the clock shows what a real one would.
"""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from assistant.audio.frames import Block, SourceState
from assistant.audio.player import Played
from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.dialogue.conversation import Conversation
from assistant.kitchen import Kitchen
from assistant.live.attention import Attention
from assistant.live.events import Event
from assistant.live.loop import LiveLoop
from assistant.live.speaking import Mouth
from assistant.logbook.store import Logbook
from assistant.site import Site
from assistant.speech.recogniser import Recogniser
from assistant.speech.voice import SilentVoice, Voice
from audio_fixtures import noise
from audio_fixtures.make_clips import read_lines
from audio_fixtures.voices import FOLDER
from intents.interpret import Interpreter
from tests.benchmarks.hearing_speech import WAKE_PHRASE, plan

BLOCK = RATE * 3 // 100
SCENE_S = 30.0
TALK_EVERY_S = (4.0, 16.0)
LOUDEST, SOFTEST = 0.12, 0.002
"""Root mean square of the noise, of full scale: from a radio beside the microphone to a far fan."""
SCENES = ("silence", *noise.KINDS, "babble", "tones")


@dataclass(frozen=True)
class Said:
    """What somebody said, from second to second of the run."""

    began: float
    ended: float
    words: str


@dataclass
class Hours:
    """Makes the sound scene by scene and remembers what was said when."""

    seed: int
    said: deque[Said] = field(default_factory=lambda: deque(maxlen=200))
    count: int = 0

    def __post_init__(self) -> None:
        self._rng = random.Random(self.seed)
        self._talk = unaddressed()
        self._people = [samples.astype(np.float32) / 32768 for samples, _ in self._talk[:40]]

    def scenes(self) -> Iterator[Samples]:
        """Give one scene of half a minute after the other, without end."""
        at = 0.0
        while True:
            sound = self._background()
            self._people_talk(sound, at)
            at += SCENE_S
            yield np.round(np.clip(sound, -1, 1) * 32767).astype(np.int16)

    def _background(self) -> noise.Samples:
        kind = self._rng.choice(SCENES)
        level = SOFTEST * (LOUDEST / SOFTEST) ** self._rng.random()
        length = int(SCENE_S * RATE)
        seed = self._rng.randrange(2**32)
        if kind == "silence":
            return np.random.default_rng(seed).normal(0, 1e-4, length).astype(np.float32)
        if kind == "tones":
            return level * _tones(np.random.default_rng(seed), length)
        return level * noise.make(kind, SCENE_S, seed, self._people)

    def _people_talk(self, sound: noise.Samples, at: float) -> None:
        place = self._rng.uniform(*TALK_EVERY_S)
        while True:
            samples, words = self._rng.choice(self._talk)
            begin = int(place * RATE)
            if begin + len(samples) > len(sound):
                return
            loud = 10 ** (self._rng.uniform(-12, 3) / 20)
            sound[begin : begin + len(samples)] += loud * samples.astype(np.float32) / 32768
            self.said.append(Said(at + place, at + place + len(samples) / RATE, words))
            self.count += 1
            place += len(samples) / RATE + self._rng.uniform(*TALK_EVERY_S)

    def words_at(self, at: float) -> str:
        """Return what was being said at this second, or shortly before."""
        near = [said.words for said in self.said if said.began - 1 <= at and at <= said.ended + 3]
        return "; ".join(near) or "(nobody)"


def _tones(rng: np.random.Generator, length: int) -> noise.Samples:
    """Timers and order bells: a few pure tones, on and off."""
    t = np.arange(length) / RATE
    pitches = rng.uniform(400, 3000, 3)
    wave = sum(np.sin(2 * np.pi * p * t) * (np.sin(2 * np.pi * rng.uniform(0.3, 3) * t) > 0) for p in pitches)
    return np.asarray(wave, np.float32)


def unaddressed() -> list[tuple[Samples, str]]:
    """Return every clip that does not begin with the wake phrase: the committed ones, and cached chatter."""
    others = [line for line in read_lines() if not line.text.lower().startswith(WAKE_PHRASE)]
    clips = {FOLDER / line.file: line.text for line in others}
    clips |= {clip.path: clip.words for clip in plan() if clip.sentence.kind == "chatter" and not clip.wake}
    return [(read_sound(path).samples, words) for path, words in clips.items() if path.is_file()]


class VirtualSource:
    """Blocks as a microphone would give them, at once; ``now`` is the time that has gone by."""

    problem = ""

    def __init__(self, scenes: Iterator[Samples], seconds: float) -> None:
        self._scenes = scenes
        self._rest = np.zeros(0, np.int16)
        self._seconds = seconds
        self.now = 0.0

    @property
    def state(self) -> SourceState:
        """Running until the time is over or the sound ends."""
        return SourceState.RUNNING if self.now < self._seconds else SourceState.ENDED

    def start(self) -> None:
        """Nothing to open."""

    def read(self, timeout_s: float) -> Block | None:
        """Return the next 30 ms."""
        while len(self._rest) < BLOCK:
            scene = next(self._scenes, None)
            if scene is None:
                self._seconds = 0.0
                return None
            self._rest = np.concatenate([self._rest, scene])
        samples, self._rest = self._rest[:BLOCK], self._rest[BLOCK:]
        self.now += BLOCK / RATE
        return Block(samples, self.now)

    def close(self) -> None:
        """Nothing to close."""


@dataclass
class VirtualClock:
    """The kitchen's clock, driven by the sound."""

    began: datetime
    source: VirtualSource

    def now(self) -> datetime:
        """Return the time of day at the present block."""
        return self.began + timedelta(seconds=self.source.now)


class CountingPlayer:
    """A speaker that is over at once and remembers when it sounded, in seconds of the run."""

    def __init__(self, now: Callable[[], float]) -> None:
        self._now = now
        self.sounded: list[float] = []

    def play(self, samples: Samples, rate: int) -> None:
        """Remember the time."""
        self.sounded.append(self._now())

    def stop(self) -> None:
        """Already silent."""

    def playing(self) -> bool:
        """Never: a sound is over at once."""
        return False

    def wait(self) -> Played:
        """Nothing sounds any more."""
        return Played(0.0, True)

    def close(self) -> None:
        """Nothing to close."""


class WatchedAttention(Attention):
    """Remembers when the wake phrase alone was heard: it is answered by a signal, not by a turn."""

    def __init__(self, wake_phrase: str) -> None:
        super().__init__(wake_phrase)
        self.woken: list[float] = []

    def wake(self, at: float) -> None:
        """As always."""
        self.woken.append(at)
        super().wake(at)


class Run:
    """One kitchen with an empty log, listening to ``source`` by the source's own clock."""

    def __init__(
        self,
        site: Site,
        interpreter: Interpreter,
        recogniser: Recogniser,
        source: VirtualSource,
        state: Path,
        watch: Callable[[Event], None],
        voice: Voice | None = None,
    ) -> None:
        clock = VirtualClock(datetime(2026, 3, 2, 6, 0).astimezone(), source)
        self.log = Logbook.open(state, site=site.kitchen.name, clock=clock)
        self.talk = Conversation(site, self.log, clock, interpreter)
        self.player = CountingPlayer(lambda: source.now)
        self._mouth = Mouth(voice or ToneVoice(), self.player, lambda: source.now)
        kitchen = Kitchen(site, clock, self.log, self.talk)
        self.loop = LiveLoop(kitchen, recogniser, source, self._mouth, watch, lambda: source.now)
        self.attention = WatchedAttention(site.kitchen.wake_phrase)
        self.loop.attention = self.attention

    def close(self) -> None:
        """Close the log."""
        self.log.close()


class ToneVoice(SilentVoice):
    """Stands for a voice where only the fact of an answer counts: a tenth of a second of a tone."""

    def samples(self, text: str, settings: object = None) -> Samples:
        """Return the tone."""
        return np.full(self.rate // 10, 1000, np.int16)
