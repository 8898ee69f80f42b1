"""From the end of the last word to the first sample of the answer, on recorded sound in real time.

    uv run python -m tests.benchmarks.latency --clips 60
    uv run python -m tests.benchmarks.latency --cut-offs

The clips go in 30 ms blocks, each when a microphone would have given it, through the real loop, the default
recogniser and the voice; the player notes when it gets the first sample (a device adds its own buffer). With
``--cut-offs`` the sound runs faster than real time instead, to compare the wait with plain fixed silences:
how long after the last word the end is declared, and how many utterances are cut off before it.
"""

from __future__ import annotations

import time

BEGAN = time.monotonic()

from assistant.cli import one_thread_for_arrays  # noqa: E402

one_thread_for_arrays()

import argparse  # noqa: E402
import resource  # noqa: E402
import tempfile  # noqa: E402
from collections.abc import Callable, Sequence  # noqa: E402
from dataclasses import dataclass  # noqa: E402
from pathlib import Path  # noqa: E402

import numpy as np  # noqa: E402

from assistant.audio.frames import SampleSource  # noqa: E402
from assistant.audio.player import Played  # noqa: E402
from assistant.audio.utterance import Samples  # noqa: E402
from assistant.dialogue.conversation import Conversation, interpreter_for  # noqa: E402
from assistant.ear import open_recogniser  # noqa: E402
from assistant.kitchen import Kitchen  # noqa: E402
from assistant.live.events import Answered, Event, Ignored  # noqa: E402
from assistant.live.loop import LiveLoop  # noqa: E402
from assistant.live.speaking import Mouth  # noqa: E402
from assistant.logbook.clock import SystemClock  # noqa: E402
from assistant.logbook.store import Logbook  # noqa: E402
from assistant.site import Site, load_site  # noqa: E402
from assistant.speech.recogniser import Recogniser  # noqa: E402
from assistant.speech.voice import Voice, VoiceSettings, open_voice  # noqa: E402
from intents.hypotheses import Hypotheses  # noqa: E402
from intents.interpret import Interpreter  # noqa: E402
from tests.benchmarks.latency_clips import Trial, paused, trials  # noqa: E402
from tests.benchmarks.latency_cuts import compare  # noqa: E402

STAGES = ("silence wait", "recognition left", "understanding and log", "voice synthesis")


@dataclass
class FirstSample:
    """A speaker that notes when it got the first sample, and then stays silent."""

    at: float | None = None

    def play(self, samples: Samples, rate: int) -> None:
        """Note the time."""
        self.at = time.monotonic() if self.at is None else self.at

    def stop(self) -> None:
        """Nothing sounds."""

    def playing(self) -> bool:
        """Whether it has been given anything."""
        return self.at is not None

    def wait(self) -> Played:
        """Nothing sounds."""
        return Played(0.0, True)

    def close(self) -> None:
        """Nothing to close."""


