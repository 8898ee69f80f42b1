"""Draws the card of what can be said as a PDF, in two columns."""

from __future__ import annotations

from pathlib import Path

from assistant.manager.paper import QUIET, Paper, drawable
from assistant.manager.phrase_card import Topic

CAUTION = (
    "The product label, the local health department and the approved plan decide. Never mix bleach with"
    " anything but water. When in doubt, throw it out."
)


def write_card(
    card: tuple[Topic, ...], wake_phrase: str, kitchen: str, path: Path, *, paper: str = "letter"
) -> int:
    """Write the card to ``path``; returns the page count."""
    page = Paper(paper, "What can be said", f"{kitchen} · what can be said")
    page.big_title("What can be said", f"Say “{wake_phrase}”, then any of these, in your own words.")
    page.say(CAUTION, 8, color=QUIET)
    page.ln(1)
    with page.text_columns(ncols=2, gutter=7, text_align="LEFT", line_height=1.15) as columns:
        for topic in card:
            page.type(10.5, bold=True)
            columns.write(drawable(f"{topic.title}\n"))
            for phrase in topic.phrases:
                page.type(8)
                columns.write(drawable(f"• {phrase.about}\n"))
            columns.ln(2)
    page.write_to(path)
    return int(page.page_no())
