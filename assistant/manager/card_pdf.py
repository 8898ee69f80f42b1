"""Draws the card of what can be said as a PDF, in two columns."""

from __future__ import annotations

from pathlib import Path

from assistant.manager.paper import QUIET, Paper
from assistant.manager.pdf_library import MethodReturnValue
from assistant.manager.phrase_card import Topic
from assistant.manager.wall_card import list_words

GUTTER = 7.0
SIZES = {"title": (10.5, 4.6), "line": (8.0, 3.4)}
"""Type size in points and height of a line in millimetres."""


def write_card(
    card: tuple[Topic, ...],
    wake_phrase: str,
    kitchen: str,
    path: Path,
    *,
    paper: str = "letter",
    language: str = "en",
) -> int:
    """Write the card to ``path``; returns the page count."""
    words = list_words(language, wake_phrase)
    page = Paper(
        paper, words["title"], f"{kitchen} · {words['short']}", language=language, page_words=words["page"]
    )
    page.big_title(words["title"], words["intro"])
    page.say(words["caution"], 8, color=QUIET)
    page.ln(1)
    columns = _Columns(page)
    for topic in card:
        columns.put([("title", topic.title), *(("line", f"• {each.about}") for each in topic.phrases[:1])])
        for phrase in topic.phrases[1:]:
            columns.put([("line", f"• {phrase.about}")])
        columns.gap()
    page.write_to(path)
    return int(page.page_no())


class _Columns:
    """Two columns that are filled from the top; what is put in as one piece stays together."""

    def __init__(self, page: Paper) -> None:
        self._page = page
        self._width = (page.epw - GUTTER) / 2
        self._top = self._y = page.get_y()
        self._second = False

    def put(self, piece: list[tuple[str, str]]) -> None:
        """Write the lines of one piece, in the next column where this one has too little room."""
        if self._y + sum(self._write(*each, dry=True) for each in piece) > self._page.page_break_trigger:
            self._next()
        for kind, text in piece:
            self._y += self._write(kind, text)

    def gap(self) -> None:
        """Leave room before the next topic."""
        self._y += 2

    def _next(self) -> None:
        if self._second:
            self._page.add_page()
            self._top = self._page.get_y()
        self._second = not self._second
        self._y = self._top

    def _write(self, kind: str, text: str, *, dry: bool = False) -> float:
        """Write one line, as long as it may be, and return its height in millimetres."""
        size, height = SIZES[kind]
        self._page.type(size, bold=kind == "title")
        self._page.set_xy(self._page.l_margin + self._second * (self._width + GUTTER), self._y)
        written = self._page.multi_cell(
            self._width,
            height,
            self._page.drawable(text),
            align="L",
            dry_run=dry,
            output=MethodReturnValue.HEIGHT,
        )
        assert isinstance(written, float | int)
        return written
