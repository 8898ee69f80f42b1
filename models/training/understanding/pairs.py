"""Questions about two foods put together from parts: which of them is above is told by the words between, never by the order."""

import random

FOODS = """raw chicken|the chicken thighs|chicken wings|raw burgers|the burger patties|ground beef|the steaks|pork chops|pork shoulder|raw bacon|sausage links|salmon|the cod|raw shrimp|scallops|lobster tails|eggs|shell eggs
lettuce|the romaine|spring mix|coleslaw|potato salad|cut fruit|cut melon|strawberries|the desserts|cheesecake|tiramisu|cooked rice|cooked chicken|pulled pork|ham|deli turkey|salami|feta|butter|milk|hummus|salsa|tortillas|bread
raw turkey|duck breasts|ground turkey|meatballs|raw lamb|lamb kofta|goat|venison|stuffed peppers|marinated chicken|tofu|sprouts|guacamole|pico|sushi rice|crab legs|oysters|mussels|ceviche|tartare|pate|chicken salad|tuna salad|leftover soup|chili|gravy""".replace(
    "\n", "|"
).split("|")
OVER = "over|above|on top of|higher than|on the shelf above|a shelf over|on a rack over|stacked on|directly above|up above".split(
    "|"
)
UNDER = "under|below|beneath|underneath|lower than|on the shelf below|a shelf under|on the rack under|down below|right under".split(
    "|"
)
FORMS = [
    "can {a} go {o} {b}", "can i put {a} {o} {b}", "is it okay to keep {a} {o} {b}", "can {a} sit {o} {b}", "does {a} go {o} {b}", "should {a} be {o} {b}", "{a} {o} {b} okay", "alright if {a} is {o} {b}",
    "i'm putting {a} {o} {b} that's fine right", "i got {a} {o} {b} any problem", "is {a} allowed {o} {b}", "any reason not to store {a} {o} {b}", "may {a} stand {o} {b}", "so {a} {o} {b} yes or no",
    "what if {a} is {o} {b}", "we always keep {a} {o} {b}", "gonna slide {a} in {o} {b} cool", "would it be alright to have {a} {o} {b}", "{a} is fine {o} {b} isn't it", "boss wants {a} {o} {b} is that right",
]  # fmt: skip
BACK = [
    "is it okay for {b} to have {a} {w} it",
    "{b} with {a} {w} it is that okay",
    "can {b} stay there if {a} is {w} it",
    "there's {b} on the shelf can {a} go {w} them",
    "{b} is in there already can i put {a} {w} it",
]
TAILS = [
    "",
    "",
    "",
    "",
    "[condition: if it's wrapped]",
    "[condition: if it's in a lidded pan]",
    "[reason: we're out of room]",
    "[reason: cause the bottom shelf is full]",
    "[courtesy: thanks]",
    "in the walk in",
    "in the reach in",
    "[condition: just for an hour]",
    "[aside: chef did it before]",
]
HEADS = [
    "",
    "",
    "",
    "",
    "[courtesy: hey]",
    "[courtesy: quick one]",
    "[reason: no space down low so]",
    "[courtesy: uh]",
    "[aside: truck just came]",
]


def pair(chance: random.Random) -> tuple[str, str, int | None, str]:
    """Return one question: intent, act, danger (not told), marked sentence."""
    first, second = chance.sample(FOODS, 2)
    over = chance.random() < 0.5
    roles = ("above", "below") if over else ("below", "above")
    a, b = f"[{roles[0]}: {first}]", f"[{roles[1]}: {second}]"
    if chance.random() < 0.22:
        words = (
            chance.choice(("on top of", "above", "over"))
            if over
            else chance.choice(("under", "below", "beneath"))
        )
        text = chance.choice(BACK).format(a=a, b=b, w=words)
    else:
        text = chance.choice(FORMS).format(a=a, b=b, o=chance.choice(OVER if over else UNDER))
    return "storage_pair", "leave", None, f"{chance.choice(HEADS)} {text} {chance.choice(TAILS)}".strip()


def pairs(count: int, seed: int):
    """Yield ``count`` questions."""
    chance = random.Random(seed)
    for _ in range(count):
        yield pair(chance)
