"""Gathers what the net is taught from: ``uv run python -m models.training.understanding.rows ROWS.json PRETRAINED [--unseen]``.

Sentences come from the ``[said]`` and ``[said_unsafe]`` tables of ``intents/<language>``, from what is said next
(``follow_ups.csv`` there: with the words before it, or with any of the intent that was before), from the exchanges of
the tests, and from reports put together here (``reports.py``). With
``--unseen`` the judged sentences of ``tests/understanding`` go along, to be judged and never to be learnt.
"""

import argparse
import csv
import json
import random
import re
import tomllib
from collections import Counter
from pathlib import Path

from intents.language import data_folder, packs
from intents.meaning import BETWEEN
from intents.words import tokenise
from models.training.understanding.pairs import pairs
from models.training.understanding.reports import reports

ROOT = Path(__file__).resolve().parents[3]
ACTS = ("ask", "leave", "tell", "command", "amend", "answer", "talk")
ROLES = (
    "other", "food", "above", "below", "first", "next", "place", "value", "limit", "at", "since", "span", "count",
    "reason", "condition", "courtesy", "aside",
)  # fmt: skip
MARK = re.compile(r"\[(\w+): ([^\[\]]+)\]")
OFTEN = 3
"""So many times a pass the sentences are seen that every later change is judged by."""
BEFORES = 12
"""So many sentences of an intent stand before a follow-up of which only that intent is told."""
STRAYS = 0.04
"""A word so much rarer in a language than in another one has strayed into it (judgement)."""
COMMON = 14_000
"""So many of the pretrained pieces are kept in any case: cooks say words that no table has."""


def parsed(sentence: str) -> tuple[list[str], list[str]]:
    """Return the words of a marked sentence and the role of each."""
    words, roles, at = [], [], 0
    for mark in (*MARK.finditer(sentence), None):
        plain = tokenise(sentence[at : mark.start() if mark else None])
        words += plain
        roles += ["other"] * len(plain)
        if mark:
            inside = tokenise(mark[2])
            words += inside
            roles += [mark[1]] * len(inside)
            at = mark.end()
    return words, roles


def row(intent, act, danger, sentence, *, marked=True):
    """Return one sentence as it is written to the file."""
    words, roles = parsed(sentence)
    marked = marked and set(roles) != {"other"}  # nothing marked: nobody looked, so no role is learnt
    return {
        "words": words,
        "roles": roles if marked else None,
        "intent": intent,
        "act": act,
        "danger": danger,
    }


def languages() -> list[str]:
    """Return the codes of the language packs, those that are not complete, too."""
    return list(packs())


def from_tables(language: str):
    """Yield every sentence of the intents' own tables."""
    for path in sorted(data_folder(language).rglob("*.toml")):
        if "concepts" in path.parts:
            continue
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        for key, danger in (("said", 0), ("said_unsafe", 1)):
            for act, sentences in table.get(key, {}).items():
                for sentence in sentences:
                    yield {**row(path.stem, act, danger, sentence), "language": language}


def from_examples(language: str):
    """Yield the examples of the intents' tables; what they are acts of is not told."""
    for path in sorted(data_folder(language).rglob("*.toml")):
        if "concepts" not in path.parts:
            for example in tomllib.loads(path.read_text(encoding="utf-8")).get("examples", ()):
                say = example if isinstance(example, str) else example["say"]
                yield {**row(path.stem, None, None, say, marked=False), "language": language, "times": OFTEN}


def from_follow_ups(language: str, said: dict[str, list[list[str]]]):
    """Yield what is said next, with the words that it may follow; ``said``: sentences by intent."""
    path = ROOT / "intents" / language / "follow_ups.csv"
    if not path.is_file():
        return
    chance = random.Random(3)
    earlier: dict[str, str] = {}  # what was said before a sentence of the rows above
    with path.open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file):
            told = row(line["intent"], line["act"], int(line["unsafe"] == "yes"), line["say"])
            known = [list(tokenise(line["before"]))] if line["before"] else said.get(line["after"], [])
            befores = chance.sample(known, min(BEFORES, len(known)))
            if first := tokenise(earlier.get(line["before"], "")):
                befores.append([*first, BETWEEN, *befores[0]])
            earlier[line["say"]] = line["before"]
            if befores:
                yield {**told, "language": language, "befores": befores, "times": 2}


def from_exchanges():
    """Yield the turns of the exchanges: those that can be understood alone, and all behind the turn before."""
    for path in sorted((ROOT / "tests" / "dialogue" / "exchanges").glob("*.csv")):
        if path.stem == "spanish":
            continue
        with path.open(encoding="utf-8", newline="") as file:
            seen, before, earlier = "", "", ""
            for turn in csv.DictReader(file):
                first, seen = turn["conversation"] != seen, turn["conversation"]
                said, sooner = before, "" if first else earlier
                if turn["reply_has"] or turn["intent"]:
                    before, earlier = turn["say"], "" if first else said
                intent = turn["intent"] or (
                    "none" if not turn["reply_has"] and turn.get("entry") == "none" else ""
                )
                intent = {"unsure": "unsupported"}.get(intent, intent)
                leans = not first and (
                    len(turn["say"].split()) < 5 or turn["say"].lower().startswith(("and ", "what about"))
                )
                if not intent or turn["say"].startswith("("):
                    continue
                told = row(intent, "talk" if intent == "none" else None, None, turn["say"], marked=False)
                if not leans:
                    yield {**told, "times": OFTEN}
                if not first and tokenise(said):
                    befores = [list(tokenise(said))]
                    if tokenise(sooner):
                        befores.append([*tokenise(sooner), BETWEEN, *befores[0]])
                    yield {**told, "befores": befores, "times": OFTEN if leans else 1}


