"""What is seen of a supply on its way, and the means and extremes of it."""

from __future__ import annotations

from typing import Any

import numpy as np

from .supply_network import SEEN
from .supply_walk import Course, Piece


class Seen:
    """Everything that is seen on a course; columns in the order of SEEN, then chokes, capacitors and their currents."""

    def __init__(self, course: Course) -> None:
        layout = course.machine.layout
        self.chokes = slice(len(SEEN), len(SEEN) + len(layout.chokes))
        self.volts = slice(self.chokes.stop, self.chokes.stop + len(layout.capacitors))
        self.charging = slice(self.volts.stop, self.volts.stop + len(layout.capacitors))
        self.doubler = layout.circuit.rectifier == "doubler"
        self.time = np.concatenate([*(piece.time for piece in course.pieces), [course.time]])
        pieces = [self._in_order(piece, piece.seen) for piece in course.pieces]
        last = course.pieces[-1]
        self.values = np.concatenate([*pieces, self._in_order(last, (last.walk.seen @ last.last)[None])])

    def _in_order(self, piece: Piece, seen: Any) -> Any:
        if piece.swapped:
            for part in (self.volts.start, self.charging.start):
                seen[:, [part, part + 1]] = seen[:, [part + 1, part]]
        return seen


class Measured:
    """Means, mean squares and extremes of everything that is seen in one period, and the mean power of the source."""

    def __init__(self, course: Course) -> None:
        """From the pieces of a course of one period."""
        ends = [_ends(*piece.closely) for piece in course.pieces]
        step, first, last, rate, later = (np.vstack(part) for part in zip(*ends, strict=True))
        rate, later = _smooth(step, first, rate), _smooth(step, first, later)
        length = step.sum()
        self.mean = _integral(step, first, last, rate, later) / length
        self.square = _integral(step, first**2, last**2, 2 * first * rate, 2 * last * later) / length
        powers, rising = zip(_power(first, rate), _power(last, later), strict=True)
        self.power = float(_integral(step[:, 0], *powers, *rising) / length)
        every = np.vstack([first, last, _between_moments(step, first, last, rate, later)])
        self.least, self.most = every.min(axis=0), every.max(axis=0)


def _ends(time: Any, seen: Any, rates: Any) -> tuple[Any, Any, Any, Any, Any]:
    """What is seen at both ends of each step, and how fast it changes there."""
    return np.diff(time)[:, None], seen[:-1], seen[1:], rates[:-1], rates[1:]


def _smooth(step: Any, seen: Any, rates: Any) -> Any:
    """Slopes, but none where something dies out well within a step, for they say nothing about the step then."""
    return np.where(step * abs(rates) <= 2 * np.ptp(seen, axis=0), rates, 0.0)


def _power(seen: Any, rates: Any) -> tuple[Any, Any]:
    """Power out of the ideal source, and how fast it changes."""
    drawn, source = SEEN.index("drawn"), SEEN.index("source")
    return seen[:, drawn] * seen[:, source], seen[:, drawn] * rates[:, source] + rates[:, drawn] * seen[:, source]


def _integral(step: Any, first: Any, last: Any, rate: Any, later: Any) -> Any:
    """Trapezoids, corrected with the slopes at both ends."""
    return (step * (first + last) / 2 + step**2 * (rate - later) / 12).sum(axis=0)


def _between_moments(step: Any, first: Any, last: Any, rate: Any, later: Any) -> Any:
    """Values a quarter, a half and three quarters of the way, by cubics through the slopes at both ends."""
    found = []
    for part in (0.25, 0.5, 0.75):
        near, far = (1 + 2 * part) * (1 - part) ** 2, (3 - 2 * part) * part**2
        bend = part * (1 - part) ** 2 * rate - part**2 * (1 - part) * later
        found.append(near * first + far * last + step * bend)
    return np.vstack(found)
