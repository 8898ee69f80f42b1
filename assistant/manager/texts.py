"""The page's words in the manager's language: one table, English and Spanish side by side.

What stands in a template between its tags is looked up when the template is read; what the program puts
together ("3 readings, lowest 37°F ...") is looked up when it is shown, with its values left as they are.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2.ext import Extension
from jinja2.lexer import Token, TokenStream

from assistant.manager import shown

LANGUAGES = ("en", "es")
_SLOT = re.compile(r"\{(\w+)\}")
_ATTRIBUTE = re.compile(r'((?:aria-label|title|placeholder)=")([^"{]+)("|$)')
_SENTENCE = re.compile(r"[A-Z(][^/?=]|, [a-z]")
"""A text within an expression of a template: begins as a sentence does, which no name in it does."""
_FEW_LETTERS = 8
_NUMBER = r"[-−]?[\d.,:]+(?: ?[ap]m)?(?:°[FC]| ppm)?"
"""What a slot holds in a row of few letters ("{low} to {high}"), so that no sentence fits it by chance."""
_WORDY = re.compile(r"[^\W\d_]{2}")
_DAYS = ("lunes", "martes", "miércoles", "jueves", "viernes", "sábado", "domingo")
_MONTHS = (
    "enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre",
    "noviembre", "diciembre",
)  # fmt: skip
_SHOWN_AS_WORDS = ("limits", "kind", "who", "verdict")


@cache
def rows() -> tuple[tuple[str, str], ...]:
    """Return the table: English and Spanish."""
    text = (files("assistant.manager") / "tables" / "page_texts.csv").read_text(encoding="utf-8")
    return tuple((row["en"], row["es"]) for row in csv.DictReader(text.splitlines()))


@cache
def _exact() -> dict[str, str]:
    return dict(rows())


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Return the rows with slots, the longest English first."""
    found = []
    for english, spanish in sorted(rows(), key=lambda row: -len(row[0])):
        if _SLOT.search(english):
            parts = _SLOT.split(english)
            short = sum(map(len, parts[::2])) < _FEW_LETTERS
            slot = _NUMBER if short else ".{1,200}?"
            pattern = "".join(
                f"(?P<{part}>{slot})" if number % 2 else re.escape(part) for number, part in enumerate(parts)
            )
            found.append((re.compile(pattern, re.DOTALL), spanish))
    return tuple(found)


def translate(text: str, language: str) -> str:
    """Return a text of the page in a language; what the table lacks stays as it is."""
    if language == "en":
        return text
    lead = text[: len(text) - len(text.lstrip())]
    trail = text[len(text.rstrip()) :]
    plain = " ".join(text.split())
    if not plain:
        return text
    if (known := _exact().get(plain)) is not None:
        return f"{lead}{known}{trail}"
    for pattern, spanish in _patterns():
        if found := pattern.fullmatch(plain):
            values = {name: translate(value, language) for name, value in found.groupdict().items()}
            return lead + _SLOT.sub(lambda slot: values[slot[1]], spanish) + trail  # noqa: B023
    return text


class InLanguage(Extension):
    """Looks up what stands in a template between its tags."""

    def filter_stream(self, stream: TokenStream) -> Iterator[Token]:
        """Replace the words of a template as it is read."""
        language = str(self.environment.globals["language"])
        inside = False
        for token in stream:
            if token.type == "string" and _SENTENCE.match(token.value):
                yield Token(token.lineno, "string", _exact_or_same(token.value, language))
                continue
            if token.type != "data":
                yield token
                continue
            done = []
            for piece in re.split(r"(<|>)", token.value):
                if piece in ("<", ">"):
                    inside = piece == "<"
                    done.append(piece)
                elif inside:
                    done.append(_ATTRIBUTE.sub(
                        lambda found: found[1] + translate(found[2], language) + found[3], piece
                    ))  # fmt: skip
                else:
                    done.append(_in_runs(piece, language))
            yield Token(token.lineno, "data", "".join(done))


def _exact_or_same(text: str, language: str) -> str:
    return text if language == "en" else _exact().get(text, text)


def _in_runs(piece: str, language: str) -> str:
    return translate(piece, language) if _WORDY.search(piece) else piece


class Shown:
    """``shown`` for templates, in a language: days and verdicts in words, values as they are."""

    def __init__(self, language: str) -> None:
        """Show in ``language``."""
        self._language = language

    def __getattr__(self, name: str) -> Any:
        """Return a function or table of ``shown``."""
        value = getattr(shown, name)
        if name in _SHOWN_AS_WORDS and self._language != "en" and name != "verdict":
            function: Callable[..., str] = value
            return lambda *given: translate(function(*given), self._language)
        return value

    def day(self, which: date) -> str:
        """Return a day in full."""
        if self._language == "en":
            return shown.day(which)
        return f"{_DAYS[which.weekday()]} {which.day} de {_MONTHS[which.month - 1]} de {which.year}"

    def short_day(self, which: date) -> str:
        """Return a day in short."""
        if self._language == "en":
            return shown.short_day(which)
        return f"{_DAYS[which.weekday()][:3]} {which.day} {_MONTHS[which.month - 1][:3]}"
