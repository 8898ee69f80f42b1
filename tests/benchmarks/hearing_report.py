"""Third stage of the hearing benchmark: one table, as Markdown and as CSV, with Wilson bounds."""

from __future__ import annotations

import csv
import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.hearing_conditions import CONDITIONS
from tests.benchmarks.hearing_judge import Verdict
from tests.benchmarks.hearing_speech import Clip

Z_95 = 1.959964


@dataclass(frozen=True, slots=True)
class Result:
    """One judged trial. Times in milliseconds; ``turn_ms`` is the time from words to reply."""

    clip: Clip
    condition: str
    noise: str
    verdict: Verdict
    heard: str
    seconds: float
    accept_ms: float
    finish_ms: float
    turn_ms: float
    memory_mb: float
    stages_ms: dict[str, float]


def wilson(hits: int, of: int) -> tuple[float, float]:
    """Return the 95 % interval of a proportion after Wilson (1927), as fractions; (0, 1) for no trials."""
    if of == 0:
        return 0.0, 1.0
    share, spread = hits / of, Z_95**2 / of
    middle = (share + spread / 2) / (1 + spread)
    half = Z_95 / (1 + spread) * math.sqrt(share * (1 - share) / of + spread / (4 * of))
    return max(0.0, middle - half), min(1.0, middle + half)


