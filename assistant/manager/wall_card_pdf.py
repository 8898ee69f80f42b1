"""Draws the card for the wall: one page, large, read from two steps away."""

from __future__ import annotations

from pathlib import Path

from fpdf.enums import MethodReturnValue, XPos, YPos

from assistant.manager.paper import QUIET, Paper
from assistant.manager.wall_card import WallCard, list_words

_LARGEST, _SMALLEST = 25.0, 12.0
"""Type sizes in points: as large as fits one page."""
_POINT = 0.3528
"""Millimetres."""
_LEADING = 1.16
_COLUMN_GAP = 9.0


def write_wall_card(cards: tuple[WallCard, ...], kitchen: str, path: Path, *, paper: str = "letter") -> int:
    """Write one page with one language, or two beside each other; returns the page count."""
    words = list_words(cards[0].language, "")
    page = Paper(paper, words["wall"], kitchen, language=cards[0].language, page_words=words["page"])
    page.set_auto_page_break(False)
    width = (page.epw - _COLUMN_GAP * (len(cards) - 1)) / len(cards)
    size = _LARGEST
    while size > _SMALLEST and max(_height(page, card, width, size) for card in cards) > page.eph - 12:
        size -= 0.5
    top = page.get_y()
    for number, card in enumerate(cards):
        _column(page, card, page.l_margin + number * (width + _COLUMN_GAP), top, width, size)
    page.write_to(path)
    return int(page.page_no())


def _parts(card: WallCard, size: float) -> list[tuple[str, float, bool, float]]:
    """Return what stands in a column: text, size, whether bold, and room after it in millimetres."""
    parts = [(card.title, size * 0.95, True, size * 0.13)]
    for line in card.lines:
        parts += [(line.say, size, True, 0.0), (line.does, size * 0.56, False, size * 0.11)]
    parts += [(card.remark, size * 0.5, False, size * 0.06), (card.caution, size * 0.5, True, 0.0)]
    return parts


def _height(page: Paper, card: WallCard, width: float, size: float) -> float:
    total = 0.0
    for text, points, bold, room in _parts(card, size):
        page.type(points, bold=bold)
        tall = page.multi_cell(
            width, points * _POINT * _LEADING, page.drawable(text), align="L", dry_run=True,
            output=MethodReturnValue.HEIGHT,
        )  # fmt: skip
        assert isinstance(tall, float | int)
        total += tall + room
    return total


def _column(page: Paper, card: WallCard, x: float, y: float, width: float, size: float) -> None:
    for text, points, bold, room in _parts(card, size):
        page.type(points, bold=bold) if bold else page.type(points, color=QUIET)
        page.set_xy(x, y)
        page.multi_cell(
            width,
            points * _POINT * _LEADING,
            page.drawable(text),
            align="L",
            new_x=XPos.LMARGIN,
            new_y=YPos.NEXT,
        )
        y = page.get_y() + room
