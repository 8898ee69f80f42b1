"""What waits too long is told once, at a quiet moment, to whoever is on."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from assistant.dialogue import conversation
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.rounds import round_draft
from assistant.logbook import Draft, Logbook, SetClock
from assistant.manager.alerts import alerts_of
from assistant.site import Site
from intents.hypotheses import Hypotheses
from intents.interpret import Interpreter

LINE = {
    "id": "line check", "name": "line check", "due": ["10:30", "16:30"],
    "places": ["walk-in", "reach-in", "freezer", "prep cooler", "steam table"],
}  # fmt: skip


def kitchen_with(site: Site, **kitchen: Any) -> Site:
    """Return the example kitchen with one round that has to be done twice a day."""
    known = site.model_dump()
    return Site.model_validate({**known, "rounds": [LINE], "kitchen": {**known["kitchen"], **kitchen}})


@pytest.fixture
def rounds(site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter) -> Conversation:
    """A conversation in that kitchen."""
    return Conversation(kitchen_with(site), log, clock, interpreter)


def at(clock: SetClock, hour: int, minute: int = 0, *, days: int = 0) -> None:
    """Set the clock, some days on."""
    clock.time = clock.time.replace(hour=hour, minute=minute) + timedelta(days=days)


def read(talk: Conversation, *places: str) -> None:
    """Log passing readings of places."""
    cold = {"kind": "reading", "measured": "air", "value": "38", "unit": "F", "verdict": "pass"}
    talk.log.append([Draft.model_validate({**cold, "subject": each}) for each in places])


def said(talk: Conversation) -> str:
    """Return what is said unasked now; nothing that is told so makes an entry."""
    turn = talk.remind()
    assert turn is None or not turn.entries
    return turn.reply if turn else ""


def test_what_is_open_too_long_is_told_to_whoever_is_on(talk: Conversation, clock: SetClock) -> None:
    """Once, at a quiet moment, after the time that the site's alerts allow."""
    for place in ("walk-in", "reach-in"):
        talk.log.append([
            Draft(kind="reading", subject=place, measured="air", value="50", unit="F", verdict="fail"),
            Draft(kind="action_opened", subject=place, measured="air", refers_to=-1, note="probe food"),
        ])  # fmt: skip
    clock.time += timedelta(minutes=talk.site.alerts.action_open_minutes - 1)
    assert talk.remind() is None
    clock.time += timedelta(minutes=2)
    said = talk.remind()
    assert said is not None
    assert "walk-in still open since 12:00 pm" in said.reply
    assert "1 more" in said.reply
    assert not said.entries
    assert talk.remind() is None


def test_an_overdue_round_is_told_once(rounds: Conversation, clock: SetClock) -> None:
    """Not before the site's patience is over, with what is left of it; later rounds by themselves."""
    at(clock, 10)
    read(rounds, "walk-in")
    at(clock, 11)
    assert said(rounds) == ""
    at(clock, 11, 1)
    assert said(rounds) == (
        "By the way: line check was due by 10:30 am, not read yet: reach-in, freezer, prep cooler and 1 more."
    )
    assert said(rounds) == ""
    at(clock, 17, 1)
    assert "line check was due by 4:30 pm" in said(rounds)
    assert said(rounds) == ""


def test_a_round_that_was_done_is_not_spoken_of(rounds: Conversation, clock: SetClock) -> None:
    """Also one that was done late."""
    at(clock, 10, 50)
    read(rounds, *LINE["places"])
    at(clock, 11, 30)
    assert said(rounds) == ""


def test_a_round_in_hand_is_not_disturbed(rounds: Conversation, clock: SetClock) -> None:
    """Whoever is going it knows; left lying for longer than the patience, it is told."""
    at(clock, 10, 55)
    rounds.log.append(round_draft(rounds.site.rounds[0], "begun"))
    at(clock, 11, 10)
    assert said(rounds) == ""
    read(rounds, "walk-in", "reach-in")
    at(clock, 11, 40)
    assert said(rounds) == ""
    at(clock, 11, 41)
    assert "not read yet: freezer, prep cooler, steam table" in said(rounds)


