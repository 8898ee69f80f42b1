"""The sound of the hard soak: people who say kitchen commands to each other, all at once, and a caller near.

Synthetic clips only, all brought to one loudness. Each of the people says one clip after the other with short
breaks; every other one of them stands in a room (``audio_fixtures/rooms.py``). The caller hears the answers.
"""

from __future__ import annotations

import json
import random
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cache

import numpy as np

from assistant.audio.frames import Block, SourceState
from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE
from assistant.dialogue.turn import Turn
from assistant.dialogue.unanswered import FORGOTTEN
from assistant.logbook.entry import Entry
from assistant.site import Site
from audio_fixtures import rooms
from audio_fixtures.make_clips import Line, read_lines
from audio_fixtures.noise import Samples
from audio_fixtures.voices import FOLDER
from tests.benchmarks.hearing_speech import WAKE_PHRASE
from tests.benchmarks.soak_sound import BLOCK, SCENE_S, Said, VirtualSource

LOUD = 0.025
"""Root mean square of one of the people while he speaks, of full scale: somebody a step away."""
SPREAD_DB = 3.0
BREAK_S = (0.2, 2.0)
COMMANDS = (
    "cooking", "cooling", "correction", "date", "demo", "dish_machine", "hands", "holding", "log", "mix",
    "sanitizer_reading", "storage", "temperature_reading", "thaw", "answer",
)  # fmt: skip
CALL_EVERY_S = (25.0, 50.0)
ANSWER_AFTER_S = (0.8, 1.8)
PATIENCE_S = 6.0
"""How long after his last word the caller waits for an answer."""


def loudness(samples: Samples) -> float:
    """Return the root mean square of what is not silence, of full scale."""
    loud = samples[np.abs(samples) > 0.02 * np.abs(samples).max(initial=1e-9)]
    return float(np.sqrt(np.mean(loud.astype(np.float64) ** 2))) if len(loud) else 1e-9


@cache
def clip(file: str) -> Samples:
    """Return a committed clip at full loudness 1."""
    samples = read_sound(FOLDER / file).samples.astype(np.float32) / 32768
    return samples / np.float32(loudness(samples))


@cache
def in_a_room(file: str) -> Samples:
    """Return a clip as it sounds some steps away."""
    samples = rooms.respond(clip(file))
    return samples / np.float32(loudness(samples))


def commands(wake: bool) -> list[Line]:
    """Return the committed lines of commands, with the phrase before them or without any in them."""
    lines = [line for line in read_lines() if line.file.split("/")[0] in COMMANDS]
    return [line for line in lines if line.text.lower().startswith(WAKE_PHRASE) is wake]


class Crowd:
    """Makes the sound scene by scene; ``level`` is the loudness of all of them together, in the mean."""

    def __init__(self, seed: int, people: int) -> None:
        self._rng = random.Random(seed)
        self._lines = commands(wake=False)
        self._people = people
        self._carried = [np.zeros(0, np.float32) for _ in range(people)]
        self.said: deque[Said] = deque(maxlen=100)
        self.count = 0
        self.level = LOUD * max(1, people) ** 0.5

    def scenes(self) -> Iterator[Samples]:
        """Give one scene of half a minute after the other, without end."""
        at, length = 0.0, int(SCENE_S * RATE)
        faint = np.random.default_rng(self._rng.randrange(2**32))
        while True:
            sound = faint.normal(0, 3e-4, length).astype(np.float32)
            for who in range(self._people):
                track = self._talk(who, at)
                sound += track[:length]
                self._carried[who] = track[length:]
            at += SCENE_S
            yield sound

    def _talk(self, who: int, at: float) -> Samples:
        track = [self._carried[who]]
        length = len(track[0])
        while length < SCENE_S * RATE:
            line = self._rng.choice(self._lines)
            gap = np.zeros(int(self._rng.uniform(*BREAK_S) * RATE), np.float32)
            loud = LOUD * 10 ** (self._rng.uniform(-SPREAD_DB, SPREAD_DB) / 20)
            words = np.float32(loud) * (in_a_room(line.file) if who % 2 else clip(line.file))
            began = at + (length + len(gap)) / RATE
            self.said.append(Said(began, began + len(words) / RATE, line.text))
            self.count += 1
            track += [gap, words]
            length += len(gap) + len(words)
        return np.concatenate(track)

    def words_at(self, at: float) -> str:
        """Return what others were saying at this second, or shortly before."""
        return "; ".join(s.words for s in self.said if s.began - 1 <= at <= s.ended + 3) or "(nobody)"


