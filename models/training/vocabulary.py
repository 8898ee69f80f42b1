"""Write what the graph listens for: python vocabulary.py WORDS.txt TEXT.txt [--intents intents/en] [--common 3000]

WORDS holds every word of the generated commands, foods, the intents' tables and the commonest English; TEXT the command
sentences (no chatter) from which the default bigram is counted.
"""

from __future__ import annotations

import argparse
import pathlib
import random
import re

from phones import HERE, lexicon, words
from sentences import commands, examples


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("words", type=pathlib.Path)
    p.add_argument("text", type=pathlib.Path)
    p.add_argument("--intents", type=pathlib.Path)
    p.add_argument("--common", type=int, default=3000)
    p.add_argument("--sentences", type=int, default=30000)
    a = p.parse_args()
    from wordfreq import top_n_list

    foods = (HERE / "foods.txt").read_text(encoding="utf-8").splitlines()
    command = commands(random.Random(9), foods, chatter=False)
    rows = [command() for _ in range(a.sentences)]
    known = {w for row in rows for w in row.split()} | {w for f in foods for w in f.split()}
    known |= {w for w in top_n_list("en", a.common) if re.fullmatch("[a-z']{1,12}", w) and w in lexicon()}
    if a.intents:
        rows += examples(a.intents) * 5
        for path in a.intents.rglob("*.toml"):
            known |= {w for w in words(path.read_text(encoding="utf-8")) if w in lexicon()}
    known |= {w for row in rows for w in row.split() if w in lexicon() or w in known}
    a.words.write_text("\n".join(sorted(w for w in known if re.search("[a-z]", w))) + "\n", encoding="utf-8")
    a.text.write_text("\n".join(rows) + "\n", encoding="utf-8")
    print(len(known), "words,", len(rows), "sentences")


if __name__ == "__main__":
    main()
