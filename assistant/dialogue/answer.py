"""The contract between the dialogue and its answers: a request in, an answer out, both plain values.

An answer names a reply of its intent's table and the values to put in; the wording never lives in code.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from assistant.dialogue.slots import Slots
from assistant.logbook.entry import Clip, Draft
from assistant.logbook.views import Views
from assistant.rules.basis import Citation, Judgement, Limit, Range, Verdict
from assistant.rules.profile import Profile
from assistant.site import Site

Value = str | int | Decimal


@dataclass(frozen=True)
class Request:
    """One question or report: its intent, what was said, and the facts of the kitchen at that moment."""

    intent: str
    slots: Slots
    site: Site
    now: datetime
    views: Views
    memory: Mapping[str, str] = field(default_factory=dict)
    person: str = ""
    last_ids: tuple[int, ...] = ()  # the readings logged last in this conversation
    about: tuple[str, ...] = ()  # the places of the intent's kinds that are meant, named or spoken of
    said_at: str = ""  # ISO 8601 with offset: when it was, if that was told; ``now`` is that moment then

    @property
    def profile(self) -> Profile:
        """The figures in force here."""
        return self.site.profile


@dataclass(frozen=True)
class Answer:
    """What to say and do. ``reply`` is a key of the intent's replies, ``values`` fill its placeholders.

    ``ask`` names the slot kind that a question waits for (``percent``, ``volume``, ``food``, ``yes_no``...).
    ``drafts`` are logged before the reply is spoken. ``more`` and ``why`` are reply keys said on request.
    ``remember`` is kept in the contact memory ("prep sink" -> "raw chicken").
    """

    reply: str
    values: Mapping[str, Value] = field(default_factory=dict)
    sources: tuple[Citation, ...] = ()
    verdict: Verdict | None = None
    drafts: tuple[Draft, ...] = ()
    ask: str = ""
    why: str = "why"
    more: str = "more"
    caution: str = ""
    remember: Mapping[str, str] = field(default_factory=dict)
    intent: str = ""  # when another intent's replies are used
    about: str = ""  # said first: the place that was taken for the one meant
    play: tuple[Clip, ...] = ()  # clips to play after the reply


AnswerFunction = Callable[[Request], Answer | None]
"""``None`` declines: the words fit, the meaning does not, and the next best intent is tried."""
_Function = TypeVar("_Function", bound=AnswerFunction)
_FUNCTIONS: dict[str, AnswerFunction] = {}


def answers(*intents: str) -> Callable[[_Function], _Function]:
    """Register a function as the one that answers ``intents``."""

    def register(function: _Function) -> _Function:
        for intent in intents:
            if intent in _FUNCTIONS:
                raise ValueError(f"two functions answer '{intent}'")
            _FUNCTIONS[intent] = function
        return function

    return register


def answer_function(intent: str) -> AnswerFunction | None:
    """Return the function registered for ``intent``, if any; what registers it is loaded first."""
    if intent not in _FUNCTIONS:
        from assistant.dialogue.answers import load_for

        load_for(intent)
    return _FUNCTIONS.get(intent)


def capital(text: str) -> str:
    """Return ``text`` with its first letter large."""
    return text[:1].upper() + text[1:]


def plain(number: Decimal | Fraction | int) -> str:
    """Return a number as shown: no trailing zeros, no exponent; a fraction to one decimal place."""
    if isinstance(number, Fraction):
        number = Decimal(round(number * 10)) / 10
    text = f"{Decimal(number):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def degrees(number: Decimal | Fraction | int, unit: str) -> str:
    """Return a temperature as shown, such as ``41°F``."""
    return f"{plain(number)}°{unit}"


def limit_text(limit: Limit) -> str:
    """Return a limit with its unit as shown."""
    if limit.unit in ("F", "C"):
        return degrees(limit.value, limit.unit)
    return f"{plain(limit.value)} {limit.unit}"


def range_text(limits: Range | None) -> str:
    """Return limits as said: "41°F or colder", "200-400 ppm", "135°F or hotter"; empty without any."""
    if limits is None or (limits.low is None and limits.high is None):
        return ""
    warm = limits.unit in ("F", "C")
    unit = f"°{limits.unit}" if warm else f" {limits.unit}"
    if limits.low is None and limits.high is not None:
        return f"{plain(limits.high)}{unit} or {'colder' if warm else 'less'}"
    if limits.high is None and limits.low is not None:
        return f"{plain(limits.low)}{unit} or {'hotter' if warm else 'more'}"
    assert limits.low is not None
    assert limits.high is not None
    return f"{plain(limits.low)}-{plain(limits.high)}{unit}"


def judged(judgement: Judgement, **values: Value) -> dict[str, Value]:
    """Return the values that every judged reply may use: the limits, the details, and ``values``."""
    found: dict[str, Value] = {"limits": range_text(judgement.limits)}
    found.update({key: plain(v) if isinstance(v, Decimal) else v for key, v in judgement.details.items()})
    return {**found, **values}