def test_a_closed_day_has_no_round_to_speak_of(
    site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter
) -> None:
    """2 March 2026 is a Monday (any calendar)."""
    talk = Conversation(kitchen_with(site, closed_weekdays=["monday"]), log, clock, interpreter)
    at(clock, 12)
    assert said(talk) == ""


def test_a_day_that_nobody_signed_is_told_once(talk: Conversation, clock: SetClock) -> None:
    """From the site's hour of the day after on; a day more is told by itself."""
    read(talk, "walk-in")
    at(clock, 11, 59, days=1)
    assert said(talk) == ""
    at(clock, 12, 1)
    assert said(talk) == "By the way: Monday March 2 is not signed off yet."
    assert said(talk) == ""
    read(talk, "walk-in")
    at(clock, 12, 1, days=1)
    assert said(talk) == "By the way: Tuesday March 3 is not signed off yet."


def test_several_unsigned_days_are_counted_and_signed_ones_are_not(
    talk: Conversation, clock: SetClock
) -> None:
    """Three days worked, the first of them signed the day after."""
    read(talk, "walk-in")
    at(clock, 9, days=1)
    read(talk, "walk-in")
    talk.log.append(Draft(kind="review", subject="2026-03-02", person="Marlene"))
    at(clock, 9, days=1)
    read(talk, "walk-in")
    at(clock, 13, days=1)
    assert said(talk) == "By the way: Tuesday March 3 is not signed off yet; and 1 more."


def test_food_comes_first_and_talk_is_not_broken_into(rounds: Conversation, clock: SetClock) -> None:
    """Of several things the open action is told first, each at a quiet moment of its own."""
    at(clock, 8)
    read(rounds, "freezer")
    at(clock, 8, days=1)
    rounds.log.append([
        Draft(kind="reading", subject="walk-in", measured="air", value="50", unit="F", verdict="fail"),
        Draft(kind="action_opened", subject="walk-in", measured="air", refers_to=-1, note="probe food"),
    ])  # fmt: skip
    at(clock, 13)
    rounds.hear(Hypotheses.typed("what's the wake phrase"))
    assert said(rounds) == ""
    clock.time += timedelta(seconds=31)
    assert "walk-in still open since 8:00 am" in said(rounds)
    assert "line check was due by 10:30 am" in said(rounds)
    assert "Monday March 2 is not signed off yet" in said(rounds)
    assert said(rounds) == ""


def test_it_is_told_in_spanish(site: Site, log: Logbook, clock: SetClock) -> None:
    """The whole sentence, names and days too."""
    there = kitchen_with(site, language="es")
    talk = Conversation(there, log, clock, conversation.interpreter_for(there))
    read(talk, "walk-in")
    at(clock, 12, 30, days=1)
    assert said(talk) == (
        "Por cierto: revisión de la línea era para las 10:30 am, falta por medir: cuarto frío, refri,"
        " congelador y 2 más."
    )
    assert said(talk) == "Por cierto: falta firmar el lunes 2 de marzo."


def test_voice_and_message_tell_the_same(rounds: Conversation, clock: SetClock) -> None:
    """What somebody away is told of is spoken too, from the same quarter of an hour on."""
    read(rounds, "walk-in")
    at(clock, 0, days=1)
    due = {f"round line check 2026-03-03T{each}:00+00:00" for each in ("10:30", "16:30")}
    first: dict[str, int] = {}
    for quarter in range(96):
        views, now = rounds.log.views, clock.time
        for alert in alerts_of(views, rounds.site, now, faults={}, listening=None):
            first.setdefault(alert.key, quarter)
        while said(rounds):
            pass
        for mark in rounds.state.reminded:
            kind, _, rest = mark.partition(":")
            key = "unsigned days" if kind == "unsigned" else f"round {rest.replace(':', ' ', 1)}"
            assert first[key] <= quarter
        assert len(rounds.state.reminded) == len(first)
        clock.time += timedelta(minutes=15)
    assert set(first) == {*due, "unsigned days"}