class TimedVoice:
    """The real voice, with the seconds that it took."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice
        self.rate, self.name, self.why = voice.rate, voice.name, voice.why
        self.spent = 0.0

    def samples(self, text: str, settings: VoiceSettings | None = None) -> Samples:
        """Say it and note the time."""
        begun = time.monotonic()
        sound = self._voice.samples(text, settings)
        self.spent = time.monotonic() - begun
        return sound

    def speak_to_file(self, text: str, path: str | Path, settings: VoiceSettings | None = None) -> bool:
        """As the real one."""
        return self._voice.speak_to_file(text, path, settings)

    def close(self) -> None:
        """As the real one."""
        self._voice.close()


@dataclass(frozen=True)
class Result:
    """Milliseconds of one answered trial: the whole, and its stages in their order."""

    trial: Trial
    whole: float
    stages: tuple[float, float, float, float]
    heard: str


def children_mb() -> float:
    """Return the most memory that the processes started from here have held, together."""
    total = 0
    for listed in Path("/proc/self/task").glob("*/children"):
        for number in listed.read_text().split():
            status = Path(f"/proc/{number}/status").read_text()
            total += sum(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmHWM"))
    return total / 1024


class Bench:
    """The program's parts, opened once as ``kitchen listen`` opens them."""

    def __init__(self, engine: str) -> None:
        self.site: Site = load_site()
        self.interpreter: Interpreter = interpreter_for(self.site)
        self.recogniser: Recogniser = open_recogniser(self.interpreter, engine, self.site.kitchen.wake_phrase)
        self.voice = TimedVoice(open_voice())
        self.ready_s = time.monotonic() - BEGAN

    def take(self, trial: Trial) -> Result | str:
        """Play one trial in real time; return its result, or why there is none."""
        with tempfile.TemporaryDirectory() as folder, Logbook.open(folder, clock=SystemClock()) as log:
            talk = Conversation(self.site, log, SystemClock(), self.interpreter)
            for words in trial.before:
                talk.hear(Hypotheses.typed(words))
            return self._listen(trial, Kitchen(self.site, talk.clock, log, talk))

    def _listen(self, trial: Trial, kitchen: Kitchen) -> Result | str:
        source, player = SampleSource(trial.sound, real_time=True), FirstSample()
        events: list[Event] = []
        mouth = Mouth(self.voice, player, time.monotonic)
        loop = LiveLoop(kitchen, self.recogniser, source, mouth, events.append)
        if not trial.wake:
            loop.attention.wake(time.monotonic())
        began = time.monotonic()
        loop.run(lambda: player.at is not None)
        answers = [event for event in events if isinstance(event, Answered) and event.turn.reply]
        if player.at is None or not answers:
            reasons = [event.reason for event in events if isinstance(event, Ignored)]
            return f"no answer ({', '.join(reasons) or 'nothing understood'})"
        whole = (player.at - began - trial.ends) * 1000
        if whole < 0:
            return "cut off"
        answer = answers[0]
        voice = self.voice.spent * 1000
        left, rest = answer.timings_ms["recognise"], answer.timings_ms["answer"] - voice
        return Result(trial, whole, (whole - left - rest - voice, left, rest, voice), answer.turn.heard)


def table(results: Sequence[Result], groups: dict[str, Callable[[Result], bool]]) -> str:
    """Return medians and 95th percentiles, a row a group."""
    head = ["group", "answers", "last word to first sample", *STAGES, "computing left"]
    rows = [head, ["---", *["---:"] * (len(head) - 1)]]
    for name, wanted in groups.items():
        chosen = [result for result in results if wanted(result)]
        if chosen:
            columns = [[r.whole for r in chosen], *zip(*(r.stages for r in chosen), strict=True)]
            columns.append([sum(r.stages[1:]) for r in chosen])
            rows.append([name, str(len(chosen)), *(_spread(column) for column in columns)])
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _spread(values: Sequence[float]) -> str:
    return f"{np.median(values):.0f} ({np.percentile(values, 95):.0f})"


def run(count: int, engine: str) -> None:
    """Time ``count`` clips, each clean and in noise, and print the page."""
    bench = Bench(engine)
    results: list[Result] = []
    failures: list[str] = []
    for trial in trials(count):
        result = bench.take(trial)
        if isinstance(result, Result):
            results.append(result)
        else:
            failures.append(f"{trial.name} ({trial.condition}): {result}")
    kinds = dict.fromkeys(result.trial.kind for result in results)
    conditions = dict.fromkeys(result.trial.condition for result in results)
    groups: dict[str, Callable[[Result], bool]] = {"all": lambda _: True}
    groups |= {kind: lambda r, kind=kind: r.trial.kind == kind for kind in kinds}  # type: ignore[misc]
    groups |= {name: lambda r, name=name: r.trial.condition == name for name in conditions}  # type: ignore[misc]
    print(f"recogniser {bench.recogniser.name}, voice {bench.voice.name}; milliseconds, median (95 %)\n")
    print(table(results, groups))
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"\nready to listen after {bench.ready_s:.1f} s; most memory {own:.0f} MB", end=" ")
    print(f"(and {children_mb():.0f} MB in the voice's process)")
    bench.voice.close()
    bench.recogniser.close()
    for failure in failures:
        print(failure)


def main() -> None:
    """Read the options and run."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.latency", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--clips", type=int, default=60, help="clips, each clean and in noise (default: 60)")
    parser.add_argument(
        "--cut-offs", action="store_true", help="compare with fixed silences, not in real time"
    )
    parser.add_argument("--engine", default="", help="engine or model (default: the program's)")
    options = parser.parse_args()
    if options.cut_offs:
        compare(trials(options.clips), paused(), options.engine)
    else:
        run(options.clips, options.engine)


if __name__ == "__main__":
    main()
