"""Reports put together from parts, each word with its role: what people say around a reading is free, its core is not.

Only the roles and the act are learnt from these; places, foods, times and asides are drawn at random, so that
the net learns to tell a time from a value by what stands around it, never by the number.
"""

import random

PLACES = """walk in|walk in cooler|walk in two|the walk in|reach in|reach in one|low boy|low boy three|prep cooler|prep top|salad station|dessert fridge
line cooler|beer cooler|milk cooler|fish drawer|drawer two|freezer|chest freezer|ice cream freezer|blast chiller|steam table|hot well|hot well two|hot box|bain marie|soup well
quat bucket|quat bucket two|sani bucket|bucket one|bucket four|bleach bucket|chlorine bucket on the line|third sink|sanitizer sink|wash sink|hand sink|bar hand sink|dish machine|the dish machine final rinse
rinse gauge|wash tank|meat fridge|veg fridge|bar fridge|pastry cooler|pass fridge|display case|grab and go case|pizza table|sushi case|oyster fridge|wok station cooler|truck fridge|van cooler|back cooler""".replace(
    "\n", "|"
).split("|")
FOODS = """chili|soup|the gravy|rice|beans|chicken|the chicken thighs|turkey breast|meat loaf|pulled pork|brisket|ribs|burgers|ground beef|salmon|shrimp|lasagna|mac and cheese|marinara|clam chowder|bone broth|stock
potato salad|coleslaw|egg salad|tuna salad|cut melon|cut tomatoes|hollandaise|mashed potatoes|refried beans|curry|dal|congee|dumplings|pad thai|meatballs|sausage|ham|eggs|custard|cheesecake|hummus|tzatziki|birria|tamales""".replace(
    "\n", "|"
).split("|")
UNITS = "zero one two three four five six seven eight nine".split()
TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
TENS = "_ _ twenty thirty forty fifty sixty seventy eighty ninety".split()


