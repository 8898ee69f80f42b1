"""How well the voice is understood: replies spoken by it and written down again by the ears of that language.

    uv run python -m tests.benchmarks.replies_aloud --language es --speeds 165 145 --snr 10
    uv run python -m tests.benchmarks.replies_aloud --language es --count 200 --seed 1130

The replies are those that the exchanges of that language bring, each once; with ``--seed`` they are drawn
from all of its tables and filled with usual values, those of the intents behind ``--of`` first. What counts
is the text that the voice is given. Accents, case and marks do not count; a reply is as written when every
letter is: "recibe lo" is "recíbelo", and of a number "uno" is "un". What differs only in letters that sound
alike in the Americas ("tozas") is counted once more.
"""

from __future__ import annotations

import argparse
import csv
import random
import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import resample
from assistant.audio.utterance import Utterance
from assistant.dialogue.say import fill, spoken, worded
from assistant.speech.engines import open_engine
from assistant.speech.recogniser import recognise
from assistant.speech.spoken_voice import SpokenVoice
from assistant.speech.voice import VoiceSettings
from intents.catalogue import Catalogue, load_catalogue
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_conditions import Condition, disturb
from tests.benchmarks.hearing_road import FreshRoad
from tests.benchmarks.human_speech import errors
from tests.benchmarks.spanish_hearing import SpanishRoad

EXCHANGES = Path(__file__).parents[1] / "dialogue" / "exchanges"
TABLES = {"es": "spanish.csv", "en": "main_road.csv"}
_BARE = str.maketrans("áéíóúü", "aeiouu")
_PAD = 6400
USUAL = {
    "food subject what thing word A a ready last Last": "chicken",
    "b other": "ground beef",
    "place item": "walk-in",
    "round": "line check",
    "list": "walk-in, reach-in",
    "hours total one needed then_hours blast_hours ambient first_hours": "4",
    "days record count left_count read readings entries day": "7",
    "failed skipped unknown open": "2",
    "time by now when until first": "2:30 pm",
    "date": "Tuesday April 7",
    "left stand hold usual": "1 hour",
    "seconds scrub held": "30 seconds",
    "low mild_ppm": "50",
    "high top ppm number": "200",
    "range strength amount said limits_ppm target_ppm": "50-100 ppm",
    "name": "Ana",
    "raw instant who others rest failed_list unjudged_list open_list": "",
    "more_ways or_instant problem verdict offset": "",
    "once": "cut",
    "parts": "256",
    "ounces": "2",
    "water measure": "1 gallon",
    "hardness": "500",
    "feet": "550",
    "reason": "skipped",
    "kind": "quat",
}
"""Values in the words of the rules by the names that replies give them; any other is a temperature."""
_VALUES = {name: value for names, value in USUAL.items() for name in names.split()}


def replies(language: str, count: int) -> list[str]:
    """What the voice is given to say, each text once, in the order of the table."""
    road: FreshRoad = SpanishRoad() if language == "es" else FreshRoad()
    with (EXCHANGES / TABLES[language]).open(encoding="utf-8", newline="") as rows:
        turns = (road((), Hypotheses.typed(row["say"])) for row in csv.DictReader(rows))
        spoken = dict.fromkeys(turn.speech for turn in turns if turn.speech and turn.language == language)
    return list(spoken)[:count]


def drawn(code: str, count: int, seed: int, of: Sequence[str] = ()) -> list[str]:
    """What the voice is given for replies of all tables: those of the intents ``of``, then others drawn."""
    catalogue = load_catalogue(code)
    texts = {
        (name, key): spoken(_filled(text, catalogue), code).ear
        for name in sorted(catalogue.intents)
        for key, text in sorted(catalogue[name].replies.items())
    }
    first = [text for (name, key), text in texts.items() if name in of or f"{name}.{key}" in of]
    others = [text for text in dict.fromkeys(texts.values()) if text not in first and len(words(text)) > 2]
    random.Random(seed).shuffle(others)
    return (first + others)[: max(count, len(first))]


def _filled(template: str, catalogue: Catalogue) -> str:
    names = re.findall(r"\{(\w+)\}", template)
    values = {name: _VALUES.get(name, "41°F") for name in names}
    return fill(template, worded(values, catalogue))


def words(text: str) -> list[str]:
    """Bare words."""
    return re.findall(r"[a-zñ']+", text.lower().translate(_BARE))


_SAME = {"uno": "un", "quat": "cuat", "p": "pe", "h": "ache"}
"""Spellings of one word: the ears write the sanitizer's name as the English do, and pH as it sounds."""


def letters(found: list[str]) -> str:
    """The letters of a sentence without its gaps."""
    return "".join(_SAME.get(word, word) for word in found)


_ALIKE = (
    ("qu", "k"),
    ("ch", "#"),
    ("ll", "y"),
    ("h", ""),
    ("v", "b"),
    ("z", "s"),
    ("ce", "se"),
    ("ci", "si"),
)
"""Spellings that sound the same in the Spanish of the Americas: "tosas" and "tozas"."""


def sounds(text: str) -> str:
    """The letters of a Spanish text, one for each of those that sound alike."""
    for written, one in _ALIKE:
        text = text.replace(written, one)
    return text


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
    parser.add_argument("--seed", type=int, help="draw from all tables (default: the exchanges')")
    parser.add_argument("--of", nargs="+", default=(), help="intents, or intent.reply, that are drawn first")
    options = parser.parse_args()
    if options.seed is None:
        told = replies(options.language, options.count)
    else:
        told = drawn(options.language, options.count, options.seed, options.of)
    ears, voice = open_engine(language=options.language), None
    condition = Condition("quiet" if options.snr is None else f"{options.snr:g} dB", options.snr)
    print(
        "| voice | noise | replies | as written | or sounding alike | word errors | least words right |"
        + "\n| --- |"
        + " ---: |" * 6
    )
    for speed in options.speeds:
        voice = SpokenVoice(VoiceSettings(language=options.language, words_a_minute=speed))
        wrong, alike, total, least = [], 0, 0, 1.0
        for text in told:
            sound = resample(voice.samples(text).astype(np.float32) / 32768, voice.rate)
            padded = np.pad(sound.astype(np.float32) / 32768, _PAD)
            heard = recognise(ears, Utterance(disturb(padded, condition, text))).best
            said, found = words(text), words(heard)
            wrong.append(0 if letters(said) == letters(found) else errors(said, found))
            alike += sounds(letters(said)) == sounds(letters(found))
            total += len(said)
            least = min(least, 1 - wrong[-1] / len(said))
            if options.show and wrong[-1]:
                print(f"  {text!r}\n  {heard!r}")
        voice.close()
        share = f"{wrong.count(0)} ({wrong.count(0) / len(told):.0%})"
        print(
            f"| {voice.name} {options.language}, {speed} | {condition.name} | {len(told)} | {share} | "
            f"{alike} ({alike / len(told):.0%}) | {sum(wrong) / total:.1%} | {max(least, 0):.0%} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
