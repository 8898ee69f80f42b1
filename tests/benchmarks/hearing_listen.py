"""First stage of the hearing benchmark: every clip under its conditions through one recogniser.

What was heard is kept line by line in the platform's cache folder, so that a run can be stopped and goes
on, and so that the later stages can be repeated in seconds after a change of the matcher or the gate.
"""

from __future__ import annotations

import json
import random
import resource
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

from assistant.audio.utterance import RATE
from assistant.speech.recogniser import Recogniser
from intents.hypotheses import Hypotheses, Hypothesis
from tests.benchmarks.hearing_conditions import CONDITIONS, Condition, disturb
from tests.benchmarks.hearing_speech import SEED, Clip, half_of, plan, plan_unheard, speech_folder

FRAME = 480
"""30 ms, as the microphone hands them on."""
PROMISED = ("clean", "10 dB", "5 dB")
"""The levels for which the project sets itself figures."""


@dataclass(frozen=True, slots=True)
class Heard:
    """One clip under one condition as one engine heard it. Times in milliseconds, sound in seconds.

    ``finish_ms`` is the computing left after the last frame; ``accept_ms`` what was done before it.
    """

    key: str
    hypotheses: Hypotheses
    seconds: float
    accept_ms: float
    finish_ms: float
    memory_mb: float


def trial_key(clip: Clip, condition: Condition) -> str:
    """Names a trial; changes with the clip's sound and with the condition."""
    return f"{clip.sentence.id}/{clip.voice.name}/{clip.path.stem}/{condition.name}"


def trials(
    clips: list[Clip] | None = None, conditions: tuple[Condition, ...] = CONDITIONS
) -> list[tuple[Clip, Condition]]:
    """Every clip under every condition, ordered so that any first part is a fair sample.

    The first pass gives each clip one condition, the second another, and so on.
    """
    clips = plan() if clips is None else clips
    rng = random.Random(SEED)
    passes: list[tuple[Clip, Condition]] = []
    starts = [rng.randrange(len(conditions)) for _ in clips]
    for turn in range(len(conditions)):
        batch = [
            (clip, conditions[(start + turn) % len(conditions)])
            for clip, start in zip(clips, starts, strict=True)
        ]
        rng.shuffle(batch)
        passes += batch
    return passes


def trials_unheard() -> list[tuple[Clip, Condition]]:
    """The trials of the voices that our own model never heard: first the levels that are promised."""
    first = [condition for condition in CONDITIONS if condition.name in PROMISED]
    rest = [condition for condition in CONDITIONS if condition.name not in PROMISED]
    return trials(plan_unheard(), tuple(first)) + trials(plan_unheard(), tuple(rest))


def heard_file(engine: str) -> Path:
    """Where what ``engine`` heard is kept."""
    return speech_folder().parent / "hearing-heard" / f"{engine}.jsonl"


def forget(engine: str) -> None:
    """Put aside what ``engine`` heard before it was changed."""
    path = heard_file(engine)
    if path.exists():
        path.replace(path.with_suffix(".old"))


def read_heard(engine: str) -> dict[str, Heard]:
    """What ``engine`` has heard so far, by trial key; a line cut short by a kill is left out."""
    path = heard_file(engine)
    found: dict[str, Heard] = {}
    for line in path.read_text(encoding="utf-8").splitlines() if path.exists() else ():
        try:
            record = json.loads(line)
        except json.JSONDecodeError:
            continue
        words = record["hypotheses"]
        words["alternatives"] = tuple(Hypothesis(**each) for each in words["alternatives"])
        found[record["key"]] = Heard(**(record | {"hypotheses": Hypotheses(**words)}))
    return found


def as_line(heard: Heard) -> str:
    """One line of the file of what was heard."""
    return json.dumps(asdict(heard))


def hear(recogniser: Recogniser, clip: Clip, condition: Condition) -> Heard:
    """Play one clip to ``recogniser`` as fast as it takes it, with the clock on."""
    import soundfile

    speech, _ = soundfile.read(clip.path, dtype="float32")
    key = trial_key(clip, condition)
    samples = disturb(speech, condition, key)
    begun = time.perf_counter()
    recogniser.start()
    for at in range(0, len(samples), FRAME):
        recogniser.accept(samples[at : at + FRAME])
    spoken = time.perf_counter()
    hypotheses = recogniser.finish()
    ended = time.perf_counter()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return Heard(key, hypotheses, len(samples) / RATE, (spoken - begun) * 1e3, (ended - spoken) * 1e3, memory)


def wanted(
    every: Iterable[tuple[Clip, Condition]],
    limit: int | None,
    half: str,
    names: frozenset[str] = frozenset(),
    unheard: bool = False,
) -> Iterator[tuple[Clip, Condition]]:
    """The first ``limit`` of ``every`` trial of ``half`` (tune, report or all) whose speech exists.

    With ``names`` only those voices count, whatever their half: a model trained on open voices is
    judged on the ones that it never heard.
    """
    left = limit
    for clip, condition in every:
        right_voice = clip.voice.name in names if names else half in ("all", half_of(clip, unheard))
        if not right_voice or not clip.path.exists():
            continue
        if left is not None:
            if left == 0:
                return
            left -= 1
        yield clip, condition


def listen(engine: str, recogniser: Recogniser, chosen: Iterable[tuple[Clip, Condition]]) -> None:
    """Hear the ``chosen`` trials not yet heard, telling how far it is and how long it still takes."""
    done = read_heard(engine)
    todo = [(c, k) for c, k in chosen if trial_key(c, k) not in done]
    path = heard_file(engine)
    path.parent.mkdir(parents=True, exist_ok=True)
    begun = time.monotonic()
    if todo:
        recogniser.warm_up()
    with path.open("a", encoding="utf-8") as out:
        for number, (clip, condition) in enumerate(todo, 1):
            out.write(as_line(hear(recogniser, clip, condition)) + "\n")
            out.flush()
            if number % 50 == 0 or number == len(todo):
                left = (time.monotonic() - begun) / number * (len(todo) - number) / 60
                print(f"{engine}: heard {number} of {len(todo)}, {left:.0f} min left", file=sys.stderr)
