"""A seeded sample of the generated reports: nothing that was not said is stored."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.benchmarks.reports import WRONG, run, sample

KEPT_OR_ASKED = 0.9
"""The least share of reports of today that is kept with its time or asked about."""


@pytest.mark.parametrize(("code", "least"), [("en", KEPT_OR_ASKED), ("es", 0.96)])
def test_no_value_and_no_time_is_stored_that_was_not_said(code: str, least: float) -> None:
    """Of every kitchen of a language, with every kind of time, aside and order."""
    found = [(case, turn, became) for case, turn, became in run(sample(300, code=code), code)]
    wrong = [f"{became}: {case.say!r} -> {turn.reply!r}" for case, turn, became in found if became in WRONG]
    assert not wrong, "\n".join(wrong)
    today = Counter(became for case, _, became in found if case.at not in ("old", "ahead"))
    assert today["kept"] + today["asked"] + today["given back"] >= least * today.total()
