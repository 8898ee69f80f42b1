"""How often honest kitchens get each hint of "worth a look", and invented readings too. One command::

    uv run python -m tests.benchmarks.bench_worth_a_look --months 1000

Prints two Markdown tables: honest months, in all and by the way they tell readings, with somebody who rounds
tenths off, with somebody who truly works both shifts; and months with somebody who makes readings up. A month
is 28 days of one kitchen (``honest_kitchens.py``). Intervals are Wilson's, 95 %.
"""

from __future__ import annotations

import argparse
from collections import Counter

from assistant.manager.chances import wilson
from assistant.manager.worth_a_look import look
from tests.benchmarks.honest_kitchens import honest_month, made_up_month, undone_of

KINDS = (
    "identical run",
    "bursts",
    "no decimals",
    "never a fail",
    "kitchen never fails",
    "every shift",
    "same rounds",
    "even gaps",
    "fails undone",
)
FIRST_SEED = 1000
"""The hints' limits were tried on the seeds below it; the rates are measured on those from here on."""
STYLES = ("walks", "one breath", "from a note")


def shown(count: int, of: int) -> str:
    """Return a share in per cent with its interval."""
    low, high = (100 * end for end in wilson(count, of))
    return f"{100 * count / of:.1f} % ({low:.1f} to {high:.1f})" if of else "-"


def main() -> None:
    """Simulate, count, print."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--months", type=int, default=1000)
    options.add_argument("--first", type=int, default=FIRST_SEED, help="The first seed: other months.")
    months, first = options.parse_args().months, options.parse_args().first
    houses: Counter[str] = Counter()
    hints: Counter[tuple[str, str]] = Counter()
    any_hint: Counter[str] = Counter()
    for seed in range(first, first + months):
        home = honest_month(seed)
        found = {hint.kind for hint in look(home.entries, undone_of(home, seed))}
        rounding = home.tenths and bool(home.rounders)
        usual = home.style == "walks" and not rounding and not home.owner
        groups_of = [
            "all",
            home.style,
            *(["rounds"] if rounding else []),
            *(["both shifts"] if home.owner else []),
        ]
        for group in [*groups_of, *(["none of these"] if usual else [])]:
            houses[group] += 1
            any_hint[group] += bool(found)
            for kind in found:
                hints[group, kind] += 1
    groups = ("all", *STYLES, "rounds", "both shifts", "none of these")
    print(f"| honest months: hint | {' | '.join(f'{g} ({houses[g]})' for g in groups)} |")
    print(f"| --- |{' ---: |' * len(groups)}")
    for kind in KINDS:
        print(f"| {kind} | {' | '.join(shown(hints[g, kind], houses[g]) for g in groups)} |")
    print(f"| any | {' | '.join(shown(any_hint[g], houses[g]) for g in groups)} |")
    few = max(months // 5, 20)
    print(f"\n| {few} months each with somebody who | {' | '.join(KINDS)} |\n| --- |{' ---: |' * len(KINDS)}")
    for how in ("desk", "same number", "name", "copies", "clockwork", "hides fails"):
        seen: Counter[str] = Counter()
        for seed in range(99_000 + first, 99_000 + first + few):
            home = made_up_month(seed, how)
            undone = undone_of(home, seed, hides=how == "hides fails")
            seen.update({hint.kind for hint in look(home.entries, undone)})
        print(f"| {how} | {' | '.join(shown(seen[kind], few) for kind in KINDS)} |")


if __name__ == "__main__":
    main()
