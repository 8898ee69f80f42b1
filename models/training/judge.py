"""Judge an exported model: numbers and words right, by noise, on held-out clips; with a second listener's words beside.

    python judge.py ../kitchen_en judge.npz --skip 60 --count 120 [--second whisper.jsonl]

``judge.npz`` holds ``text``, ``voice``, ``at`` and ``audio`` (16 kHz) of voices that had no part in training, made
by ``jobs.py`` and ``speak.py`` with the held-out voices. Prints one line a noise level: word errors; numbers wholly right, wrong,
missing; how many are taken at a word confidence of 0.9 and how many of those are wrong; computing after the last sample.
With ``--second`` (a JSON line {"snr", "index", "text"} a clip) also how often both say the same number.
"""

import argparse
import json
import sys
import time
from pathlib import Path

import numpy as np
import vosk

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from intents.en import numbers
from intents.words import tokenise

LEVELS = (None, 20, 10, 5, 0)


def values(text):
    """All ways in which each number of ``text`` may read, in order."""
    words = tuple(tokenise(text.replace("p p m", "ppm").replace("[unk]", "blah").replace("?", "")))
    at, found = 0, []
    while at < len(words):
        readings = numbers.numbers_from(words, at)
        if readings and not (words[at] in ("a", "half", "quarter") and readings[0][0] == at + 1):
            found.append(readings[0][1])
            at = readings[0][0]
        else:
            at += 1
    return found


def same(one, other):
    return len(one) == len(other) and all(a & b for a, b in zip(one, other))


def word_errors(heard, said):
    heard, said = heard.split(), said.split()
    row = list(range(len(said) + 1))
    for i, word in enumerate(heard, 1):
        before, row[0] = row[0], i
        for j, wanted in enumerate(said, 1):
            before, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, before + (word != wanted))
    return row[-1], len(said)


def noise(kind, count, rng, babble):
    """Hood, spray, clatter or talk, of any level."""
    t = np.arange(count) / 16000
    if kind == 0:
        hum = np.fft.irfft(
            np.fft.rfft(rng.standard_normal(count)) / np.sqrt(np.arange(count // 2 + 1) + 80.0) ** 1.2, count
        )
        return hum / hum.std() + 0.7 * np.sin(2 * np.pi * 118 * t) + 0.4 * np.sin(2 * np.pi * 236 * t)
    if kind == 1:
        return np.diff(rng.standard_normal(count + 1)) * (
            1 + 0.8 * np.sin(2 * np.pi * 0.9 * t + rng.uniform(0, 6))
        )
    if kind == 2:
        out = 0.05 * rng.standard_normal(count)
        for _ in range(max(3, count // 4000)):
            at = rng.integers(0, count - 10)
            u = np.arange(count - at) / 16000
            ring = sum(np.sin(2 * np.pi * rng.uniform(900, 6000) * u) for _ in range(2))
            hit = 0.5 * rng.standard_normal(count - at) * np.exp(-u * 150)
            out[at:] += rng.uniform(0.3, 1.5) * np.exp(-u * rng.uniform(15, 80)) * (ring + hit)
        return out
    at = rng.integers(0, len(babble) - count)
    return babble[at : at + count]


def noisy(clips, level, babble, seed=5):
    rng = np.random.default_rng(seed)
    for index, (text, sound) in enumerate(clips):
        loud = np.sqrt((sound**2).mean())
        whole = np.concatenate([np.zeros(4800), sound, np.zeros(8000)])
        other = noise(index % 4, len(whole), rng, babble)
        whole += other / other.std() * (10 if level is None else loud / 10 ** (level / 20))
        yield text, np.clip(whole * 0.25, -32768, 32767).astype(np.int16)


def hear(model, sound):
    """The words, their least confidence, and the seconds of computing after the last sample."""
    made = vosk.KaldiRecognizer(model, 16000)
    made.SetWords(True)
    parts, data = [], sound.tobytes()
    for at in range(0, len(data), 6400):
        if made.AcceptWaveform(data[at : at + 6400]):
            parts.append(json.loads(made.Result()))
    begun = time.process_time()
    parts.append(json.loads(made.FinalResult()))
    spent = time.process_time() - begun
    words = [word for part in parts for word in part.get("result", [])]
    return " ".join(w["word"] for w in words), min((w["conf"] for w in words), default=0.0), spent


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("model")
    parser.add_argument("clips")
    parser.add_argument("--count", type=int, default=120)
    parser.add_argument("--skip", type=int, default=0)
    parser.add_argument("--second")
    given = parser.parse_args()
    vosk.SetLogLevel(-2)
    model, held = vosk.Model(given.model), np.load(given.clips)
    audio = held["audio"].astype(float)
    babble = sum(np.roll(audio, k * 1234567) for k in range(7))
    texts = [str(text).replace("p p m", "ppm") for text in held["text"]]
    chosen = [i for i, text in enumerate(texts) if values(text)][given.skip : given.skip + given.count]
    clips = [(texts[i], audio[held["at"][i] : held["at"][i + 1]]) for i in chosen]
    other = {}
    if given.second:
        for line in Path(given.second).read_text().splitlines():
            row = json.loads(line)
            other[row["snr"], row["index"]] = row["text"]
    for level in LEVELS:
        errors = words = right = wrong = none = taken = taken_wrong = both = both_wrong = 0
        spent = []
        for index, (text, sound) in enumerate(noisy(clips, level, babble)):
            heard, sure, seconds = hear(model, sound)
            spent.append(seconds)
            e, n = word_errors(heard, text.replace("ppm", "p p m"))
            errors, words = errors + e, words + n
            got, said = values(heard), values(text)
            good = same(got, said)
            right, wrong, none = right + good, wrong + (bool(got) and not good), none + (not got)
            if got and sure >= 0.9:
                taken, taken_wrong = taken + 1, taken_wrong + (not good)
            if got and same(got, values(other.get((level, index), ""))):
                both, both_wrong = both + 1, both_wrong + (not good)
        name = "clean" if level is None else f"{level} dB"
        line = f"{name}: word errors {errors / words:.1%}; numbers right {right}, wrong {wrong}, none {none} of {len(clips)}"
        line += f"; at 0.9 taken {taken}, wrong {taken_wrong}"
        line += f"; both the same {both}, wrong {both_wrong}" if other else ""
        print(
            line + f"; {np.median(spent) * 1000:.0f} ms (95 %: {np.percentile(spent, 95) * 1000:.0f} ms)",
            flush=True,
        )


if __name__ == "__main__":
    main()
