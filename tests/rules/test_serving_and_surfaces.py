"""Guests, allergens, surfaces, TCS, safe answers, referrals and the shared tables behind them.

Sources: FDA Food Code 3-801.11, 1-201.10, 4-602.11; the strict board rule is common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.allergens import is_listed, listed_allergens, typical_allergens
from assistant.rules.basis import Temperature, Verdict
from assistant.rules.by_profile import lineage, rows_in_force
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, all_foods, unknown_food
from assistant.rules.profile import load_profile, profile_names
from assistant.rules.referrals import referral, referral_subjects
from assistant.rules.surfaces import cleaning_interval, judge_board, judge_cleaning
from assistant.rules.susceptible import judge_service
from assistant.rules.tables import read_table
from assistant.rules.tcs import tcs_by_kind

MODEL = load_profile("fda_2022")
KINGDOM = load_profile("united_kingdom")
foods = st.sampled_from([*all_foods(), unknown_food("pan")])


def food(name: str) -> Food:
    found = find_food(name)
    assert found is not None
    return found


@given(foods, foods)
def test_the_strict_board_rule_is_never_looser(last: Food, following: Food) -> None:
    """What strict practice allows, the code allows; raw is never followed by ready to eat."""
    strict, code = judge_board(last, following), judge_board(last, following, strict=False)
    assert not strict.passed or code.passed
    if last.raw_animal and following.ready_to_eat:
        assert not code.passed


@pytest.mark.parametrize(
    ("last", "following", "passes"),
    [
        ("chicken breast", "chicken wings", True),
        ("cheesecake", "deli turkey", True),
        ("raw oysters for the bar", "cheesecake", False),
        ("ground beef", "beef steak", False),
        ("unwashed lettuce", "cooked rice", False),
    ],
)
def test_board_by_default(last: str, following: str, passes: bool) -> None:
    """Same kind may follow; a lower cook need, produce or food eaten raw before others may not."""
    assert judge_board(food(last), food(following)).passed is passes


def test_board_of_unknown_history_is_cleaned() -> None:
    """Nobody knows what was on it."""
    assert judge_board(None, food("cheesecake"), strict=False).action == "clean_and_sanitize"


def test_cleaning_interval_without_a_room_temperature() -> None:
    """Four hours where nothing is known of the room, or of the time."""
    assert cleaning_interval(None, MODEL).value == 4
    assert judge_cleaning(None, MODEL).action == "clean_and_sanitize"
    assert judge_cleaning(Decimal(4), MODEL).passed
    assert judge_cleaning(Decimal(5), MODEL).verdict is Verdict.FAIL
    assert judge_cleaning(Decimal(20), MODEL, Temperature(Decimal(45))).passed


def test_tcs_by_kind_of_food() -> None:
    """A food nobody knows is controlled; marinara is, unless a test frees it."""
    assert tcs_by_kind(None).controlled
    assert tcs_by_kind(unknown_food("pan")).assess
    assert (tcs_by_kind(food("marinara")).controlled, tcs_by_kind(food("marinara")).assess) == (True, True)
    assert not tcs_by_kind(food("ketchup")).controlled


@pytest.mark.parametrize(
    ("said", "guests", "options", "reason"),
    [
        ("raw oysters", False, {}, "with_advisory"),
        ("raw oysters", None, {}, "raw_animal_food"),
        ("burger", True, {"undercooked": True}, "undercooked_animal_food"),
        ("burger", False, {"undercooked": True}, "with_advisory"),
        ("hollandaise", True, {}, "raw_egg"),
        ("hollandaise", True, {"pasteurized": True}, "may_be_served"),
        ("cider", True, {}, "untreated_juice"),
        ("cider", True, {"pasteurized": True}, "may_be_served"),
        ("steak", False, {"undercooked": True, "childrens_menu": True}, "undercooked_ground_meat"),
        ("cooked rice", True, {"undercooked": True}, "may_be_served"),
    ],
)
def test_service_to_guests(said: str, guests: bool | None, options: dict[str, bool], reason: str) -> None:
    """FDA Food Code 3-801.11 and 3-401.11(D); guests nobody knows count as susceptible."""
    judged = judge_service(food(said), guests_highly_susceptible=guests, **options)
    assert judged.reason == reason


def test_intact_steak_is_not_ground_meat() -> None:
    """Only comminuted meat is barred from a children's menu by that line."""
    steak = food("ribeye")
    judged = judge_service(steak, guests_highly_susceptible=False, undercooked=True, childrens_menu=True)
    assert judged.reason == "with_advisory"


