"""The geometry of a small line chart, for the page (SVG) and the report alike: numbers in, places out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil, floor, inf, log10

from assistant.manager.chart_labels import along, place_of


@dataclass(frozen=True, slots=True)
class Mark:
    """One value: ``x`` and ``y`` in the units of its axes, the verdict for its shape, a text to read."""

    x: float
    y: float
    verdict: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """A limit in force from ``x0`` to ``x1`` at the height ``y``; its text ends at ``text_x``, ``text_y``."""

    x0: float
    x1: float
    y: float
    text: str = ""
    text_x: float = 0
    text_y: float = 0


@dataclass(frozen=True, slots=True)
class Tick:
    """A place on an axis, in the chart's own units, with its label."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Frame:
    """The size of a chart and the margins of its plot, in the chart's own units; y grows downward.

    ``letter`` and ``text_height`` are the size of a letter where it is written largest, on a phone: the left
    margin grows to hold every digit, and texts keep off the readings.
    """

    width: float = 640
    height: float = 226
    left: float = 46
    right: float = 14
    top: float = 18
    bottom: float = 28
    letter: float = 13
    text_height: float = 15

    def holding(self, labels: Sequence[str]) -> Frame:
        """Return the frame with a left margin that has room for the ``labels``."""
        longest = max(map(len, labels), default=0)
        return replace(self, left=max(self.left, 8 + longest * self.letter))


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart ready to be drawn: everything in the chart's own units."""

    frame: Frame
    marks: tuple[Mark, ...]
    steps: tuple[Step, ...]
    line: tuple[tuple[float, float], ...]
    pieces: tuple[tuple[tuple[float, float], ...], ...]
    """The line, broken where readings are missing for long."""
    curve: tuple[tuple[float, float], ...]
    band: tuple[tuple[float, float], ...]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]

    def points(self, which: str) -> str:
        """Return ``line``, ``curve`` or ``band`` as SVG writes points."""
        return svg_points(getattr(self, which))

    def joined(self) -> tuple[str, ...]:
        """Return the pieces of the line as SVG writes points."""
        return tuple(svg_points(piece) for piece in self.pieces)


def svg_points(places: Sequence[tuple[float, float]]) -> str:
    """Return places as SVG writes them."""
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in places)


def _pieces(
    marks: Sequence[Mark], placed: Sequence[Mark], longest_gap: float
) -> tuple[tuple[tuple[float, float], ...], ...]:
    found: list[list[tuple[float, float]]] = []
    for number, mark in enumerate(placed):
        if not number or marks[number].x - marks[number - 1].x > longest_gap:
            found.append([])
        found[-1].append((mark.x, mark.y))
    return tuple(tuple(piece) for piece in found if len(piece) > 1)


def nice_step(span: float, most: int) -> float:
    """Return the smallest round step (1, 2 or 5 times a power of ten) with at most ``most`` in ``span``."""
    rough = max(span, 1e-9) / most
    power = 10.0 ** floor(log10(rough))
    return next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * (1 - 1e-9))


def y_range(values: Sequence[float]) -> tuple[float, float, float]:
    """Return bottom, top and step of a value axis that holds all ``values`` with some air."""
    low, high = min(values), max(values)
    step = nice_step(max(high - low, 4), 5)
    bottom, top = floor((low - step * 0.25) / step) * step, ceil((high + step * 0.25) / step) * step
    return bottom, top, step


def day_ticks(first: datetime, last: datetime, most: int = 8) -> list[tuple[datetime, str]]:
    """Return midnights (or, within two days, hours) to label on an axis of time."""
    if last - first <= timedelta(days=2):
        hours = 3 if last - first <= timedelta(hours=26) else 6
        at = first.replace(minute=0, second=0, microsecond=0)
        at += timedelta(hours=-at.hour % hours)
        found = []
        while at <= last:
            found.append((at, f"{at.hour % 12 or 12} {'am' if at.hour < 12 else 'pm'}"))
            at += timedelta(hours=hours)
        return found
    days = max(1, ceil((last - first).days / most))
    at = first.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    found = []
    while at <= last:
        found.append((at, f"{at.day} {at:%b}"))
        at += timedelta(days=days)
    return found


def draw(
    marks: Sequence[Mark],
    steps: Sequence[Step],
    x_span: tuple[float, float],
    x_labels: Sequence[tuple[float, str]],
    *,
    unit: str = "",
    curve: Sequence[tuple[float, float, float]] = (),
    frame: Frame | None = None,
    longest_gap: float = inf,
) -> Chart:
    """Place everything. ``curve`` has x, y and half the width of its band; ``x_span`` is the axis.

    The line breaks where marks are further apart than ``longest_gap`` (units of x).
    """
    frame = frame or Frame()
    x0, x1 = x_span[0], max(x_span[1], x_span[0] + 1e-9)
    values = [mark.y for mark in marks] + [step.y for step in steps] or [0.0]
    bottom, top, step = y_range(values)
    heights = [bottom + step * number for number in range(round((top - bottom) / step) + 1)]
    frame = frame.holding([f"{height:g}{unit}" for height in heights])

    def across(x: float) -> float:
        return frame.left + (x - x0) / (x1 - x0) * (frame.width - frame.left - frame.right)

    def down(y: float) -> float:
        inside = min(max(y, bottom), top)
        return frame.top + (top - inside) / (top - bottom) * (frame.height - frame.top - frame.bottom)

    placed = tuple(Mark(across(mark.x), down(mark.y), mark.verdict, mark.text) for mark in marks)
    upper = [(across(x), down(y + half)) for x, y, half in curve]
    lower = [(across(x), down(y - half)) for x, y, half in reversed(curve)]
    fitted = tuple((across(x), down(y)) for x, y, _ in curve if bottom <= y <= top)
    pieces = _pieces(marks, placed, longest_gap)
    drawn = [place for piece in ((fitted,) if fitted else pieces) for place in along(piece)]
    limits = (Step(across(each.x0), across(each.x1), down(each.y), each.text) for each in steps)
    return Chart(
        frame,
        placed,
        tuple(_labelled(each, frame, placed, drawn) for each in limits),
        tuple((mark.x, mark.y) for mark in placed),
        pieces,
        fitted,
        tuple(upper + lower),
        tuple(Tick(across(x), text) for x, text in x_labels if x0 <= x <= x1 - (x1 - x0) / 40),
        tuple(Tick(down(height), f"{height:g}{unit}") for height in heights),
    )


def _labelled(step: Step, frame: Frame, marks: Sequence[Mark], line: Sequence[tuple[float, float]]) -> Step:
    """Return a limit with the place of its text, off the readings."""
    within = (frame.left, frame.width - frame.right, frame.top, frame.height - frame.bottom)
    x, y = place_of(
        len(step.text) * frame.letter, frame.text_height, (step.x0, step.x1, step.y), within,
        [(mark.x, mark.y) for mark in marks], line,
    )  # fmt: skip
    return replace(step, text_x=x, text_y=y)
