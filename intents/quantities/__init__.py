"""What is said of numbers and times, with everything that it may be; nothing is decided here.

``quantities(words, code)`` finds the runs of words that say a quantity, ``resolve`` the moments that a
time can stand for. The words are data: ``intents/<code>/quantities.toml``.
"""

from intents.quantities.find import quantities
from intents.quantities.meanings import (
    Clock,
    Day,
    Mark,
    Meaning,
    Moment,
    Number,
    Ordinal,
    Quantity,
    Span,
)
from intents.quantities.resolve import Candidate, Resolved, Tense, resolve

__all__ = [
    "Candidate",
    "Clock",
    "Day",
    "Mark",
    "Meaning",
    "Moment",
    "Number",
    "Ordinal",
    "Quantity",
    "Resolved",
    "Span",
    "Tense",
    "quantities",
    "resolve",
]
