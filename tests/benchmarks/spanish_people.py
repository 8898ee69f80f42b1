"""How well a person's Spanish numbers are heard: one speaker's recorded words, joined as a telephone does.

    apt-get download asterisk-core-sounds-es-wav; dpkg -x ... PACKAGES
    uv run python -m tests.benchmarks.spanish_people PACKAGES/usr/share/asterisk/sounds/es_MX_f_Allison/digits

The recordings (CC BY-SA 3.0) are no part of the project and were in no training. The language is not told.
`sure` counts what the single listener's gate would log at once, `WRONG` what it would log though it is wrong.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter
from decimal import Decimal
from pathlib import Path

import numpy as np

from assistant.audio.utterance import Utterance
from assistant.dialogue.gate_table import gate_table
from assistant.speech.engines import open_engine
from assistant.speech.recogniser import recognise
from intents.es.spell import say_digits, say_integer
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_conditions import Condition, disturb
from tests.benchmarks.human_speech import cut_word

_BARE = str.maketrans("áéíóúü", "aeiouu")


def parts(value: int) -> list[str]:
    """Return the file names of a number from -99 to 999."""
    if value < 0:
        return ["minus", *parts(-value)]
    if value == 100:
        return ["hundred"]
    hundreds, rest = divmod(value, 100)
    head = [] if not hundreds else ["100-and"] if hundreds == 1 else [f"{hundreds}00"]
    if rest < 30:
        tail = [str(rest)] if rest or not hundreds else []
    else:
        tail = [str(rest // 10 * 10), *(["and", str(rest % 10)] if rest % 10 else [])]
    return [*head, *tail]


def drawn(rng: random.Random) -> tuple[str, list[str]]:
    """Return what is said and the files that say it: in words, or three digits one by one."""
    kind = rng.random()
    if kind < 0.2:
        value = rng.randint(100, 999)
        return say_digits(Decimal(value)), list(str(value))
    value = rng.randint(-18, 99) if kind < 0.6 else rng.randint(100, 499)
    return say_integer(value), parts(value)


def right_share(said: str, heard: Hypotheses) -> float:
    """Return the share of the n-best mass whose words are what was said; accents do not count."""
    wanted = said.translate(_BARE)
    return sum(each.share for each in heard.alternatives if each.text.lower().translate(_BARE) == wanted)


def main() -> None:
    """Print how many numbers were heard as said, and how many others the gate would have let pass."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("digits", type=Path)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--snr", type=float, help="decibels of speech above noise (default: as recorded)")
    parser.add_argument("--show", action="store_true")
    options = parser.parse_args()
    if not (options.digits / "hundred.wav").is_file():
        sys.exit(f"benchmark stopped: '{options.digits}' holds no hundred.wav; see the head of this file")
    recogniser, rng, counts = open_engine(language="es"), random.Random(4), Counter[str]()
    least = float(gate_table()["log_at_once"])
    for at in range(options.count):
        said, files = drawn(rng)
        sounds = [
            np.pad(cut_word(options.digits / f"{name}.wav"), (0, rng.randrange(1200))) for name in files
        ]
        joined = np.concatenate([np.zeros(6400, np.int16), *sounds, np.zeros(6400, np.int16)])
        condition = Condition("as recorded" if options.snr is None else f"{options.snr:g} dB", options.snr)
        sound = disturb(joined.astype(np.float32) / 32768, condition, f"{said} {at}")
        heard = recognise(recogniser, Utterance(sound))
        share = right_share(said, heard)
        right = heard.best.lower().translate(_BARE) == said.translate(_BARE)
        sure = bool(heard.alternatives) and heard.alternatives[0].share >= least
        counts.update(
            right=right, spanish=heard.language == "es", sure=sure and right, WRONG=sure and not right
        )
        if options.show and not right:
            print(f"  {said!r} heard {heard.best!r} ({heard.language}), share of the right words {share:.3f}")
    print(f"{options.count} numbers: {dict(counts)}")


if __name__ == "__main__":
    main()