class CrowdSource(VirtualSource):
    """The crowd's blocks with the caller's words laid over them."""

    def __init__(self, crowd: Crowd, seconds: float) -> None:
        super().__init__(iter(()), seconds)
        self._made = crowd.scenes()
        self._crowd_rest = np.zeros(0, np.float32)
        self._over = np.zeros(0, np.float32)
        self.tick = lambda: None
        self.level = crowd.level

    def say(self, words: Samples, after_s: float) -> float:
        """Lay ``words`` over what comes, and return the second at which they end."""
        begin = int(after_s * RATE)
        over = np.zeros(max(len(self._over), begin + len(words)), np.float32)
        over[: len(self._over)] += self._over
        over[begin : begin + len(words)] += words
        self._over = over
        return self.now + after_s + len(words) / RATE

    def read(self, timeout_s: float) -> Block | None:
        """Return the next 30 ms."""
        if self.state is SourceState.ENDED:
            return None
        self.tick()
        while len(self._crowd_rest) < BLOCK:
            self._crowd_rest = np.concatenate([self._crowd_rest, next(self._made)])
        sound, self._crowd_rest = self._crowd_rest[:BLOCK].copy(), self._crowd_rest[BLOCK:]
        over, self._over = self._over[:BLOCK], self._over[BLOCK:]
        sound[: len(over)] += over
        self.now += BLOCK / RATE
        return Block(np.round(np.clip(sound, -1, 1) * 32767).astype(np.int16), self.now)


class Outcome(Enum):
    """Whose words an answer was to."""

    RIGHT = "to the caller, rightly"
    ASKED = "to the caller, asked or otherwise"
    OTHER = "to others"


@dataclass
class _Open:
    line: Line
    ends: float
    follow: bool


class Caller:
    """Calls now and then, answers what is asked, and counts what came of it."""

    def __init__(self, source: CrowdSource, seed: int, near_db: float, site: Site) -> None:
        self._source = source
        self._site = site
        self._rng = random.Random(f"caller {seed}")
        self._loud = np.float32(min(0.2, source.level * 10 ** (near_db / 20)))
        self._calls = [line for line in commands(wake=True) if line.intent and not line.before]
        self._follows = [
            line
            for line in commands(wake=False)
            if line.intent not in ("", "correction", "stop", "repeat", "why") and not line.before
        ]
        self._open: _Open | None = None
        self._told: list[tuple[float, tuple[str, str]]] = []  # when, of what and which number
        self._next = self._rng.uniform(5.0, 15.0)
        self.calls = self.follows = self.right = self.right_follows = self.logged = self.asked = 0
        self.missed_calls: list[str] = []
        self.missed_follows: list[str] = []
        source.tick = self._tick

    @property
    def words(self) -> str:
        """What he said last and waits for."""
        return self._open.line.text if self._open else ""

    def told(self) -> str:
        """Return the counts in words."""
        return (
            f"calls {self.calls}, right {self.right}; follow-ups {self.follows}, right {self.right_follows};"
            f" asked back {self.asked}; entries of his words {self.logged}"
        )

    def _tick(self) -> None:
        now = self._source.now
        if self._open is not None and now > self._open.ends + PATIENCE_S:
            kept = self.missed_follows if self._open.follow else self.missed_calls
            kept.append(self._open.line.text)
            self._open = None
        if self._open is None and now >= self._next:
            self._say(self._rng.choice(self._calls), 0.0, follow=False)

    def _say(self, line: Line, after_s: float, follow: bool) -> None:
        ends = self._source.say(self._loud * clip(line.file), after_s)
        self._open = _Open(line, ends, follow)
        wanted = json.loads(line.slots or "{}")
        for each in (wanted, *wanted.get("readings", ())):
            of = [each[key] for key in ("subject", "place", "food") if key in each]
            self._told += [(ends, (subject, str(each.get("value")))) for subject in of]
        self._next = ends + self._rng.uniform(*CALL_EVERY_S)
        if follow:
            self.follows += 1
        else:
            self.calls += 1

    def answered(self, turn: Turn, now: float) -> Outcome:
        """Take an answer: whether it was to his words, and say what comes next."""
        if self._open is None or now < self._open.ends - 0.8:
            return Outcome.OTHER
        if turn.silent:
            return Outcome.OTHER
        line, follow = self._open.line, self._open.follow
        right = self._is_right(turn, line)
        if turn.asks and not turn.entries:
            self.asked += 1
            word = "answer/yes.flac" if right else "answer/no.flac"
            ends = self._source.say(self._loud * clip(word), self._rng.uniform(*ANSWER_AFTER_S))
            self._open.ends = ends
            return Outcome.ASKED
        if not right:
            return Outcome.ASKED
        self.right += not follow
        self.right_follows += follow
        self.logged += len(turn.entries)
        self._open = None
        if not follow and self._rng.random() < 0.5:
            self._say(self._rng.choice(self._follows), self._rng.uniform(*ANSWER_AFTER_S), follow=True)
        return Outcome.RIGHT

    def has_told(self, entry: Entry, now: float) -> bool:
        """Tell whether he said the entry's number of its subject in the time for which it is read back."""
        since = now - FORGOTTEN.total_seconds()
        return any(at >= since and told == (entry.subject, entry.value) for at, told in self._told)

    def _is_right(self, turn: Turn, line: Line) -> bool:
        """Tell whether an answer is to the line's intent and, where it reports one, its number."""
        wanted = json.loads(line.slots or "{}")
        value = str(wanted.get("value", ""))
        if line.intent != "reading":
            return turn.intent == line.intent or any(e.kind == line.intent for e in turn.entries)
        if turn.entries:
            return any(e.value == value for e in turn.entries)
        return turn.intent == "reading" and value.lstrip("-") in turn.reply
