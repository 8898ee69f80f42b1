"""Whether a food needs time and temperature control: by kind, or by water activity and acidity."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.rules.basis import Citation
from assistant.rules.foods import Food


@dataclass(frozen=True, slots=True)
class TcsAnswer:
    """``controlled`` is the answer to act on; ``assess`` says that only a laboratory can free the food."""

    controlled: bool
    assess: bool
    citation: Citation


def tcs_by_kind(food: Food | None) -> TcsAnswer:
    """Return the answer by kind of food; food not known counts as controlled."""
    source = Citation("FDA Food Code 2022", "1-201.10")
    if food is None:
        return TcsAnswer(True, True, Citation("derived safe answer", "food not known", flag="MEMORY"))
    return TcsAnswer(food.tcs, not food.known or "tcs_unless_tested" in food.notes, source)
