"""The benchmark's own parts: plan, conditions, judging, bounds. Fakes only; no speech, no recogniser."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binomtest

from assistant.dialogue.turn import Turn
from audio_fixtures.voices import KEPT, RATE
from intents.hypotheses import Hypotheses, Hypothesis
from tests.benchmarks import hearing_listen
from tests.benchmarks.hearing import results
from tests.benchmarks.hearing_conditions import CONDITIONS, NOISES, disturb, noise_for
from tests.benchmarks.hearing_engines import label, make_engine, pair
from tests.benchmarks.hearing_fixtures import fixture_clips, fixture_trials
from tests.benchmarks.hearing_judge import judge, numbers, woken
from tests.benchmarks.hearing_listen import Heard, trial_key, trials
from tests.benchmarks.hearing_report import Result, Row, markdown, wilson
from tests.benchmarks.hearing_road import FreshRoad
from tests.benchmarks.hearing_speech import Clip, Sentence, plan, sentences


@cache
def road() -> FreshRoad:
    """The example kitchen, built once."""
    return FreshRoad()


def sentence(text: str) -> Sentence:
    """The row of the command set with these words."""
    return next(each for each in sentences() if each.text == text)


def said(text: str, heard: str, share: float = 1.0) -> str:
    """The outcome when ``text`` was said and ``heard`` was heard with ``share`` of the mass."""
    row = sentence(text)
    before = tuple(words for words in row.before.split(";") if words)
    rest = (Hypothesis("walk in eighty", 1 - share),) if share < 1 else ()
    hypotheses = Hypotheses((Hypothesis(heard, share), *rest), engine="fake")
    typed = road()(before, Hypotheses.typed(text))
    return judge(row, typed, road()(before, hypotheses), hypotheses).outcome


def test_command_set_is_large_and_covers_every_number_style() -> None:
    """At least 300 commands, 100 of chatter, every way of saying a number, no sentence twice."""
    rows = sentences()
    assert sum(row.kind == "command" for row in rows) >= 300
    assert sum(row.kind == "chatter" for row in rows) >= 100
    assert {row.style for row in rows} >= {
        "plain",
        "digits",
        "paired",
        "hundred",
        "half",
        "point",
        "minus",
        "oh",
    }
    assert len({row.text for row in rows}) == len(rows)


def test_every_reading_has_a_place_for_each_number() -> None:
    """The hand-made expectations are complete."""
    for row in sentences():
        if row.topic == "reading":
            assert len(row.subject.split(";")) == len(numbers(row.values)) >= 1, row


def test_plan_is_the_same_each_time_and_uses_no_kept_voice() -> None:
    """All voices are used, each half says every sentence, and figures can be made again."""
    clips = plan()
    assert clips == plan()
    assert not {clip.voice.engine_voice for clip in clips} & KEPT
    for half in ("tune", "report"):
        assert {c.sentence.id for c in clips if c.voice.half == half} == {row.id for row in sentences()}


def test_any_first_part_of_the_trials_is_a_fair_sample() -> None:
    """The first pass holds each clip once, and each condition about equally often."""
    first = trials()[: len(plan())]
    assert len({trial_key(clip, condition) for clip, condition in first}) == len(first)
    assert len({clip.path for clip, _ in first}) == len({clip.path for clip in plan()})
    share = len(first) / len(CONDITIONS)
    for condition in CONDITIONS:
        assert sum(c == condition for _, c in first) == pytest.approx(share, rel=0.2)


def test_disturbing_is_seeded_and_every_noise_is_used() -> None:
    """The same key gives the same samples, another key another noise."""
    speech = (0.1 * np.sin(np.arange(RATE) / 7)).astype(np.float32)
    for condition in CONDITIONS:
        samples = disturb(speech, condition, "one")
        assert samples.dtype == np.int16
        assert len(samples) == RATE
        assert np.array_equal(samples, disturb(speech, condition, "one"))
    assert {noise_for(f"clip {n}") for n in range(100)} == set(NOISES)


@pytest.mark.parametrize(
    ("text", "heard", "share", "outcome"),
    [
        ("walk in thirty eight", "walk-in 38", 1.0, "right"),
        ("walk in thirty eight", "walk in 39", 1.0, "wrong number"),
        ("walk in thirty eight", "reach in 38", 1.0, "wrong number"),
        ("walk in thirty eight", "walk in 38", 0.6, "asked"),
        ("walk in thirty eight", "walk in 38", 0.2, "asked"),
        ("walk in thirty eight", "thank you for watching", 1.0, "unheard"),
        ("quat bucket one fifty", "quat bucket 150", 1.0, "right"),
        ("how do I thaw the chicken", "where does the chicken go", 1.0, "wrong"),
        ("make that thirty nine", "make that 38.5", 1.0, "wrong number"),
        ("it's the reach in, not the walk in", "it's the reach-in not the walk-in", 1.0, "right"),
        ("yes, log it", "yes log it", 1.0, "right"),
        ("behind you, hot", "behind you hot", 1.0, "ignored"),
        ("table forty one wants the check", "walk in 41", 1.0, "logged"),
    ],
)
def test_outcomes(text: str, heard: str, share: float, outcome: str) -> None:
    """What was said, what was heard, and how the trial counts."""
    assert said(text, heard, share) == outcome


def test_wake_phrase_counts_only_at_the_start_of_the_best_hypothesis() -> None:
    """Nobody is addressed by the phrase in the middle of a sentence."""
    assert woken(Hypotheses((Hypothesis("Hey, kitchen. Walk in 38"),)))
    assert not woken(Hypotheses((Hypothesis("they said hey kitchen"), Hypothesis("hey kitchen"))))
    assert not woken(Hypotheses(()))


@pytest.mark.parametrize(("hits", "of"), [(0, 1500), (3, 40), (40, 40), (17, 100)])
def test_wilson_bounds_agree_with_scipy(hits: int, of: int) -> None:
    """scipy.stats.binomtest(...).proportion_ci(method="wilson") is the reference."""
    expected = binomtest(hits, of).proportion_ci(method="wilson")
    assert wilson(hits, of) == pytest.approx((expected.low, expected.high), abs=1e-6)


def test_no_trials_give_no_knowledge() -> None:
    """The bounds of nothing are 0 and 1."""
    assert wilson(0, 0) == (0.0, 1.0)


def heard_as(text: str, key: str = "k") -> Heard:
    """A recogniser's whole certainty that ``text`` was said."""
    return Heard(key, Hypotheses((Hypothesis(text),), engine="fake"), 2.0, 10.0, 20.0, 100.0)