COUNTS = ("right", "asked", "unheard", "unsure", "wrong", "wrong number")
CHATTER = ("chatter", "chatter_answered_if_addressed", "chatter_logged_if_addressed", "chatter_acted_on")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: how many trials of a group ended how.

    ``wording`` counts trials whose typed words are answered rightly, the most that the ear can reach.
    ``acted`` counts chatter that got an answer or an entry although nobody said the wake phrase;
    ``answered`` and ``logged`` count chatter taken as if it had been addressed.
    """

    cut: str
    group: str
    trials: int
    wording: int
    counts: dict[str, int]
    numbers_said: int
    chatter: int
    answered: int
    logged: int
    acted: int

    @classmethod
    def of(cls, cut: str, group: str, results: Sequence[Result]) -> Row:
        """Count the outcomes of ``results``."""
        commands = [r for r in results if r.clip.sentence.kind == "command"]
        chatter = [r for r in results if r.clip.sentence.kind == "chatter"]
        counts = {name: sum(r.verdict.outcome == name for r in commands) for name in COUNTS}
        said = sum(r.clip.sentence.values.count(";") + 1 for r in commands if r.clip.sentence.values)
        answered = sum(r.verdict.outcome == "answered" for r in chatter)
        logged = sum(r.verdict.outcome == "logged" for r in chatter)
        acted = sum(r.verdict.outcome != "ignored" and r.verdict.woken for r in chatter)
        wording = sum(r.verdict.wording for r in commands)
        return cls(cut, group, len(commands), wording, counts, said, len(chatter), answered, logged, acted)

    def markdown(self) -> str:
        """The row as a line of a Markdown table: shares in percent with their 95 % bounds."""
        cells = [self.group, str(self.trials), f"{self.wording / self.trials if self.trials else 0:.1%}"]
        for name in COUNTS[:5]:
            low, high = wilson(self.counts[name], self.trials)
            share = self.counts[name] / self.trials if self.trials else 0
            cells.append(f"{share:.1%} ({low:.1%}–{high:.1%})" if name == "right" else f"{share:.1%}")
        _, high = wilson(self.counts["wrong number"], self.numbers_said)
        cells.append(f"{self.counts['wrong number']} of {self.numbers_said} (≤ {high:.2%})")
        for hits in (self.acted, self.logged):
            _, high = wilson(hits, self.chatter)
            cells.append(f"{hits} of {self.chatter} (≤ {high:.2%})" if self.chatter else "–")
        return f"| {' | '.join(cells)} |"


CUTS: dict[str, Callable[[Result], str]] = {
    "condition": lambda r: r.condition,
    "voice family": lambda r: r.clip.voice.family,
    "voice": lambda r: f"{r.clip.voice.name} ({r.clip.voice.half})",
    "number style": lambda r: r.clip.sentence.style or "no number",
    "noise": lambda r: r.noise,
    "topic": lambda r: r.clip.sentence.topic,
    "wording": lambda r: {"dev": "tuned on", "held": "held out"}[r.clip.sentence.split],
    "wake phrase": lambda r: "said" if r.clip.wake else "not said",
}


def rows(results: Sequence[Result]) -> list[Row]:
    """All lines of the table: one for everything, then one a group of each cut."""
    table = [Row.of("all", "all", results)]
    order = [condition.name for condition in CONDITIONS]
    for cut, of in CUTS.items():
        groups = {of(r) for r in results}
        for group in sorted(groups, key=lambda g: (order.index(g) if g in order else 99, g)):
            inside = [r for r in results if of(r) == group]
            table.append(Row.of(cut, group, inside))
    return table


def speed(results: Sequence[Result]) -> list[str]:
    """Lines on computing time after the last sound, by stage, real-time factor and memory."""
    if not results:
        return []
    waits = [r.finish_ms + r.turn_ms for r in results]
    lines = [f"| end of speech to reply, computing | {_middle_and_tail(waits)} |"]
    for stage in sorted({stage for r in results for stage in r.stages_ms}):
        spent = [r.stages_ms.get(stage, 0.0) for r in results]
        lines.append(f"| … of which {stage} | {_middle_and_tail(spent)} |")
    lines.append(f"| … of which the turn | {_middle_and_tail([r.turn_ms for r in results])} |")
    busy = sum(r.accept_ms + r.finish_ms for r in results) / 1e3 / sum(r.seconds for r in results)
    lines.append(f"| computing a second of sound (real-time factor) | {busy:.2f} |")
    lines.append(f"| memory of the process, most | {max(r.memory_mb for r in results):.0f} MB |")
    return lines


def _middle_and_tail(values: Sequence[float]) -> str:
    ordered = sorted(values)
    return f"{statistics.median(ordered):.0f} ms (95 %: {ordered[int(0.95 * (len(ordered) - 1))]:.0f} ms)"


COLUMNS = ("right if typed", "right", "asked", "no answer", "no rule", "wrong answer", "wrong numbers")
CHATTER_COLUMNS = ("chatter acted on", "logged if addressed")


def markdown(title: str, results: Sequence[Result]) -> str:
    """The whole report as Markdown. All speech in it is synthetic, and it says so."""
    parts = [f"## {title}", "", "Synthetic speech only; bounds are 95 % Wilson intervals.", ""]
    cut = ""
    for row in rows(results):
        if row.cut != cut:
            cut = row.cut
            parts += [
                "",
                f"| {cut} | commands | {' | '.join(COLUMNS + CHATTER_COLUMNS)} |",
                "| --- |" + " ---: |" * 10,
            ]
        parts.append(row.markdown())
    parts += ["", "| speed | median (95 %) |", "| --- | ---: |", *speed(results), ""]
    return "\n".join(parts)


def write(folder: Path, name: str, title: str, results: Sequence[Result]) -> None:
    """Write ``name.md``, ``name.csv`` (the table) and ``name_trials.csv`` (every trial) to ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.md").write_text(markdown(title, results), encoding="utf-8")
    with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(["cut", "group", "commands", "right_if_typed", *COUNTS, "numbers_said", *CHATTER])
        for row in rows(results):
            counts = [row.counts[name] for name in COUNTS]
            chatter = (row.chatter, row.answered, row.logged, row.acted)
            table.writerow([row.cut, row.group, row.trials, row.wording, *counts, row.numbers_said, *chatter])
    with (folder / f"{name}_trials.csv").open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(
            ["id", "voice", "condition", "noise", "outcome", "right_if_typed", "said", "heard", "reply"]
        )
        for r in sorted(results, key=lambda r: (r.verdict.outcome, r.clip.sentence.id)):
            place = [r.clip.sentence.id, r.clip.voice.name, r.condition, r.noise]
            table.writerow(
                [*place, r.verdict.outcome, r.verdict.wording, r.clip.words, r.heard, r.verdict.reply]
            )