def small(n: int) -> str:
    if n < 10:
        return UNITS[n]
    if n < 20:
        return TEENS[n - 10]
    return TENS[n // 10] + (f" {UNITS[n % 10]}" if n % 10 else "")


def number(n: int, chance: random.Random) -> str:
    """Spell a number as kitchens say it."""
    if chance.random() < 0.15:
        return str(n)
    if n < 100:
        return small(n)
    hundreds, rest = divmod(n, 100)
    if not rest:
        return chance.choice(("a hundred", "one hundred")) if hundreds == 1 else f"{small(hundreds)} hundred"
    tail = f"oh {UNITS[rest]}" if rest < 10 else small(rest)
    if chance.random() < 0.25:
        return f"{small(hundreds)} hundred {chance.choice(('', 'and '))}{small(rest)}".replace("  ", " ")
    return f"{small(hundreds)} {tail}"


def hour(chance: random.Random) -> str:
    return small(chance.randint(1, 12))


def clock(chance: random.Random) -> str:
    """Spell a time of day."""
    h, m = (
        chance.randint(1, 12),
        chance.choice((5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, chance.randint(1, 59))),
    )
    minutes = f"oh {UNITS[m]}" if m < 10 else small(m)
    return chance.choice(
        (
            f"{small(h)} {minutes}", f"{small(h)} {minutes}", f"{small(h)} {minutes}", f"{small(m)} past {small(h)}", f"{small(m)} to {small(h)}", f"half past {small(h)}", f"quarter past {small(h)}",
            f"quarter to {small(h)}", f"quarter of {small(h)}", f"half {small(h)}", f"{small(h)} o'clock", f"{small(h)} am", f"{small(h)} pm", f"{small(h)} {minutes} pm", f"{h}:{m:02d}", "noon", "midnight",
            f"around {small(h)}", f"about {small(h)} {minutes}", small(h), f"{small(h)} in the morning", f"{small(h + 12)} {small(m) if m > 9 else 'hundred'}", "noonish", f"{small(h)} ish", f"{small(m)} after {small(h)}",
        )
    )  # fmt: skip


def span(chance: random.Random) -> str:
    n = chance.randint(2, 9)
    return chance.choice(
        (
            f"{small(n)} hours",
            "an hour",
            "half an hour",
            "an hour and a half",
            f"{small(chance.choice((10, 15, 20, 25, 30, 40, 45, 50, 90)))} minutes",
            f"{small(n)} minutes",
            "two hours and a half",
            "an hour forty",
            f"about {small(n)} hours",
        )
    )


def moment(chance: random.Random) -> str:
    """Mark when a reading was taken, or nothing."""
    kind = chance.random()
    if kind < 0.4:
        return f"[at: {chance.choice(('at ', 'at ', 'at ', '', 'right at ', 'back at '))}{clock(chance)}]"
    if kind < 0.55:
        return f"[at: {span(chance)} ago]"
    if kind < 0.8:
        return f"[since: since {clock(chance)}]"
    if kind < 0.9:
        return f"[span: for {span(chance)}]"
    return f"[at: {chance.choice(('this morning', 'just now', 'before lunch', 'when i opened', 'yesterday noon', 'last night', 'this morning at six', 'a minute ago'))}]"


OPEN = [
    "hey",
    "okay",
    "okay so",
    "uh",
    "alright",
    "yo",
    "hey kitchen",
    "so",
    "listen",
    "kitchen",
    "yeah so",
    "heads up",
    "for the log",
    "chef says hi",
    "tell maria that",
    "um okay",
    "right then",
]
CLOSE = [
    "thanks",
    "please",
    "thank you",
    "cheers",
    "okay",
    "over",
    "got it",
    "love",
    "bud",
    "if you please",
    "ta",
]
ASIDE = [
    "i just wiped it down",
    "marco left the door open again",
    "for table six",
    "the delivery guy is here with forty cases",
    "we got two hundred covers tonight",
    "my shift ends at four",
    "order twelve is up",
    "i checked it twice",
    "same as yesterday",
    "the fan is loud",
    "ticket thirty one is dragging",
    "we are on the second pan",
    "it was a mess in here",
    "dave said he'd look at it at nine",
    "not that anyone asked",
    "the light's out in there",
]
REASON = [
    "cause the door was open",
    "because we just loaded it",
    "since the compressor kicked off",
    "because i filled it late",
    "the new guy mixed it",
    "cause it just came off the stove",
    "we were slammed",
    "because of the defrost cycle",
]
SOURCE = [
    "by my probe",
    "on the gauge",
    "the strip says",
    "the thermometer says",
    "by the dial",
    "according to the display",
    "on the infrared",
]
LIMIT = [
    "[aside: and the label says] [limit: {n}]",
    "[aside: supposed to be] [limit: {n}]",
    "[aside: limit is] [limit: {n}]",
    "[aside: should be] [limit: {n}]",
]
COUNT = [
    "[count: {n} portions]",
    "[count: {n} pans]",
    "[count: {n} quarts]",
    "[count: {n} pieces]",
    "[count: {n} people]",
]
CALLS = [
    "i need [count: {n}] [food: {f}] by [at: {c}]",
    "fire [count: {n}] [food: {f}]",
    "[count: {n}] [food: {f}] all day",
    "table [count: {n}] wants the [food: {f}]",
    "party of [count: {n}] at [at: {c}]",
    "[food: {f}] for [count: {n}] at [at: {c}]",
    "prep [count: {n}] portions of [food: {f}] for tomorrow",
    "order up [count: {n}]",
    "we sold [count: {n}] [food: {f}] last night",
    "give me [count: {n}] more [food: {f}] in [span: {s}]",
    "[food: {f}] in [span: {s}] chef",
    "can i get [count: {n}] [food: {f}] on the fly",
    "bus at [at: {c}] with [count: {n}] people they all want [food: {f}]",
    "reservation for [count: {n}] moved to [at: {c}]",
    "i clock out at [at: {c}]",
    "delivery at [at: {c}] [count: {n}] cases of [food: {f}]",
]


def report(chance: random.Random) -> tuple[str, str, int, str]:
    """Return one report or call: intent, act, danger, marked sentence."""
    if chance.random() < 0.22:
        text = chance.choice(CALLS).format(
            n=number(chance.randint(1, 60), chance), f=chance.choice(FOODS), c=clock(chance), s=span(chance)
        )
        return "none", "talk", 0, text
    if chance.random() < 0.4:
        what = f"[food: {chance.choice(FOODS)}]"
        if chance.random() < 0.35:
            what += f" {chance.choice(('on', 'in'))} [place: {chance.choice(PLACES)}]"
        value = number(chance.choice((chance.randint(30, 75), chance.randint(80, 180))), chance)
    else:
        what = f"[place: {chance.choice(PLACES)}]"
        value = number(
            chance.choice(
                (
                    chance.randint(28, 55),
                    chance.randint(100, 400),
                    chance.choice((50, 100, 150, 200, 250, 300, 400)),
                    chance.randint(120, 190),
                )
            ),
            chance,
        )
    unit = chance.choice(("", "", "", " degrees", " parts per million", " ppm", " fahrenheit"))
    value = f"[value: {value}{unit}]"
    verb = chance.choice(
        (
            "",
            "",
            "is",
            "is at",
            "at",
            "reads",
            "reading",
            "was at",
            "is sitting at",
            "came out at",
            "hit",
            "is showing",
            "tested",
            "says",
            "holding at",
            "is down to",
            "is up to",
            "now",
        )
    )
    core = (
        f"{what} {verb} {value}"
        if chance.random() < 0.85
        else f"{value} {chance.choice(('on', 'in', 'for'))} {what}"
    )
    parts = [core]
    if chance.random() < 0.45:
        when = moment(chance)
        parts = [when, core] if chance.random() < 0.35 else [core, when]
    if chance.random() < 0.2:
        parts.append(f"[aside: {chance.choice(ASIDE)}]")
    if chance.random() < 0.15:
        parts.insert(chance.choice((0, len(parts))), f"[reason: {chance.choice(REASON)}]")
    if chance.random() < 0.12:
        parts.insert(0, f"[aside: {chance.choice(SOURCE)}]")
    if chance.random() < 0.08:
        parts.append(
            chance.choice(LIMIT).format(n=number(chance.choice((41, 135, 40, 200, 400, 180)), chance))
        )
    if chance.random() < 0.06:
        parts.append(chance.choice(COUNT).format(n=small(chance.randint(2, 40))))
    act, intent = "tell", "reading"
    if chance.random() < 0.12:
        parts = [
            f"{chance.choice(('log', 'put down', 'write down', 'record', 'can you log', 'note'))}",
            *parts,
        ]
        act = "command"
    if chance.random() < 0.3:
        parts.insert(0, f"[courtesy: {chance.choice(OPEN)}]")
    if chance.random() < 0.25:
        parts.append(f"[courtesy: {chance.choice(CLOSE)}]")
    return intent, act, 0, " ".join(parts).replace("  ", " ")


def reports(count: int, seed: int):
    """Yield ``count`` reports and calls."""
    chance = random.Random(seed)
    for _ in range(count):
        yield report(chance)
