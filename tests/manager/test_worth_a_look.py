"""The hints of "worth a look": each speaks for what it is meant for, and stays silent otherwise."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from math import isclose
from pathlib import Path
from types import ModuleType

import pytest
import scipy  # its parts are loaded where they are used: every process of a test run reads this file
from hypothesis import given
from hypothesis import strategies as st

from assistant.logbook import Draft, Entry, Logbook, SetClock
from assistant.manager.chances import at_most, none_of, run_bound, wilson
from assistant.manager.hints import rates
from assistant.manager.worth_a_look import KITCHEN_JUDGED, look
from assistant.manager.worth_patterns import undone_of

BEGIN = datetime(2026, 1, 5, 6, tzinfo=UTC)
KINDS = {
    "identical run", "bursts", "no decimals", "never a fail", "kitchen never fails", "every shift",
    "same rounds", "even gaps", "fails undone",
}  # fmt: skip


@pytest.fixture(scope="module")
def kitchens() -> ModuleType:
    """The simulation of the benchmark."""
    path = Path(__file__).parents[1] / "benchmarks" / "honest_kitchens.py"
    spec = importlib.util.spec_from_file_location("honest_kitchens", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["honest_kitchens"] = module
    spec.loader.exec_module(module)
    return module


def reading(number: int, place: str, value: str, person: str, at: datetime, verdict: str = "pass") -> Entry:
    """One reading as it stands in the log."""
    stamp = at.isoformat(timespec="microseconds")
    return Entry(
        kind="reading", subject=place, measured="air", value=value, unit="F", verdict=verdict, person=person,
        id=number, site="s", at_utc=stamp, at_local=stamp, previous_hash="0" * 64, hash="1" * 64,
    )  # type: ignore[arg-type]  # fmt: skip


def hours(values: Sequence[str], person: str = "Ana", place: str = "walk-in") -> list[Entry]:
    """Readings of one place, about an hour apart."""
    return [
        reading(n + 1, place, v, person, BEGIN + timedelta(hours=n, minutes=n * n * 13 % 47))
        for n, v in enumerate(values)
    ]


def kinds(entries: Sequence[Entry]) -> list[str]:
    """The kinds of all hints but one: most of what is made up here comes as even as a clock."""
    return [hint.kind for hint in look(entries) if hint.kind != "even gaps"]


def test_one_number_for_days_is_shown_with_its_entries() -> None:
    """Thirty readings that move, then fifteen times the same."""
    moving = [f"{36 + n % 7 * 0.3:.1f}" for n in range(30)]
    (hint,) = look(hours([*moving, *["38.0"] * 15]))
    assert hint.kind == "identical run"
    assert "38.0°F 15 times in a row" in hint.evidence
    assert hint.entries == tuple(range(31, 46))


def test_a_place_that_always_shows_the_same_is_no_hint() -> None:
    """Where two in a row are mostly equal, a run means nothing."""
    assert kinds(hours([*["38"] * 9, "39"] * 6)) == []


def test_strips_repeat_by_nature() -> None:
    """Readings in ppm are left out of runs."""
    entries = [
        entry.model_copy(update={"unit": "ppm"}) for entry in hours([*["200", "300"] * 20, *["200"] * 20])
    ]
    assert kinds(entries) == []


def test_somebody_who_repeats_while_others_read_between_is_found() -> None:
    """The same number from one person only, at a place that moves for everybody else."""
    entries: list[Entry] = []
    for n in range(80):
        value, who = ("38", "Ben") if n % 2 else (f"{36 + n % 7}", "Ana")
        entries.append(reading(n + 1, "walk-in", value, who, BEGIN + timedelta(hours=n)))
    assert kinds(entries) == ["identical run"]


def test_bursts_need_separate_turns_and_two_of_them() -> None:
    """Six places in six turns within twenty seconds, twice; in one breath they are one turn."""
    at, entries, together = BEGIN, [], []
    for burst in range(2):
        for n in range(6):
            at = BEGIN + timedelta(days=burst, seconds=4 * n)
            entries.append(reading(len(entries) + 1, f"place {n}", f"{36 + n}", "Ana", at))
            together.append(
                reading(len(entries) + 1, f"place {n}", f"{36 + n}", "Ana", BEGIN + timedelta(days=burst))
            )
    assert kinds(entries) == ["bursts"]
    assert kinds(entries[:6]) == []
    assert kinds(together) == []


def test_whole_numbers_count_only_where_others_read_tenths() -> None:
    """Ana reads tenths at the place, Ben never does; without Ana there is nothing to compare with."""
    ana = hours([f"{36 + n * 0.3:.1f}" for n in range(30)])
    ben = [
        reading(100 + n, "walk-in", str(36 + n % 5), "Ben", BEGIN + timedelta(hours=n, minutes=30))
        for n in range(30)
    ]
    assert kinds([*ana, *ben]) == ["no decimals"]
    assert kinds(ben) == []


def test_never_a_fail_is_measured_by_the_others_at_the_same_places() -> None:
    """With one in ten failing for the others, none in a hundred is striking; with none failing it is not."""

    def place(person: str, every: int) -> list[Entry]:
        return [
            reading(n + 1, "walk-in", f"{36 + n % 11 * 0.4:.1f}", person, BEGIN + timedelta(hours=n), verdict)
            for n in range(100)
            for verdict in ["fail" if every and n % every == 0 else "pass"]
        ]

    assert kinds([*place("Ana", 10), *place("Ben", 0)]) == ["never a fail"]
    assert kinds([*place("Ana", 0), *place("Ben", 0)]) == []


def test_a_kitchen_in_which_nothing_ever_fails() -> None:
    """Many readings without a fail are shown, with what that says and what it does not."""
    many = [f"{36 + n % 11 * 0.4:.1f}" for n in range(KITCHEN_JUDGED)]
    assert "kitchen never fails" in kinds(hours(many))
    assert "kitchen never fails" not in kinds(hours(many[:-1]))


def test_one_name_morning_and_night_for_two_weeks() -> None:
    """Fourteen days from six to ten; with one day off it is nobody's business."""
    entries = [
        reading(
            2 * day + late,
            "walk-in",
            f"{36 + day % 5 + late / 2}",
            "Ana",
            BEGIN + timedelta(days=day, hours=15 * late),
        )
        for day in range(14)
        for late in (0, 1)
    ]
    assert kinds(entries) == ["every shift"]
    assert kinds([entry for entry in entries if entry.id // 2 != 6]) == []


def test_every_hint_states_its_measured_rate() -> None:
    """No hint without the rate at which honest kitchens get it."""
    assert set(rates()) == KINDS
    assert all("honest" in words for words in rates().values())


def test_honest_walkers_get_no_hint(kitchens: ModuleType) -> None:
    """Of forty honest months by people who walk and read what is shown, none is hinted at.

    The benchmark puts the rate below one in a hundred; forty months would show a fault, not measure it.
    """
    plain = [
        home
        for seed in range(60)
        for home in [kitchens.honest_month(seed)]
        if home.style == "walks" and not home.owner and not (home.tenths and home.rounders)
    ][:40]
    assert len(plain) >= 20
    assert sum(bool(look(home.entries)) for home in plain) <= 1


@pytest.mark.parametrize(
    ("how", "kind"), [("same number", "identical run"), ("name", "every shift"), ("desk", "bursts")]
)
def test_invented_months_are_mostly_seen(kitchens: ModuleType, how: str, kind: str) -> None:
    """Somebody who invents readings in the plainest way is seen in at least half of ten months."""
    seen = sum(kind in kinds(kitchens.made_up_month(500 + seed, how).entries) for seed in range(10))
    assert seen >= 5


@given(st.integers(1, 3000), st.floats(0.001, 0.999), st.data())
def test_binomial_tail_agrees_with_scipy(trials: int, share: float, data: st.DataObject) -> None:
    """Checked against scipy.stats.binom."""
    count = data.draw(st.integers(0, trials))
    expected = scipy.stats.binom.cdf(count, trials, share)
    assert isclose(at_most(count, trials, share), expected, rel_tol=1e-6, abs_tol=1e-9)


@given(st.integers(1, 500), st.data())
def test_wilson_interval_is_the_inverse_of_its_test(trials: int, data: st.DataObject) -> None:
    """At each end of the interval the score test gives exactly its level (scipy.stats.norm)."""
    norm, count = scipy.stats.norm, data.draw(st.integers(0, trials))
    for end in wilson(count, trials):
        assert 0 <= end <= 1
        if 1e-9 < end < 1 - 1e-9:
            score = abs(count / trials - end) / (end * (1 - end) / trials) ** 0.5
            assert isclose(2 * norm.sf(score), 2 * norm.sf(1.96), rel_tol=1e-6)


def test_chances_of_runs_and_of_nothing() -> None:
    """Ten equal in a row among ten throws of a coin: two in a thousand; nothing fails: the product."""
    assert isclose(run_bound(9, 10, 0.5), 0.5**9)
    assert run_bound(100, 2, 0.9) == 1
    assert isclose(none_of([0.1, 0.2]), 0.72)


def test_rounds_that_repeat_as_a_whole_are_shown() -> None:
    """Five times the same numbers at five places, among rounds that move."""
    entries: list[Entry] = []
    for day in range(20):
        for place in range(5):
            value = f"{36 + place + (0 if day in (0, 4, 9, 15, 17) else (day * (place + 3)) % 17) * 0.2:.1f}"
            at = BEGIN + timedelta(days=day, minutes=day * 7 % 23 + place)
            entries.append(reading(len(entries) + 1, f"cooler {place}", value, "Ana", at))
    (hint,) = [each for each in look(entries) if each.kind == "same rounds"]
    assert "5 rounds read alike at all 5 places" in hint.evidence
    assert len(hint.entries) == 25


def test_gaps_as_even_as_a_clocks_are_shown() -> None:
    """Every four hours to the minute; with the spread of somebody at work it is not said."""
    for spread, said in ((0, True), (9, False)):
        entries = [
            reading(
                n + 1,
                "walk-in",
                f"{36 + n % 9 * 0.3:.1f}",
                "Ana",
                BEGIN + timedelta(hours=4 * n, minutes=n * 5 % 11 * spread / 5),
            )
            for n in range(40)
        ]
        assert ("even gaps" in {hint.kind for hint in look(entries)}) == said


def test_fails_that_were_undone_much_later_are_shown(tmp_path: Path) -> None:
    """Three turned into passes or taken back an hour later; three slips put right at once are not counted."""
    clock = SetClock(BEGIN)
    fail = Draft(kind="reading", subject="walk-in", measured="air", value="47", unit="F", verdict="fail")
    with Logbook.open(tmp_path, clock=clock) as log:
        for wait in (60, 60, 60, 0.2, 0.2, 0.2):
            (said,) = log.append(fail)
            clock.move(minutes=wait)
            taken = Draft(kind="withdrawal", subject="walk-in", refers_to=said.id, person="Dev")
            right = Draft(
                kind="correction",
                subject="walk-in",
                refers_to=said.id,
                value="38",
                verdict="pass",
                person="Dev",
            )
            log.append(taken if wait == 60 and said.id > 1 else right)
        (hint,) = look((), undone_of(log.lines()))
    assert "3 readings failed" in hint.evidence
    assert "Dev 3" in hint.evidence
    assert hint.entries == (1, 2, 3, 4, 5, 6)
