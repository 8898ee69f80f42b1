"""Draws the card for the wall: one page, large, read from two steps away."""

from __future__ import annotations

from pathlib import Path

from assistant.manager.paper import QUIET, Paper
from assistant.manager.pdf_library import MethodReturnValue, XPos, YPos
from assistant.manager.wall_card import WallCard, list_words

_LARGEST, _SMALLEST = 25.0, 12.0
"""Type sizes in points: as large as fits one page."""
_POINT = 0.3528
"""Millimetres."""
_LEADING = 1.16
_COLUMN_GAP = 9.0
_OR = " · "
"""Between two things to say that do the same."""


_FOOT = 17.0
"""Room below the columns, so that they do not run into the running foot."""

Piece = tuple[str, float, bool, float]
"""A text, its size in points, whether it is bold, and the room after it in millimetres."""


def write_wall_card(cards: tuple[WallCard, ...], kitchen: str, path: Path, *, paper: str = "letter") -> int:
    """Write one page with one language, or two beside each other line by line; returns the page count."""
    words = list_words(cards[0].language, "")
    page = Paper(paper, words["wall"], kitchen, language=cards[0].language, page_words="")
    page.set_auto_page_break(False)
    width = (page.epw - _COLUMN_GAP * (len(cards) - 1)) / len(cards)
    size = _LARGEST
    while size > _SMALLEST and sum(_heights(page, cards, width, size)) > page.eph - _FOOT:
        size -= 0.5
    y = page.get_y()
    heights = _heights(page, cards, width, size)
    rows = zip(*(_rows(card, size) for card in cards), strict=True)
    for beside, tall in zip(rows, heights, strict=True):
        for number, row in enumerate(beside):
            _draw(page, row, page.l_margin + number * (width + _COLUMN_GAP), y, width)
        y += tall
    page.write_to(path)
    return int(page.page_no())


def _rows(card: WallCard, size: float) -> list[list[Piece]]:
    """Return what stands in a column from top to bottom; what belongs together is one row."""
    rows: list[list[Piece]] = [[(card.title, size * 0.95, True, size * 0.13)]]
    rows += [
        [(line.say, size, True, 0.0), (line.does, size * 0.56, False, size * 0.11)] for line in card.lines
    ]
    rows.append([(card.remark, size * 0.5, False, size * 0.06), (card.caution, size * 0.5, True, 0.0)])
    return rows


def _heights(page: Paper, cards: tuple[WallCard, ...], width: float, size: float) -> list[float]:
    """Return how tall each row is, by the card that needs most for it."""
    return [
        max(sum(_height(page, piece, width) for piece in row) for row in beside)
        for beside in zip(*(_rows(card, size) for card in cards), strict=True)
    ]


def _height(page: Paper, piece: Piece, width: float) -> float:
    text, points, bold, room = piece
    page.type(points, bold=bold)
    tall = page.multi_cell(
        width, points * _POINT * _LEADING, _broken(page, text, width), align="L", dry_run=True,
        output=MethodReturnValue.HEIGHT,
    )  # fmt: skip
    assert isinstance(tall, float | int)
    return tall + room


def _broken(page: Paper, text: str, width: float) -> str:
    """Return a text as drawn: of two things to say on one line each stays whole where it fits."""
    ways = [page.drawable(each) for each in text.split(_OR)]
    if len(ways) > 1 and all(page.get_string_width(f"{each}{_OR}") < width - 3 for each in ways):
        ways = [each.replace(" ", "\N{NO-BREAK SPACE}") for each in ways]
        return f"\N{NO-BREAK SPACE}{_OR.strip()} ".join(ways)
    return _OR.join(ways)


def _draw(page: Paper, row: list[Piece], x: float, y: float, width: float) -> None:
    for text, points, bold, room in row:
        page.type(points, bold=bold) if bold else page.type(points, color=QUIET)
        page.set_xy(x, y)
        page.multi_cell(
            width,
            points * _POINT * _LEADING,
            _broken(page, text, width),
            align="L",
            new_x=XPos.LMARGIN,
            new_y=YPos.NEXT,
        )
        y = page.get_y() + room
