"""How well the voice is understood: replies spoken by it and written down again by the ears of that language.

    uv run python -m tests.benchmarks.replies_aloud --language es --speeds 165 145 --snr 10

The replies are those that the exchanges of that language bring, each once; what counts is the text that the
voice is given. Accents, case and marks do not count; a reply is as written when every letter is: "recibe lo"
is "recíbelo", and of a number "uno" is "un".
"""

from __future__ import annotations

import argparse
import csv
import re
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import resample
from assistant.audio.utterance import Utterance
from assistant.speech.engines import open_engine
from assistant.speech.recogniser import recognise
from assistant.speech.spoken_voice import SpokenVoice
from assistant.speech.voice import VoiceSettings
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_conditions import Condition, disturb
from tests.benchmarks.hearing_road import FreshRoad
from tests.benchmarks.human_speech import errors
from tests.benchmarks.spanish_hearing import SpanishRoad

EXCHANGES = Path(__file__).parents[1] / "dialogue" / "exchanges"
TABLES = {"es": "spanish.csv", "en": "main_road.csv"}
_BARE = str.maketrans("áéíóúü", "aeiouu")
_PAD = 6400


def replies(language: str, count: int) -> list[str]:
    """What the voice is given to say, each text once, in the order of the table."""
    road: FreshRoad = SpanishRoad() if language == "es" else FreshRoad()
    with (EXCHANGES / TABLES[language]).open(encoding="utf-8", newline="") as rows:
        turns = (road((), Hypotheses.typed(row["say"])) for row in csv.DictReader(rows))
        spoken = dict.fromkeys(turn.speech for turn in turns if turn.speech and turn.language == language)
    return list(spoken)[:count]


def words(text: str) -> list[str]:
    """Bare words."""
    return re.findall(r"[a-zñ']+", text.lower().translate(_BARE))


_SAME = {"uno": "un", "quat": "cuat"}
"""Spellings of one word: the ears write the sanitizer's name as the English do."""


def letters(found: list[str]) -> str:
    """The letters of a sentence without its gaps."""
    return "".join(_SAME.get(word, word) for word in found)


def main() -> None:
    """Print a line a speed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--language", choices=tuple(TABLES), default="es")
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--speeds", type=int, nargs="+", default=[165], help="words a minute")
    parser.add_argument("--snr", type=float, help="decibels of speech above noise (default: quiet)")
    parser.add_argument("--show", action="store_true")
    options = parser.parse_args()
    told, ears, voice = replies(options.language, options.count), open_engine(language=options.language), None
    condition = Condition("quiet" if options.snr is None else f"{options.snr:g} dB", options.snr)
    print(
        "| voice | noise | replies | as written | word errors | least words right |\n| --- |" + " ---: |" * 5
    )
    for speed in options.speeds:
        voice = SpokenVoice(VoiceSettings(language=options.language, words_a_minute=speed))
        wrong, total, least = [], 0, 1.0
        for text in told:
            sound = resample(voice.samples(text).astype(np.float32) / 32768, voice.rate)
            padded = np.pad(sound.astype(np.float32) / 32768, _PAD)
            heard = recognise(ears, Utterance(disturb(padded, condition, text))).best
            said, found = words(text), words(heard)
            wrong.append(0 if letters(said) == letters(found) else errors(said, found))
            total += len(said)
            least = min(least, 1 - wrong[-1] / len(said))
            if options.show and wrong[-1]:
                print(f"  {text!r}\n  {heard!r}")
        voice.close()
        share = f"{wrong.count(0)} ({wrong.count(0) / len(told):.0%})"
        print(
            f"| {voice.name} {options.language}, {speed} | {condition.name} | {len(told)} | {share} | "
            f"{sum(wrong) / total:.1%} | {max(least, 0):.0%} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