def test_pair_that_disagrees_on_a_number_makes_the_assistant_ask() -> None:
    """Two listeners, two numbers: nothing is logged; the same number twice is."""
    agree = pair(heard_as("walk in 38"), heard_as("walk-in 38"))
    differ = pair(heard_as("walk in 38"), heard_as("walk in 39"))
    assert road()((), agree.hypotheses).entries
    assert road()((), differ.hypotheses).asks
    assert not road()((), differ.hypotheses).entries
    assert agree.finish_ms == 40.0


def test_heard_lines_survive_a_kill_in_mid_write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A line cut short is heard again, the others are kept."""
    monkeypatch.setattr(hearing_listen, "heard_file", lambda engine: tmp_path / f"{engine}.jsonl")
    whole = hearing_listen.as_line(heard_as("walk in 38"))
    (tmp_path / "fake.jsonl").write_text(whole + "\n" + whole[: len(whole) // 2])
    assert hearing_listen.read_heard("fake") == {"k": heard_as("walk in 38")}


def test_results_and_report_hold_what_was_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    """One clip, heard rightly, becomes one right trial in every cut of the table."""
    clip, condition = next((c, k) for c, k in trials() if c.sentence.text == "walk in thirty eight")
    heard = heard_as("walk in 38", trial_key(clip, condition))
    monkeypatch.setattr("tests.benchmarks.hearing.read_heard", lambda engine: {heard.key: heard})
    [result] = results("fake", road(), [(clip, condition)])
    assert result.verdict.outcome == "right"
    report = markdown("fake", [result])
    assert "Synthetic speech only" in report
    assert f"| {clip.voice.family} | 1 | 100.0%" in report
    assert "0 of 1" in report


def test_rows_count_numbers_and_chatter_apart() -> None:
    """Two numbers in a breath count twice; chatter without the wake phrase is never acted on."""
    double = next(c for c in plan() if c.sentence.text == "walk in thirty eight and reach in thirty nine")
    idle = next(c for c in plan() if c.sentence.text == "behind you, hot")
    row = Row.of(
        "all", "all", [_result(double, "walk in 38 and reach in 39"), _result(idle, "where does beef go")]
    )
    assert (row.trials, row.numbers_said, row.counts["right"]) == (1, 2, 1)
    assert (row.chatter, row.answered, row.acted) == (1, 1, 0)


def _result(clip: Clip, heard: str) -> Result:
    hypotheses = Hypotheses((Hypothesis(heard),), engine="fake")
    typed = road()((), Hypotheses.typed(clip.sentence.text))
    verdict = judge(clip.sentence, typed, road()((), hypotheses), hypotheses)
    return Result(clip, "clean", "none", verdict, heard, 2.0, 1.0, 1.0, 1.0, 1.0, {})


def test_engine_names() -> None:
    """A model of one's own is named for its folder; an unknown engine is refused in a sentence."""
    assert label("vosk=models/small-en") == "vosk-small-en"
    assert label("whisper") == "whisper"
    with pytest.raises(ValueError, match="no engine called ear"):
        make_engine("ear")


def test_fresh_road_forgets() -> None:
    """A follow-up needs its question before it; the log of the last trial is gone."""
    assert road()(("where does the ground beef go",), Hypotheses.typed("and the turkey")).reply
    first = road()((), Hypotheses.typed("walk in thirty eight")).entries
    again = road()((), Hypotheses.typed("walk in thirty eight")).entries
    assert isinstance(road()((), Hypotheses.typed("corner")), Turn)
    assert [entry.id for entry in first] == [entry.id for entry in again]
    assert datetime.fromisoformat(first[0].at_utc).astimezone(UTC).year == 2026


def test_fixtures_are_a_command_set_of_their_own() -> None:
    """The committed clips need no speech cache; each reading has its place and value."""
    clips = fixture_clips()
    assert len(clips) >= 80
    assert all(clip.path.exists() for clip in clips)
    double = next(c for c in clips if c.sentence.text == "walk in forty, freezer minus one")
    assert (double.sentence.subject, double.sentence.values) == ("walk-in;freezer", "40;-1")
    assert len({trial_key(clip, condition) for clip, condition in fixture_trials()}) == 7 * len(clips)
