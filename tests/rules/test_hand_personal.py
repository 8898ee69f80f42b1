"""What is worn and eaten at work: the table of hand rules about the person."""

from __future__ import annotations

import pytest

from assistant.rules.hands import hand_rules


@pytest.mark.parametrize(
    ("name", "allowed", "section"),
    [
        ("fingernails", False, "2-302.11"),  # FDA Food Code 2022 2-302.11, from memory
        ("plain_ring", True, "2-303.11"),  # FDA Food Code 2022 2-303.11, from memory
        ("hair_restraint", True, "2-402.11"),  # FDA Food Code 2022 2-402.11, from memory
        ("eating", False, "2-401.11"),  # FDA Food Code 2022 2-401.11, from memory
        ("closed_drink", True, "2-401.11"),  # FDA Food Code 2022 2-401.11, from memory
    ],
)
def test_personal_rule(name: str, allowed: bool, section: str) -> None:
    """Each rule says whether the thing itself is allowed and names its section and flag."""
    rule = hand_rules("hand_personal")[name]
    assert rule.answer is allowed
    assert rule.citation.section == section
    assert rule.citation.flag == "MEMORY"
