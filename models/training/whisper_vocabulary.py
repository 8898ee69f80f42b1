"""Keep only the tokens that a kitchen's languages need: python whisper_vocabulary.py [--languages en] MODEL_FOLDER OUT_FOLDER WORDS.txt...

MODEL_FOLDER is CTranslate2's model, in 16 bits or already in 8 (each row has a scale of its own: what stays is the same). Of its tokens those stay that spell the words of the given texts
(any text; every run of letters counts), the frequent words of the languages and the single bytes, each with every piece it
is merged from, so that what stays is cut as before: this is checked for every word. Fewer rows make the file smaller and each
step of the decoder cheaper. Of the marks stay: start, end, the two languages, transcribe, earlier text, nobody spoke, no times.
"""

from __future__ import annotations

import argparse
import json
import pathlib
import re
import sys
from typing import Any

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2]))

TABLE = "decoder/embeddings/weight"
MARKS = (
    "endoftext",
    "startoftranscript",
    "en",
    "es",
    "transcribe",
    "startofprev",
    "nocaptions",
    "notimestamps",
)
FREQUENT = 40000  # words of each language


def wanted_words(texts: list[pathlib.Path], languages: list[str]) -> list[str]:
    """Words of the texts and the frequent ones, as they stand within a sentence and at its head."""
    from wordfreq import top_n_list

    found = {word for code in languages for word in top_n_list(code, FREQUENT)}
    for path in texts:
        found |= set(re.findall(r"[^\W\d_]+(?:'[a-z]+)?", path.read_text(encoding="utf-8").lower()))
    latin = (word for word in found if re.fullmatch(r"[a-záéíóúüñ']+", word))
    return sorted(form for word in latin for form in (word, " " + word))


def needed(model: dict[str, Any], words: list[str], cut: Any) -> tuple[set[str], list[Any]]:
    """The pieces that spell the words, with all that they are merged from, and the merges that remain."""
    vocabulary = model["vocab"]
    pairs = [tuple(m.split(" ")) if isinstance(m, str) else tuple(m) for m in model["merges"]]
    made = {a + b: (a, b) for a, b in reversed(pairs)}  # the earliest merge that makes a piece
    keep = {piece for piece in vocabulary if len(piece) == 1}
    todo = [piece for word in words for piece in cut(word)]
    while todo:
        piece = todo.pop()
        if piece in keep:
            continue
        keep.add(piece)
        todo += made.get(piece, ())
    merges = [m for m, (a, b) in zip(model["merges"], pairs, strict=True) if {a, b, a + b} <= keep]
    return keep, merges


def mend(model: dict[str, Any]) -> None:
    """Put back the first merge: some published files took it for a heading, and cut every word with a t at its head otherwise."""
    first = ["Ġ", "t"]
    pairs = [m.split(" ") if isinstance(m, str) else list(m) for m in model["merges"]]
    if first not in pairs:
        model["merges"] = [
            " ".join(first) if isinstance(model["merges"][0], str) else first,
            *model["merges"],
        ]


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("folder", type=pathlib.Path)
    p.add_argument("out", type=pathlib.Path)
    p.add_argument("--languages", default="en es")
    p.add_argument("texts", nargs="*", type=pathlib.Path)
    a = p.parse_args()
    from tokenizers import Tokenizer

    from models.converted import read_converted

    spec = json.loads((a.folder / "tokenizer.json").read_text(encoding="utf-8"))
    mend(spec["model"])
    whole = Tokenizer.from_str(json.dumps(spec))
    words = wanted_words(a.texts, a.languages.split())
    cut = lambda tokenizer: lambda text: tokenizer.encode(text, add_special_tokens=False).tokens  # noqa: E731
    keep, merges = needed(spec["model"], words, cut(whole))
    marks = [f"<|{mark}|>" for mark in MARKS]
    old = [spec["model"]["vocab"][piece] for piece in keep if piece in spec["model"]["vocab"]]
    ids = sorted(set(old) - {whole.token_to_id(mark) for mark in marks}) + [
        whole.token_to_id(m) for m in marks
    ]
    new = {number: k for k, number in enumerate(ids)}
    spec["model"]["merges"] = merges
    spec["model"]["vocab"] = {
        piece: new[number] for piece, number in spec["model"]["vocab"].items() if number in new
    }
    spec["added_tokens"] = [
        {**token, "id": new[token["id"]]} for token in spec["added_tokens"] if token["id"] in new
    ]
    spec["added_tokens"].sort(key=lambda token: token["id"])
    spec["post_processor"] = None
    a.out.mkdir(parents=True, exist_ok=True)
    (a.out / "tokenizer.json").write_text(json.dumps(spec, ensure_ascii=False), encoding="utf-8")
    fewer = Tokenizer.from_file(str(a.out / "tokenizer.json"))
    other = [word for word in words if cut(fewer)(word) != cut(whole)(word)]
    lines = (a.folder / "vocabulary.txt").read_text(encoding="utf-8").split("\n")
    (a.out / "vocabulary.txt").write_text("\n".join(lines[k] for k in ids) + "\n", encoding="utf-8")
    config = json.loads((a.folder / "config.json").read_text(encoding="utf-8"))
    several = (
        a.languages.split() if " " in a.languages else []
    )  # a model of one language writes no mark of it
    spoken = {new[whole.token_to_id(f"<|{mark}|>")] for mark in several}
    config["suppress_ids"] = sorted({new[k] for k in config["suppress_ids"] if k in new} - spoken)
    config["suppress_ids_begin"] = [new[k] for k in config["suppress_ids_begin"] if k in new]
    config["lang_ids"] = sorted(spoken)
    (a.out / "config.json").write_text(json.dumps(config), encoding="utf-8")
    model = read_converted(a.folder / "model.bin")
    rows = [name for name in (TABLE, f"{TABLE}_scale") if name in model.arrays]
    arrays = {**model.arrays, **{name: np.ascontiguousarray(model.arrays[name][ids]) for name in rows}}
    (a.out / "model.bin").write_bytes(model.with_arrays(arrays).to_bytes())
    print(
        f"{len(ids)} tokens of {len(lines)} stay, {len(merges)} merges; {len(words)} words, cut otherwise: {len(other)} {other[:5]}"
    )


if __name__ == "__main__":
    main()
