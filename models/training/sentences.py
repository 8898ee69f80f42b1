"""Write training sentences: kitchen talk with numbers in every spoken style, chatter, and phone-rich general strings.

python sentences.py OUT.txt --commands 30000 --general 20000 [--examples intents/en] [--seed 1]
"""

from __future__ import annotations

import argparse
import pathlib
import random
import re
import tomllib
from collections.abc import Callable

from phones import HERE, lexicon, words

UNITS = "zero one two three four five six seven eight nine".split()
TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
PLACES = """walk in;walk in cooler;walk in freezer;freezer;chest freezer;reach in;reach in two;line cooler;prep cooler;
prep table;low boy;bar cooler;beer cooler;dessert case;display case;salad bar;sandwich station;steam table;steam well;
hot box;hot hold;hot holding cabinet;warmer;soup well;oven;grill;flat top;fryer;dish machine;dish machine rinse;
dish machine surface;final rinse;hand sink;prep sink;ice machine;ice bath;cold well;dry storage;blast chiller;
delivery truck;milk cooler;egg cooler;fish drawer;pizza table;fridge;back freezer;front cooler;buffet""".replace(
    "\n", ""
).split(";")
BUCKETS = """quat bucket;chlorine bucket;bleach bucket;sanitizer bucket;sani bucket;red bucket;green bucket;third sink;
three compartment sink;three comp sink;three compartment sink quat;wiping cloth bucket;spray bottle;line bucket;bar bucket;
prep bucket;mop bucket;dish machine;bar sink;sanitizer sink;bucket;quat;chlorine;iodine bucket""".replace(
    "\n", ""
).split(";")
CHEMICALS = (
    "bleach;quat;sanitizer;chlorine;detergent;degreaser;iodine;vinegar;dish soap;ammonia;acid cleaner".split(
        ";"
    )
)
WHEN = """today;this morning;this afternoon;yesterday;last night;tonight;this week;monday;tuesday;wednesday;thursday;friday;
saturday;sunday;lunch;tomorrow;noon""".replace("\n", "").split(";")
GLUE = """the a of to and in is it for you that with on we he she they was are this have from by not but what all were when
your can there an which do if will up about out so would""".split()
Random = random.Random


def below_hundred(r: Random) -> str:
    kind = r.random()
    if kind < 0.25:
        return r.choice(UNITS[1:])
    if kind < 0.5:
        return r.choice(TEENS)
    return r.choice(TENS) + (" " + r.choice(UNITS[1:]) if r.random() < 0.7 else "")


def count(r: Random) -> str:
    """A whole number as kitchens say it: two hundred, one fifty, two oh five, a hundred and ten, one six five."""
    kind = r.random()
    if kind < 0.04:
        return "zero"
    if kind < 0.36:
        return below_hundred(r)
    if kind < 0.54:
        tail = r.choice([" ", " and "]) + below_hundred(r) if r.random() < 0.5 else ""
        return r.choice(["a", *UNITS[1:6]]) + " hundred" + tail
    if kind < 0.62:
        return " ".join(r.choice([*UNITS, "oh"]) for _ in range(r.choice([2, 3, 3, 4])))
    if kind < 0.7:
        return r.choice(UNITS[1:6]) + " oh " + r.choice(UNITS[1:])
    tail = (
        r.choice(TEENS)
        if r.random() < 0.35
        else r.choice(TENS) + (" " + r.choice(UNITS[1:]) if r.random() < 0.65 else "")
    )
    return r.choice(["one"] * 5 + UNITS[2:6]) + " " + tail


def decimal(r: Random) -> str:
    kind, whole = r.random(), count(r)
    if kind < 0.3:
        return whole + " point " + " ".join(r.choice(UNITS) for _ in range(1 + (r.random() < 0.2)))
    return whole + (r.choice([" and a half", " and a quarter"]) if kind < 0.4 else "")


def temperature(r: Random) -> str:
    sign = r.choice(["minus ", "minus ", "negative "]) if r.random() < 0.16 else ""
    return sign + (below_hundred(r) if r.random() < 0.45 else decimal(r))


def clock(r: Random) -> str:
    hour = r.choice(UNITS[1:] + TEENS[:3])
    tail = [
        "",
        " o'clock",
        " thirty",
        " fifteen",
        " forty five",
        " oh five",
        " p m",
        " a m",
        " thirty p m",
        " twenty",
    ]
    return hour + r.choice(tail)