def with_numerals(words: list[str], chance: random.Random) -> list[list[str]]:
    """Return a sentence's words with its number words as a recogniser may write them."""
    from intents.en import numbers

    out, at, changed = [], 0, False
    while at < len(words):
        options = [
            (end, values) for end, values in numbers.numbers_from(tuple(words), at) if len(values) == 1
        ]
        if options and words[at] not in ("a", "oh", "o", "one"):
            end, values = options[0]
            out.append(f"{min(values).normalize():f}")
            changed, at = True, end
        else:
            out.append(words[at])
            at += 1
    return [out] if changed and chance.random() < 0.8 else []


def pieces_of(rows, pretrained: Path) -> list[str]:
    """Return the word pieces that are kept: those of the sentences and tables, and the commonest."""
    from tokenizers import Tokenizer

    tokenizer = Tokenizer.from_file(str(pretrained / "tokenizer.json"))
    tokenizer.no_truncation()
    tokenizer.no_padding()
    everything = sorted(tokenizer.get_vocab().items(), key=lambda item: item[1])
    texts = [" ".join(r["words"]) for r in rows]
    for path in (
        *(ROOT / "assistant" / "rules" / "tables").glob("*.csv"),
        *(ROOT / "intents").rglob("*.csv"),
        *(ROOT / "intents").rglob("*.toml"),
    ):
        texts += path.read_text(encoding="utf-8").splitlines()
    used = {number for text in texts for number in tokenizer.encode(text.lower()).ids}
    plain = re.compile(r"(##)?[a-z0-9']+")
    kept = []
    for piece, number in everything:
        special = piece in ("[PAD]", "[UNK]", "[CLS]", "[SEP]")
        letter = len(piece.removeprefix("##")) == 1 and plain.fullmatch(piece)
        if special or letter or number in used or (number < COMMON and plain.fullmatch(piece)):
            kept.append(piece)
    return kept


def unseen() -> dict[str, list[dict]]:
    """Return the judged sentences by file."""
    found: dict[str, list[dict]] = {}
    for path in sorted((ROOT / "tests" / "understanding").glob("unseen_*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for line in csv.DictReader(file):
                made = row(
                    line["intent"], line["act"], int(line["unsafe"] == "yes"), line["say"], marked=False
                )
                before = [list(tokenise(line["before"]))] if line.get("before") else []
                found.setdefault(path.stem, []).append(
                    {**made, "others": line["others"].split(), "befores": before}
                )
    return found


def gathered(judged: dict[str, list[dict]]) -> list[dict]:
    """Return every sentence that teaches, once; never one that is judged."""
    chance = random.Random(1)
    tables = [r for code in languages() for each in (from_tables, from_examples) for r in each(code)]
    said: dict[tuple[str, str], list[list[str]]] = {}
    for r in tables:
        said.setdefault((r["language"], r["intent"]), []).append(r["words"])
    of_language = {code: {i: s for (c, i), s in said.items() if c == code} for code in languages()}
    rows = [
        *tables,
        *(r for code in languages() for r in from_follow_ups(code, of_language[code])),
        *from_exchanges(),
        *(row(*r) for r in (*reports(2500, 7), *pairs(500, 7))),
    ]
    never = {" ".join(r["words"]) for sentences in judged.values() for r in sentences}
    seen: dict[str, dict] = {}
    for r in rows:
        text = " ".join(r["words"])
        key = text + "".join(f" | {' '.join(b)}" for b in r.get("befores", ())[:1])
        if text and text not in never and (key not in seen or seen[key]["roles"] is None):
            seen[key] = r
    rows = list(seen.values())
    for r in rows:
        r["also"] = with_numerals(r["words"], chance)
    return rows


def known_words(rows: list[dict]) -> dict[str, list[str]]:
    """Return the words of the sentences by language, without those that stray into it.

    "La cocina" of a cook who mixes two languages is in the English sentences, too, but far rarer than in the
    Spanish ones: it is no English word.
    """
    counts: dict[str, Counter[str]] = {}
    for each in rows:
        counts.setdefault(each.get("language", "en"), Counter()).update(set(each["words"]))
    total = {code: sum(found.values()) for code, found in counts.items()}
    often = {
        word: max(found[word] / total[code] for code, found in counts.items())
        for found in counts.values()
        for word in found
    }
    return {
        code: sorted(
            word for word in found if word.isalpha() and found[word] / total[code] >= STRAYS * often[word]
        )
        for code, found in sorted(counts.items())
    }


def main() -> None:
    """Write the file."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("out", type=Path)
    asked.add_argument("pretrained", type=Path)
    asked.add_argument("--unseen", action="store_true")
    given = asked.parse_args()
    judged = unseen()
    rows = gathered(judged)
    counts = Counter(r["intent"] for r in rows)
    data = {
        "rows": rows,
        "intents": sorted(counts),
        "acts": ACTS,
        "roles": ROLES,
        "pieces": pieces_of(rows, given.pretrained),
        "unseen": judged if given.unseen else {},
    }
    given.out.write_text(json.dumps(data), encoding="utf-8")
    print(
        len(rows),
        "sentences,",
        len(counts),
        "intents,",
        len(data["pieces"]),
        "pieces; fewest:",
        counts.most_common()[-8:],
    )


if __name__ == "__main__":
    main()
