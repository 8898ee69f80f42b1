"""Write Spanish training sentences: python sentences_es.py OUT.txt --commands 20000 --general 5000 [--proverbs FOLDER] [--seed 1]

Readings and questions made of the Spanish pack's own names and numbers (intents/es), what its tables teach the net, the same once
more with other numbers, what people write (Debian's fortunes-es, folder /usr/share/games/fortunes/es), and strings of
frequent words. Accents as they are usually written.
"""

from __future__ import annotations

import argparse
import csv
import functools
import pathlib
import random
import re
import sys
from collections.abc import Callable
from decimal import Decimal

from kitchen_talk import LETTERS, plain, taught

HERE = pathlib.Path(__file__).resolve().parent
PACK = HERE.parents[1] / "intents" / "es"
sys.path.insert(0, str(HERE.parents[1]))
Random = random.Random
CHEMICALS = "cloro;blanqueador;cuat;quat;desinfectante;yodo;lejía;jabón;desengrasante;amonia;vinagre".split(
    ";"
)
BUCKETS = """cubeta de cuat;cubeta de cloro;cubeta roja;cubeta;balde;balde rojo;tercer fregadero;cubeta de la barra;balde de cloro;
cubeta de desinfectante;fregadero de desinfectante;cubo;cubo de lejía;atomizador;lavaplatos;máquina de platos;cloro;cuat""".replace(
    "\n", ""
).split(";")


def names(table: str) -> list[str]:
    """Spoken names of a table of the pack."""
    with (PACK / table).open(encoding="utf-8", newline="") as rows:
        return sorted({plain(row["spoken"]) for row in csv.DictReader(rows)} - {""})


def digits(r: Random, count: int) -> str:
    from intents.es.spell import say_integer

    return " ".join(say_integer(r.randint(0, 9)) for _ in range(count))


def below_hundred(r: Random) -> str:
    from intents.es.spell import say_integer

    return say_integer(r.choice([r.randint(1, 9), r.randint(10, 29), r.randint(30, 99), r.randint(30, 99)]))


def count(r: Random) -> str:
    """A whole number as kitchens say it: doscientos, ciento cincuenta, uno sesenta y cinco, dos cero cinco."""
    from intents.es.spell import say_integer

    kind = r.random()
    if kind < 0.2:
        return below_hundred(r)
    if kind < 0.4:
        return say_integer(r.choice([50, 100, 100, 150, 200, 200, 250, 300, 350, 400, 500, 600]))
    if kind < 0.75:
        return say_integer(r.randint(100, 499))
    if kind < 0.85:
        return f"{say_integer(r.randint(1, 4))} {say_integer(r.randint(10, 99))}"
    if kind < 0.9:
        return f"{say_integer(r.randint(1, 4))} cero {say_integer(r.randint(1, 9))}"
    return digits(r, r.choice([2, 3, 3, 3, 4]))


def decimal(r: Random) -> str:
    from intents.es.spell import say_number

    kind = r.random()
    if kind < 0.55:
        said = say_number(Decimal(r.randint(10, 999)) / 10)
        return said.replace(" coma ", " punto ") if r.random() < 0.45 else said
    return below_hundred(r) + r.choice([" y medio", " y medio", " y media", " y cuarto"])


def temperature(r: Random) -> str:
    kind = r.random()
    said = below_hundred(r) if kind < 0.5 else count(r) if kind < 0.78 else decimal(r)
    if r.random() < 0.15:
        said = r.choice([f"menos {said}", f"menos {said}", f"{below_hundred(r)} bajo cero"])
    return said


def clock(r: Random) -> str:
    from intents.es.spell import say_integer

    hour = "una" if (h := r.randint(1, 12)) == 1 else say_integer(h)
    tails = [
        "",
        "",
        " y media",
        " y cuarto",
        " menos cuarto",
        " y diez",
        " y veinte",
        " menos diez",
        " en punto",
    ]
    tails += [" de la tarde", " de la mañana", " treinta", " y cinco"]
    return hour + r.choice(tails)


