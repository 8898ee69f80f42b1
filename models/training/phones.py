"""Phones, pronunciations and words: what sentences, trainer and graph must agree on.

Pronunciations come from the CMU dictionary inside the `pocketsphinx` package, then from `words_extra.txt`, then (words
that neither holds) from espeak-ng's phonemes put into the same 39 phones.
"""

from __future__ import annotations

import functools
import pathlib
import re
import tomllib

HERE = pathlib.Path(__file__).parent
TABLE = tomllib.loads((HERE.parents[1] / "assistant" / "speech" / "phones.toml").read_text("utf-8"))
PHONES, FROM_ESPEAK = TABLE["phones"].split(), TABLE["signs"]
BLANK = 0  # output 0 of the network: CTC blank, which is also silence; phone k of PHONES is output k + 1


def words(text: str) -> list[str]:
    """Lower-case words; hyphens part words, apostrophes stay."""
    return re.findall(r"[a-z']+", text.lower().replace("’", "'").replace("-", " "))


@functools.cache
def lexicon() -> dict[str, list[str]]:
    """Word -> its pronunciations, the usual one first; each is phones with spaces between."""
    import pocketsphinx

    out: dict[str, list[str]] = {}
    path = pathlib.Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict"
    for line in path.read_text(encoding="utf-8").splitlines():
        word, *phones = line.split()
        out.setdefault(re.sub(r"\(\d+\)$", "", word), []).append(" ".join(phones))
    for line in (HERE / "words_extra.txt").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            word, spoken = line.split(maxsplit=1)
            out[word] = [spoken, *(p for p in out.get(word, []) if p != spoken)]
    return out


def guess(word: str) -> str:
    """A pronunciation for a word that no dictionary holds, by espeak-ng. Raises ValueError if nothing remains."""
    import espeakng_loader
    from phonemizer.backend.espeak.wrapper import EspeakWrapper

    EspeakWrapper.set_library(espeakng_loader.get_library_path())
    EspeakWrapper.set_data_path(espeakng_loader.get_data_path())
    from phonemizer import phonemize

    spoken = re.sub(r"[ˈˌ\s‍͡]", "", phonemize(word, language="en-us", backend="espeak", strip=True))
    keys = "|".join(sorted(map(re.escape, FROM_ESPEAK), key=len, reverse=True))
    phones = " ".join(FROM_ESPEAK[m] for m in re.findall(keys, spoken))
    if not phones:
        raise ValueError(f"no pronunciation for {word!r}: add a line to words_extra.txt")
    return phones


def pronunciations(word: str) -> list[str]:
    """All known pronunciations, or one guess."""
    return list(dict.fromkeys(lexicon().get(word) or [guess(word)]))
