"""The only four ways to a verdict."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

ONE_SIDED = 1.645
"""Standard uncertainties for a one-sided probability of 95 per cent; source: jcgm106 (from memory)."""


class Verdict(StrEnum):
    """The four outcomes, worst first in WORST_FIRST."""

    WITHIN = "within"
    CLOSE = "close"
    BEYOND = "beyond"
    NOT_SHOWN = "not shown"


WORST_FIRST = (Verdict.BEYOND, Verdict.CLOSE, Verdict.NOT_SHOWN, Verdict.WITHIN)
SHAPE = {Verdict.WITHIN: "●", Verdict.CLOSE: "▲", Verdict.BEYOND: "■", Verdict.NOT_SHOWN: "○"}
"""A shape for each verdict, so that none is told by colour alone."""


@dataclass(frozen=True)
class Judgement:
    """A comparison, before the margin of the check is laid on it.

    Args:
        how: word between value and limit: at most, at least, between, agrees with.
        value: what is judged, SI, possibly uncertain.
        limits: one limit, or two for a range.
        room: distance to the nearest limit over its size, negative beyond it; possibly uncertain.
        of: name of the value that is judged, where it is not the first that the check asks for.
    """

    how: str
    value: Any
    limits: tuple[Any, ...]
    room: Any
    of: str = ""

    def verdict(self, margin: float) -> Verdict:
        """The outcome, with the meter's accuracy taken into account.

        Args:
            margin: share of the limit within which a value counts as close.
        """
        room = float(getattr(self.room, "nominal_value", self.room))
        band = ONE_SIDED * float(getattr(self.room, "std_dev", 0.0))
        if room + band < 0:
            return Verdict.BEYOND
        if room < band:
            return Verdict.NOT_SHOWN
        return Verdict.CLOSE if room < margin else Verdict.WITHIN


def at_most(value: Any, limit: Any) -> Judgement:
    """The value may not exceed the limit."""
    return Judgement("at most", value, (limit,), _room(limit - value, limit))


def at_least(value: Any, limit: Any, of: str = "") -> Judgement:
    """The value may not fall below the limit."""
    return Judgement("at least", value, (limit,), _room(value - limit, limit), of)


def between(value: Any, low: Any, high: Any) -> Judgement:
    """The value must lie in a range; room is counted in shares of the range's middle."""
    middle = (low + high) / 2
    nearest = min(value - low, high - value, key=_nominal)
    return Judgement("between", value, (low, high), _room(nearest, middle))


def agrees(value: Any, other: Any, tolerance: float) -> Judgement:
    """Two values must agree within a tolerance, a share of the second."""
    gap = _size(value - other)
    return Judgement("agrees with", value, (other,), _room(tolerance * _size(other) - gap, other))


def _nominal(number: Any) -> float:
    return float(getattr(number, "nominal_value", number))


def _size(number: Any) -> Any:
    return number if _nominal(number) >= 0 else -number


def _room(distance: Any, size: Any) -> Any:
    number = abs(float(getattr(size, "nominal_value", size)))
    if distance == float("-inf") or distance == float("inf"):
        return distance
    return distance / number if number else distance