def commands(r: Random) -> Callable[[], str]:
    """A maker of one command."""
    kinds: list[list[str]] = []
    weights = []
    for line in (HERE / "templates_es.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            weights.append(float(line.strip("[]").split()[1]))
            kinds.append([])
        elif line and not line.startswith("#"):
            kinds[-1].append(line)
    pick = lambda items: lambda r: r.choice(items)  # noqa: E731
    fill = {
        "place": pick(names("equipment.csv")), "food": pick(names("foods.csv")), "bucket": pick(BUCKETS), "temp": temperature,
        "chemical": pick(CHEMICALS), "number": below_hundred, "count": count, "clock": clock,
    }  # fmt: skip

    def one() -> str:
        [kind] = r.choices(kinds, weights)
        said = plain(re.sub(r"\{(\w+)\}", lambda m: fill[m[1]](r), r.choice(kind)))
        extra = r.random()
        if extra < 0.05:
            said = r.choice(["este", "eh", "oye", "a ver", "bueno", "y"]) + " " + said
        elif extra < 0.08:
            said += " " + r.choice(["por favor", "gracias", "jefe", "va"])
        return said

    return one


def renumbered(said: str, r: Random) -> str:
    """The sentence with other numbers; what is said of a clock ("a las dos") stays."""
    from intents.es.numbers import HUNDREDS, SMALL

    number = "|".join(
        sorted({w for w in {**SMALL, **HUNDREDS} if w not in ("un", "una", "uno")}, key=len, reverse=True)
    )
    run = re.compile(rf"(?<!las )(?<!la )\b(?:{number})(?: y (?:{number}|uno)| (?:{number}|uno))*\b")
    bare = said.translate(str.maketrans("áéíóúü", "aeiouu"))
    out, at = "", 0
    for m in run.finditer(bare):
        out += said[at : m.start()] + (count(r) if r.random() < 0.5 else below_hundred(r))
        at = m.end()
    return out + said[at:] if at else ""


@functools.cache
def accents() -> dict[str, str]:
    """Word without accents -> as it is usually written, where the bare one is rare."""
    from wordfreq import top_n_list, word_frequency

    usual = {}
    for word in top_n_list("es", 60000):
        bare = word.translate(str.maketrans("áéíóú", "aeiou"))
        if bare != word and bare not in usual and word_frequency(word, "es") > 8 * word_frequency(bare, "es"):
            usual[bare] = word
    return usual


def written(said: str) -> str:
    return " ".join(accents().get(word, word) for word in said.split())


def people_write(folder: pathlib.Path) -> list[str]:
    """Short sentences of Debian's fortunes-es."""
    found = set()
    for path in sorted(folder.glob("*.fortunes")):
        for saying in re.split(r"\n%\n|[.!?;]\s", path.read_text(encoding="utf-8", errors="ignore")):
            said = plain(saying.replace("\n", " "))
            if 4 <= len(said.split()) <= 14 and not re.search(rf"[^\s\w{LETTERS}.,;:¡!¿?\"'()«»—-]", saying):
                found.add(said)
    return sorted(found)


def strings(r: Random) -> Callable[[], str]:
    from wordfreq import top_n_list, word_frequency

    known = [w for w in top_n_list("es", 9000) if re.fullmatch(rf"[{LETTERS}]{{2,13}}", w)]
    weight = [word_frequency(w, "es") ** 0.4 for w in known]
    return lambda: " ".join(r.choices(known, weight, k=r.randint(2, 8)))


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("out", type=pathlib.Path)
    p.add_argument("--commands", type=int, default=20000)
    p.add_argument("--general", type=int, default=5000)
    p.add_argument("--proverbs", type=pathlib.Path)
    p.add_argument("--seed", type=int, default=1)
    a = p.parse_args()
    r = random.Random(a.seed)
    command, string, talk = commands(r), strings(r), taught(PACK)
    rows = [command() for _ in range(a.commands)] + [string() for _ in range(a.general)] + talk
    rows += [other for said in talk if (other := renumbered(said, r))]
    if a.proverbs:
        rows += people_write(a.proverbs)
    rows = [written(said) for said in rows]
    r.shuffle(rows)
    a.out.write_text("\n".join(rows) + "\n", encoding="utf-8")
    print(
        len(rows),
        "sentences of",
        len({w for s in rows for w in s.split()}),
        "words;",
        len(talk),
        "of the tables",
    )


if __name__ == "__main__":
    main()
