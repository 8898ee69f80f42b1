"""Whether the ears know a site's own names: each is said in the program's voice, and heard."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.dialogue.hearing import choose
from assistant.hear_check.table import table
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.site import Site
    from intents.hypotheses import Hypotheses
    from intents.interpret import Interpreter

Hear = Callable[[str], "list[Hypotheses]"]
"""Says a sentence, in one way or several, and returns what was heard of each."""


@dataclass(frozen=True)
class Own:
    """A name of the site: its table in the file, the sentence that it is said in, what it has to mean."""

    name: str
    table: str
    kind: str
    sentence: str
    means: str

    def meant_by(self, value: str) -> bool:
        """Whether what was understood is it; of a place with numbers any of these."""
        return value == self.means or (self.kind == "equipment" and value.startswith(f"{self.means} "))


@dataclass(frozen=True)
class Tried:
    """What came of a name: ``heard`` are the sentences understood otherwise, none where it was known."""

    own: Own
    heard: tuple[str, ...]
    written: str
    """How the ears wrote the name in one of them, to be given as another spelling; may be empty."""

    @property
    def typed(self) -> bool:
        """Whether not even the words as they stand in the file are understood."""
        return self.heard == (self.own.sentence,)


def own_names(site: Site) -> Iterator[Own]:
    """Go through the names by which people, places, dishes and rounds of a site are spoken of."""
    said = table()["names"].get(site.kitchen.language, table()["names"]["en"])
    found = [
        *((person.name, "people", "person", person.name) for person in site.people),
        *((item.name, "equipment", "equipment", item.id) for item in site.places),
        *((dish, "menu", "food", food) for dish, food in site.menu.items()),
        *((plan.name, "rounds", "round", plan.id) for plan in site.rounds),
    ]
    for name, where, kind, means in found:
        yield Own(name, where, kind, said[kind].format(name=name), means)


def doubtful(own: Own, known: Collection[str]) -> bool:
    """Whether a name has to be said aloud: a person's, or one with a word that is not ``known``."""
    return own.kind == "person" or not set(tokenise(own.name)) <= set(known)


def tried(own: Own, hear: Hear, interpreter: Interpreter) -> Tried:
    """Say a name, and return each hearing that was not understood as it; ``hear`` may be the typed words."""
    heard: list[str] = []
    written = ""
    for hypotheses in hear(own.sentence):
        best = choose(hypotheses, interpreter.interpret) if hypotheses.alternatives else None
        names = best.interpretation.heard.names.get(own.kind, ()) if best is not None else ()
        if not any(own.meant_by(each.value) for each in names):
            heard.append(best.text if best is not None else "")
            written = written or _between(heard[-1], own)
    return Tried(own, tuple(dict.fromkeys(heard)), written)


def advice(one: Tried, known: Collection[str]) -> str:
    """Return what to write into the site file for a name that was not understood.

    Words that are all ``known`` mean something of their own, and are no spelling of a name.
    """
    own = one.own
    if one.typed:
        return f"'{own.name}' is taken for something else as it is written: name it otherwise"
    new = bool(one.written) and not set(tokenise(one.written)) <= set(known)
    if own.table == "menu":
        spelled = one.written if new else "a name that is said as it is written"
        return f'under [menu] add the dish once more, spelled otherwise: "{spelled}" = "{own.means}"'
    what = "the spelling that was heard" if new else "a short name that is said as it is written"
    given = f'"{one.written}"' if new else '"..."'
    return f"at '{own.name}' in [[{own.table}]] add {what}: also = [{given}]"


def _between(heard: str, own: Own) -> str:
    """Return the words that stand where the name was said, if the rest was heard as it was said."""
    before, _, after = own.sentence.lower().partition(own.name.lower())
    words = heard.lower()
    inner = words[len(before) : len(words) - len(after)].strip()
    same = inner == own.name.lower() or not (words.startswith(before) and words.endswith(after))
    return "" if same else inner
