"""Drawing on paper: an open font, headings, tables and small charts; what the report and the card share."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

from assistant.errors import LogWriteError, in_words
from assistant.manager.chart import Chart
from assistant.manager.letters import font_for, needs_shaping
from assistant.manager.pdf_library import (
    FPDF,
    FontFace,
    FPDFException,
    TableBordersLayout,
    TTFFont,
    XPos,
    YPos,
)

FAMILY = "DejaVu"
INK, QUIET, LINE, GOOD, BAD, CURVE = (
    (22, 34, 42), (77, 91, 100), (201, 207, 210), (0, 81, 138), (154, 47, 0), (123, 63, 152),
)  # fmt: skip
HEAD_STYLE = FontFace(emphasis="BOLD", color=INK, fill_color=(238, 241, 239))
WHITE = (255, 255, 255)
TITLE_ROOM = 40.0


@cache
def _known() -> frozenset[int]:
    """Return the code points that both fonts can draw."""
    sample = FPDF()
    _add_fonts(sample)
    regular, bold = _fonts_of(sample)
    known = frozenset(regular.cmap) & frozenset(bold.cmap)
    _close_fonts(sample)
    return known


def _add_fonts(pdf: FPDF) -> None:
    fonts = files("assistant.manager") / "fonts"
    pdf.add_font(FAMILY, "", str(fonts / "DejaVuSans.ttf"))
    pdf.add_font(FAMILY, "B", str(fonts / "DejaVuSans-Bold.ttf"))


def _fonts_of(pdf: FPDF) -> list[TTFFont]:
    return [font for font in pdf.fonts.values() if isinstance(font, TTFFont)]


def _close_fonts(pdf: FPDF) -> None:
    """Close the font files, which the library reads piece by piece and leaves open."""
    for font in _fonts_of(pdf):
        font.ttfont.close()


class Paper(FPDF):
    """Pages with a running foot. ``paper`` is letter or a4; lengths are in millimetres."""

    def __init__(
        self,
        paper: str,
        title: str,
        foot: str,
        *,
        tight: float = 1.0,
        language: str = "en",
        page_words: str = "page {page} of {all}",
    ) -> None:
        """Begin the first page; below 1 ``tight`` sets lines closer; ``page_words`` count the pages."""
        super().__init__(format=paper)
        _add_fonts(self)
        self._borrowed: dict[Path, str] = {}
        self.lacking = 0
        self.tight = tight
        self._foot, self._page_words = self.drawable(foot), page_words
        self.set_title(title)
        self.set_lang(language)
        self.set_margins(15, 14, 15)
        self.set_auto_page_break(True, margin=20)
        self.add_page()

    def drawable(self, text: str) -> str:
        """Return ``text`` as it can be drawn: letters from a font of this machine, else a white square each.

        ``lacking`` counts the squares, so that the document can say what they stand for.
        """
        if needs_shaping(text) and not self.text_shaping:
            self.set_text_shaping(True)
        return "".join(self._letter(each) for each in text)

    def _letter(self, letter: str) -> str:
        if ord(letter) in _known() or letter == "\n" or unicodedata.category(letter) in ("Cf", "Mn"):
            return letter
        path = font_for(letter)
        if path is None:
            self.lacking += 1
            return "□"
        if path not in self._borrowed:
            family = f"Borrowed{len(self._borrowed)}"
            try:
                for style in ("", "B"):
                    self.add_font(family, style, str(path))
            except (FPDFException, OSError, ValueError, KeyError, NotImplementedError):
                self.lacking += 1
                return "□"
            self._borrowed[path] = family
            self.set_fallback_fonts(list(self._borrowed.values()), exact_match=False)
        return letter

    def footer(self) -> None:
        """Write the running foot with the page's number."""
        self.set_y(-14)
        self.type(7.5, color=QUIET)
        self.cell(self.epw - 25, 5, self._foot)
        self.cell(25, 5, self._page_words.format(page=self.page_no(), all="{nb}"), align="R")

    def type(self, size: float, *, bold: bool = False, color: tuple[int, int, int] = INK) -> None:
        """Choose the size, weight and colour of what is written next."""
        self.set_font(FAMILY, "B" if bold else "", size)
        self.set_text_color(*color)

    def big_title(self, text: str, below: str = "") -> None:
        """Write the title of the document."""
        self.type(18, bold=True)
        self.multi_cell(0, 9, self.drawable(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        if below:
            self.say(below, color=QUIET)

    def heading(self, text: str, room: float = TITLE_ROOM) -> None:
        """Write a section's heading, on a new page where less than ``room`` is left on this one."""
        if self.will_page_break(room):
            self.add_page()
        self.ln(4 * self.tight)
        self.type(12.5, bold=True)
        self.start_section(self.drawable(text))
        self.multi_cell(0, 6.5, self.drawable(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ln(1)

    def say(
        self, text: str, size: float = 9, *, bold: bool = False, color: tuple[int, int, int] = INK
    ) -> None:
        """Write a paragraph."""
        self.type(size, bold=bold, color=color)
        self.multi_cell(
            0, size * 0.5 * self.tight, self.drawable(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )
        self.ln(0.8)

    def alarm(self, title: str, text: str) -> None:
        """Write a framed warning across the page."""
        self.set_draw_color(*BAD)
        self.set_line_width(0.8)
        self.type(13, bold=True, color=BAD)
        for border, height, words in (("LTR", 6.5, title), ("LBR", 4.8, text)):
            self.multi_cell(
                0, height, self.drawable(words), border=border, align="L", padding=(2, 3), new_x=XPos.LMARGIN,
                new_y=YPos.NEXT,
            )  # fmt: skip
            self.type(9.5)
        self.set_line_width(0.2)
        self.ln(3)

    def rows(self, heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[int]) -> None:
        """Write a table; its heads come again on every page."""
        self.type(8)
        self.set_draw_color(*LINE)
        self.set_fill_color(*WHITE)
        with self.table(
            col_widths=tuple(widths), headings_style=HEAD_STYLE, line_height=4.2 * self.tight,
            text_align="LEFT",
            borders_layout=TableBordersLayout.HORIZONTAL_LINES, padding=0.8, v_align="TOP",
        ) as table:  # fmt: skip
            for row in (heads, *rows):
                table.row([self.drawable(cell) for cell in row])
        self.ln(1.5)

    def chart(self, chart: Chart, x: float, y: float, width: float) -> None:
        """Draw a chart with its upper left corner at ``x``, ``y``."""
        _Plot(self, chart, x, y, width).draw()

    def close_fonts(self) -> None:
        """Let go of the font files of a paper that is not written."""
        _close_fonts(self)

    def write_to(self, path: Path) -> None:
        """Write the file; raises ``LogWriteError`` in one sentence."""
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self.output(str(path))
        except OSError as error:
            raise LogWriteError(f"The file {path} cannot be written ({in_words(error)}).") from None
        finally:
            _close_fonts(self)


class _Plot:
    """One chart at one place of a page."""

    def __init__(self, paper: Paper, chart: Chart, x: float, y: float, width: float) -> None:
        self._paper, self._chart, self._x, self._y = paper, chart, x, y
        self._scale = width / chart.frame.width

    def draw(self) -> None:
        """Draw grid, limits, curve, marks and labels."""
        paper, chart = self._paper, self._chart
        self._grid()
        if len(chart.band) > 2:
            with paper.local_context(fill_opacity=0.13):
                paper.set_fill_color(*CURVE)
                paper.polygon([self._at(*point) for point in chart.band], style="F")
        paper.set_line_width(0.25)
        paper.set_draw_color(*(CURVE if chart.curve else QUIET))
        for piece in (chart.curve,) if chart.curve else chart.pieces:
            for before, after in pairwise(piece):
                paper.line(*self._at(*before), *self._at(*after))
        self._limits()
        for mark in chart.marks:
            self._mark(mark.x, mark.y, mark.verdict)
        paper.set_line_width(0.2)

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return self._x + x * self._scale, self._y + y * self._scale

    def _grid(self) -> None:
        paper, frame = self._paper, self._chart.frame
        paper.set_line_width(0.1)
        paper.set_draw_color(*LINE)
        paper.type(6, color=QUIET)
        for tick in self._chart.y_ticks:
            left, y = self._at(frame.left, tick.at)
            paper.line(left, y, self._at(frame.width - frame.right, 0)[0], y)
            paper.text(left - paper.get_string_width(tick.text) - 1, y + 0.8, tick.text)
        bottom = frame.height - frame.bottom
        for tick in self._chart.x_ticks:
            x, y = self._at(tick.at, bottom)
            paper.line(x, y, x, y + 0.8)
            paper.text(x - paper.get_string_width(tick.text) / 2, y + 3.6, tick.text)

    def _limits(self) -> None:
        paper = self._paper
        paper.set_draw_color(*BAD)
        paper.set_line_width(0.3)
        paper.set_dash_pattern(dash=1.6, gap=1)
        for step in self._chart.steps:
            paper.line(*self._at(step.x0, step.y), *self._at(step.x1, step.y))
        paper.set_dash_pattern()
        paper.type(6, color=BAD)
        for step in self._chart.steps:
            x, y = self._at(step.text_x, step.text_y)
            paper.text(x - paper.get_string_width(step.text), y, paper.drawable(step.text))

    def _mark(self, x: float, y: float, verdict: str) -> None:
        paper = self._paper
        here, down = self._at(x, y)
        paper.set_fill_color(*(BAD if verdict == "fail" else GOOD))
        if verdict == "fail":
            paper.polygon([(here, down - 1.2), (here + 1.1, down + 0.8), (here - 1.1, down + 0.8)], style="F")
        elif verdict == "cannot judge":
            paper.set_draw_color(*GOOD)
            corners = [(here, down - 1), (here + 1, down), (here, down + 1), (here - 1, down)]
            paper.polygon(corners, style="D")
        else:
            paper.circle(here, down, 0.7, style="F")
