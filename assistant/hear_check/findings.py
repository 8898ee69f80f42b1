"""What the figures come to, and what to move or to change."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.hear_check.measure import Figures
from assistant.hear_check.table import table


@dataclass(frozen=True)
class Finding:
    """One thing that is well or not (``fix`` says what to move or to change)."""

    name: str
    says: str
    fix: str = ""


def findings(figures: list[Figures], phrase: str, knows_phrase: bool = True) -> list[Finding]:
    """Judge what came in; ``knows_phrase`` tells whether the second listener has every word of the phrase."""
    spoken = [each for each in figures if each.speech_dbfs > -100]
    if not spoken:
        return [
            Finding(
                "speech", "nobody was heard speaking", "Choose the microphone: kitchen doctor lists them."
            )
        ]
    return [
        *_level(spoken),
        *_noise(spoken),
        _phrase([each.called for each in figures if each.called is not None], phrase, knows_phrase),
        *_numbers([(each.number, bool(each.sure)) for each in figures if each.number is not None]),
    ]


def _level(spoken: list[Figures]) -> list[Finding]:
    limits = table()["limits"]
    level = float(np.median([each.speech_dbfs for each in spoken]))
    says = f"{level:.0f} dB below full scale"
    if sum(each.clipped for each in spoken) * 2 > len(spoken):
        return [
            Finding("level", f"{says}, overdriven", "Turn the microphone down, or stand farther from it.")
        ]
    if level < limits["least_speech_dbfs"]:
        return [
            Finding("level", f"{says}, soft", "Move the microphone nearer to where you stand, or turn it up.")
        ]
    return [Finding("level", says)]


def _noise(spoken: list[Figures]) -> list[Finding]:
    over = float(np.median([each.over_noise_db for each in spoken]))
    says = f"your voice is {over:.0f} dB above the noise"
    if over < table()["limits"]["least_over_noise_db"]:
        fix = "Move the microphone away from hood, fan and dish machine and nearer to you, or use a headset."
        return [Finding("noise", says, fix)]
    return [Finding("noise", says)]


def _phrase(called: list[bool], phrase: str, knows_phrase: bool) -> Finding:
    missed = called.count(False)
    says = f'"{phrase}" heard {len(called) - missed} of {len(called)} times'
    if called and missed / len(called) > table()["limits"]["most_called_missed"]:
        fix = "Say it in one breath. If that is no help, choose a longer wake_phrase in the site file."
        return Finding("wake phrase", says, fix)
    if not knows_phrase:
        return Finding(
            "wake phrase", f"{says}; the second listener lacks a word of it, so rhymes of it may wake it"
        )
    return Finding("wake phrase", says)


def _numbers(read: list[tuple[bool, bool]]) -> list[Finding]:
    if not read:
        return []
    limits = table()["limits"]
    wrong, unsure = sum(not right for right, _ in read), sum(right and not sure for right, sure in read)
    says = f"{len(read) - wrong} of {len(read)} right, {unsure} of them only after a question"
    if wrong / len(read) > limits["most_wrong"]:
        return [
            Finding(
                "numbers",
                says,
                "See to level and noise first; then say the place, and the number digit by digit.",
            )
        ]
    if unsure / len(read) > limits["most_unsure"]:
        return [
            Finding(
                "numbers",
                says,
                "It works, with more questions than need be: nearer to the microphone there are fewer.",
            )
        ]
    return [Finding("numbers", says)]