def slots(foods: list[str]) -> dict[str, Callable[[Random], str]]:
    pick = lambda items: lambda r: r.choice(items)  # noqa: E731
    return {
        "food": pick(foods), "number": below_hundred, "count": count, "decimal": decimal, "temp": temperature, "clock": clock,
        "unit": pick(UNITS[1:]), "place": pick(PLACES), "bucket": pick(BUCKETS), "chemical": pick(CHEMICALS), "when": pick(WHEN),
        "percent": lambda r: r.choice(["eight point two five", "six", "five and a quarter", "seven point five", decimal(r)]),
    }  # fmt: skip


def read_templates(chatter: bool = True) -> tuple[list[list[str]], list[float]]:
    kinds: list[list[str]] = []
    weights = []
    for line in (HERE / "templates.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            if line.startswith("[chatter") and not chatter:
                break  # chatter comes last in the file
            weights.append(float(line.strip("[]").split()[1]))
            kinds.append([])
        elif line and not line.startswith("#"):
            kinds[-1].append(line)
    return kinds, weights


def commands(r: Random, foods: list[str], chatter: bool = True) -> Callable[[], str]:
    """A maker of one command; foods should be sayable words."""
    fill, (kinds, weights) = slots(foods), read_templates(chatter)

    def one() -> str:
        [kind] = r.choices(kinds, weights)
        said = re.sub(r"\{(\w+)\}", lambda m: fill[m[1]](r), r.choice(kind))
        extra = r.random()
        if extra < 0.05:
            said = r.choice(["uh", "um", "okay", "so", "hey", "and"]) + " " + said
        elif extra < 0.08:
            said += " " + r.choice(["please", "thanks", "okay"])
        return said

    return one


def general(r: Random) -> Callable[[], str]:
    """A maker of word strings: frequent English words, with rarer ones for their phones. No meaning intended."""
    from wordfreq import top_n_list, word_frequency

    known = [w for w in top_n_list("en", 15000) if re.fullmatch("[a-z]{2,12}", w) and w in lexicon()]
    weight = [word_frequency(w, "en") ** 0.35 for w in known]

    def one() -> str:
        line = r.choices(known, weight, k=r.randint(2, 9))
        return " ".join(r.choice(GLUE) if i and r.random() < 0.2 else w for i, w in enumerate(line))

    return one


def natural(folder: pathlib.Path) -> list[str]:
    """Sentences that people write: the examples in the data files of WordNet (Debian's wordnet-base), 4 to 16 known words."""
    found = set()
    for path in sorted(folder.glob("data.*")):
        for line in path.read_text(encoding="latin-1").splitlines():
            for quoted in re.findall(r'"([^"]+)"', line.partition("|")[2]):
                said = words(quoted.split("- ")[0].replace("`", "'"))
                if (
                    not re.search(r"\d", quoted)
                    and 4 <= len(said) <= 16
                    and all(w in lexicon() for w in said)
                ):
                    found.add(" ".join(said))
    return sorted(found)


def meanings(folder: pathlib.Path) -> list[str]:
    """What WordNet says that words mean: definitions of 4 to 16 known words."""
    found = set()
    for path in sorted(folder.glob("data.*")):
        for line in path.read_text(encoding="latin-1").splitlines():
            for part in line.partition("|")[2].partition('"')[0].split(";"):
                found.add(known(re.sub(r"\([^)]*\)", " ", part)))
    return sorted(found - {""})


def sayings(folder: pathlib.Path) -> list[str]:
    """Sentences of 4 to 16 known words in the files of Debian's fortunes and fortunes-min."""
    found = set()
    for path in sorted(each for each in folder.iterdir() if not each.suffix and each.name != "ascii-art"):
        for saying in path.read_text(encoding="utf-8", errors="replace").split("\n%\n"):
            text = " ".join(saying.partition("\n\t\t--")[0].split())
            found |= {known(part) for part in re.split(r'[.!?;:]+["\s]|--', text)}
    return sorted(found - {""})


def known(text: str) -> str:
    """The words of ``text``, if they are 4 to 16, in the lexicon, and without figures; else nothing."""
    said = words(text)
    plain = not re.search(r"[\d_@/\\]", text) and 4 <= len(said) <= 16
    return " ".join(said) if plain and all(w in lexicon() for w in said) else ""


ORDINALS = """first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth
fifteenth sixteenth seventeenth eighteenth nineteenth twentieth thirtieth""".split()
MONTHS = "january february march april may june july august september october november december".split()
DATED = "{};{};{};use by {};it is from {};best before {};we got it on {};made on the {};thrown out {};open since {}".split(
    ";"
)
ASKED = """give me;can i have;make me;may i have;i'd like;can i get;get me;i want;i need;we need;fire;ring up;that's;add;
bring me;two guests want""".replace("\n", "").split(";")
DRINKS = """coffee;iced coffee;black coffee;drip coffee;house coffee;latte;iced latte;mocha;iced mocha;cappuccino;espresso;
americano;iced tea;green tea;hot chocolate;lemonade;orange juice;apple juice;smoothie;milkshake;soda;tonic""".replace(
    "\n", ""
).split(";")
INTO = """milk;whole milk;skim milk;soy milk;almond milk;oat milk;cream;sugar;brown sugar;honey;sweetener;ice;lemon;mint;
cinnamon;vanilla;syrup""".replace("\n", "").split(";")
BEFORE = (
    ["small", "medium", "large", "eight ounce", "twelve ounce", "sixteen ounce", "twenty ounce"],
    ["single shot", "double shot", "triple shot"],
    ["light roast", "medium roast", "dark roast"],
)
MUCH = ["", "", "", "some ", "a bit of ", "a little bit of ", "lots of ", "a lot of ", "no ", "extra "]


def date(r: Random) -> str:
    """A date as people say it: june eleventh nineteen sixty seven, the third of may."""
    day = r.choice(ORDINALS) if r.random() < 0.7 else r.choice(TENS[:2]) + " " + r.choice(ORDINALS[:9])
    month, kind = r.choice(MONTHS), r.random()
    said = f"{month} {day}" if kind < 0.8 else f"{r.choice(['', 'the '])}{day} of {month}"
    if r.random() < 0.5:
        tail = (
            r.choice(TEENS)
            if r.random() < 0.3
            else r.choice(TENS) + r.choice(["", *(f" {u}" for u in UNITS[1:])])
        )
        said += " " + r.choice(["nineteen", "nineteen", "twenty"]) + " " + tail
    return r.choice(DATED).format(said).replace("the the", "the")


def drink(r: Random, foods: list[str]) -> str:
    """An order at the counter: a drink or a dish, its size, what goes into it."""
    cup = r.random() < 0.7
    named = [r.choice(kind) for kind in r.sample(BEFORE, 3) if r.random() < 0.5] if cup else []
    named.append(r.choice(DRINKS) if cup else r.choice(foods))
    into = [r.choice(MUCH) + r.choice(INTO if cup else foods) for _ in range(r.choice([0, 1, 1, 2, 2]))]
    said = " ".join(named) + (f" with {' and '.join(into)}" if into else "")
    return f"{r.choice(ASKED)} {'an' if said[0] in 'aeiou' else 'a'} {said}"


def examples(folder: pathlib.Path) -> list[str]:
    """Example phrases of the intents' tables (words only), where there are any."""
    found: list[str] = []
    for path in sorted(folder.rglob("*.toml")):
        todo: list[object] = [tomllib.loads(path.read_text(encoding="utf-8"))]
        while todo:
            item = todo.pop()
            if isinstance(item, dict):
                for key, value in item.items():
                    rows = value if key == "examples" and isinstance(value, list) else []
                    found += [str(x.get("text", "")) if isinstance(x, dict) else str(x) for x in rows]
                    todo.append(value)
            elif isinstance(item, list):
                todo += item
    return [" ".join(words(s)) for s in found if s and not re.search(r"\d", s)]


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("out", type=pathlib.Path)
    p.add_argument("--commands", type=int, default=30000)
    p.add_argument("--general", type=int, default=20000)
    p.add_argument("--examples", type=pathlib.Path)
    p.add_argument("--natural", type=pathlib.Path, help="folder of WordNet's data files")
    p.add_argument("--meanings", type=pathlib.Path, help="the same folder, for definitions")
    p.add_argument("--sayings", type=pathlib.Path, help="folder of Debian's fortunes and fortunes-min")
    p.add_argument("--dates", type=int, default=0)
    p.add_argument("--drinks", type=int, default=0, help="orders at a counter")
    p.add_argument("--seed", type=int, default=1)
    a = p.parse_args()
    r = random.Random(a.seed)
    foods = [
        f
        for f in (HERE / "foods.txt").read_text(encoding="utf-8").splitlines()
        if all(w in lexicon() for w in f.split())
    ]
    command, talk = commands(r, foods), general(r)
    rows = [command() for _ in range(a.commands)] + [talk() for _ in range(a.general)]
    if a.examples:
        rows += examples(a.examples) * 10
    if a.natural:
        rows += natural(a.natural)
    if a.meanings:
        rows += meanings(a.meanings)
    if a.sayings:
        rows += sayings(a.sayings)
    rows += [date(r) for _ in range(a.dates)] + [drink(r, foods) for _ in range(a.drinks)]
    rows = [s for s in rows if all(w in lexicon() for w in s.split())]
    r.shuffle(rows)
    a.out.write_text("\n".join(rows) + "\n", encoding="utf-8")
    print(len(rows), "sentences of", len({w for s in rows for w in s.split()}), "words")


if __name__ == "__main__":
    main()
