"""A label that allows less than the law: the law is named, cited first and logged as what decided."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from intents.hypotheses import Hypotheses


@pytest.fixture
def weak_label(site: Site, tmp_path: Path, clock: SetClock, until_the_end: ExitStack) -> Conversation:
    """The example kitchen in California with a quat whose label says 150 to 400 ppm."""
    quat = next(product for product in site.products if product.kind == "quat")
    products = tuple(
        each.model_copy(update={"label_min_ppm": 150}) if each is quat else each for each in site.products
    )
    moved = site.model_copy(update={"products": products}).with_profile("california")
    return Conversation(
        moved, until_the_end.enter_context(Logbook.open(tmp_path / "state", clock=clock)), clock
    )


def test_the_law_decides_against_a_weaker_label(weak_label: Conversation) -> None:
    """160 ppm is in the label's range; the California Retail Food Code, 114099.6(b)(3), asks for 200."""
    turn = weak_label.hear(Hypotheses.typed("quat bucket 2 at 160"))
    reading = turn.entries[0]
    assert turn.verdict == "fail"
    assert "Too weak by California Retail Food Code" in turn.reply
    assert "label" not in turn.reply
    assert reading.rule == "California Retail Food Code, 114099.6(b)(3)"
    assert reading.limits is not None
    assert reading.limits.low == "200"
    assert turn.sources[0]["document"] == "California Retail Food Code"


def test_the_label_decides_above_its_top(weak_label: Conversation) -> None:
    """500 ppm is more than the label's 400, and no code of this kitchen is stricter."""
    turn = weak_label.hear(Hypotheses.typed("quat bucket 2 at 500"))
    assert "by the label" in turn.reply
    assert turn.entries[0].rule.startswith("label of")


def test_asked_for_the_strength_it_names_the_law_too(weak_label: Conversation) -> None:
    """Not "by the label" where the label says less."""
    turn = weak_label.hear(Hypotheses.typed("what should the quat strip read"))
    assert turn.reply == "200-400 ppm for quat: California Retail Food Code asks for more than the label."
