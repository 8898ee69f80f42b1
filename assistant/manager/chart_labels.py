"""Where the text of a limit stands on a chart so that it lies on no reading; numbers in, a place out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil, hypot

Place = tuple[float, float]
_MARK_SIZE = 7.0
"""Half the width of a mark."""
_AWAY = 5.0
"""Between a limit's line and its text."""
_EVERY = 6.0
_POSITIONS = 12
_MARK_COUNTS, _LINE_COUNTS = 100, 1


def along(points: Sequence[Place]) -> Iterator[Place]:
    """Go along a line in small steps."""
    for (x0, y0), (x1, y1) in pairwise(points):
        steps = max(1, ceil(hypot(x1 - x0, y1 - y0) / _EVERY))
        for number in range(steps + 1):
            yield x0 + (x1 - x0) * number / steps, y0 + (y1 - y0) * number / steps


def place_of(
    text_width: float,
    text_height: float,
    limit: tuple[float, float, float],
    within: tuple[float, float, float, float],
    marks: Sequence[Place],
    line: Sequence[Place],
) -> Place:
    """Return where a text ends and what height it stands on: the first free place along its ``limit``.

    ``limit`` is (x0, x1, y); ``within`` left, right, top and bottom of the plot; y grows downward. The right
    end is tried first, above the line and below it, then further to the left. Where nothing is free, the
    place that covers the fewest marks is taken, then the least of the line.
    """
    x0, x1, y = limit
    left, right, top, bottom = within
    first_end = min(x1 - 4, right)
    last_end = max(min(first_end, x0 + text_width + 4), min(left + text_width, right))
    best: tuple[int, Place] | None = None
    for number in range(_POSITIONS + 1):
        end = first_end + (last_end - first_end) * number / _POSITIONS
        for base in (y - _AWAY, y + _AWAY + text_height):
            if base - text_height < top - text_height / 2 or base > bottom:
                continue
            box = (end - text_width, end, base - text_height, base)
            cost = _MARK_COUNTS * _inside(marks, box, _MARK_SIZE) + _LINE_COUNTS * _inside(line, box, 1)
            if best is None or cost < best[0]:
                best = (cost, (end, base))
            if not cost:
                return end, base
    return best[1] if best else (first_end, y - _AWAY)


def _inside(points: Sequence[Place], box: tuple[float, float, float, float], room: float) -> int:
    left, right, top, bottom = box
    return sum(left - room < x < right + room and top - room < y < bottom + room for x, y in points)
