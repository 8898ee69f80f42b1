"""The names that may be said at a site, by kind, and what finds them in words."""

from __future__ import annotations

from dataclasses import dataclass

from intents.lexicon import Finder


@dataclass(frozen=True)
class SpokenNames:
    """The names that may be said: foods of the rules and the menu; equipment, people, rounds of the site.

    Each is a pair of the spoken phrase and what it stands for.
    """

    foods: tuple[tuple[str, str], ...] = ()
    equipment: tuple[tuple[str, str], ...] = ()
    people: tuple[tuple[str, str], ...] = ()
    rounds: tuple[tuple[str, str], ...] = ()

    def finders(self, foods: Finder | None = None, places: Finder | None = None) -> dict[str, Finder]:
        """Return one finder a kind of name; ``foods`` and ``places`` are those that are made already."""
        return {
            "food": foods or Finder("food", self.foods),
            "equipment": places or Finder("equipment", self.equipment),
            "person": Finder("person", self.people),
            "round": Finder("round", self.rounds),
        }