def test_united_kingdom_lists_fourteen() -> None:
    """Molluscs, mustard, celery and gluten are listed there (from memory), not in the United States."""
    assert len(listed_allergens("uk")) == 14
    for word in ("oysters", "mustard", "celery", "barley"):
        assert is_listed(word, KINGDOM).listed
        assert not is_listed(word, MODEL).listed
        assert is_listed(word, MODEL).reacts_as


def test_a_word_no_table_knows_promises_nothing() -> None:
    """Not listed is all that is said: no kind, and the list as its source."""
    answer = is_listed("flurbs", MODEL)
    assert (answer.listed, answer.allergen, answer.reacts_as) == (False, "", "")


def test_typical_allergens_by_list() -> None:
    """Bread holds wheat; in the United Kingdom that is cereals with gluten, and oysters are molluscs."""
    assert "wheat" in typical_allergens(food("sandwich bread"), MODEL)
    assert "gluten_cereal" in typical_allergens(food("sandwich bread"), KINGDOM)
    assert typical_allergens(food("oysters"), KINGDOM) == ("mollusc",)
    assert typical_allergens(food("oysters"), MODEL) == ()


def test_referrals_say_who_decides_and_what_to_do_now() -> None:
    """Every subject has both; emergencies are urgent; an unknown subject names the known ones."""
    for subject in referral_subjects():
        found = referral(subject)
        assert found.decides
        assert found.do_now
    assert referral("chemical_gas").urgent
    assert referral("chemical_gas").cautions == ("do_not_neutralize",)
    assert not referral("allergy_question").urgent
    with pytest.raises(LookupError, match="no referral for 'weather'"):
        referral("weather")


def test_profiles_inherit_along_their_line() -> None:
    """California is based on the 2017 code, that on the 2022; a table without rows gives none."""
    assert lineage("california") == ("california", "fda_2017", "fda_2022")
    assert rows_in_force("cook_alternatives", "california", "cook_group", ("nothing",)) == ()


LIMITS = ["cooking", "reheating", "thawing", "storage", "parasites", "receiving", "surfaces"]


@pytest.mark.parametrize("table", LIMITS)
def test_limit_tables_are_whole(table: str) -> None:
    """Numbers, known flags, known profiles, one unit a temperature family, no key twice for a profile."""
    rows = read_table(f"limits/{table}")
    assert len({(row["key"], row["profile"]) for row in rows}) == len(rows)
    for row in rows:
        assert Decimal(row["value"]).is_finite()
        assert row["profile"] in profile_names()
        assert row["flag"] in {"READ", "MEMORY", "PRACTICE"}
        assert row["assumed"] in {"yes", "no"}
        assert row["document"]
        assert row["section"]


@pytest.mark.parametrize("table", LIMITS)
@pytest.mark.parametrize("name", ["new_york_state", "new_york_city", "united_kingdom"])
def test_profiles_that_were_not_read_say_so(table: str, name: str) -> None:
    """Where a profile's own text was not read, each figure has its own row that says what stands in."""
    for row in read_table(f"limits/{table}"):
        if row["profile"] != "fda_2022" or row["key"].startswith("cook_rare"):
            continue
        limit = load_profile(name).limit(row["key"])
        own = limit.citation.profile == name
        assert own or limit.assumed or row["flag"] == "MEMORY", limit.key
