"""Symbols that the library of circuit symbols lacks, and the table of all that drawings use."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from builder.drawings.theme import schemdraw

from .tube import Glow, Rectifier

_elements = schemdraw().elements
_segments = schemdraw().segments

BUMP = 0.14
"""Radius of a turn of a coil, in units of the drawing."""


class Coil(_elements.Element2Term):  # type: ignore[misc,name-defined]
    """A coil of half circles; with two lines beside it where it has an iron core.

    Args:
        iron: whether the core is drawn.
        turns: how many half circles.
    """

    def __init__(self, *, iron: bool = False, turns: int = 4, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        long = 2 * BUMP * turns
        self.segments.append(_segments.Segment([(0, 0), (math.nan, math.nan), (long, 0)]))
        for turn in range(turns):
            center = (BUMP * (2 * turn + 1), 0)
            self.segments.append(_segments.SegmentArc(center, 2 * BUMP, 2.3 * BUMP, theta1=0, theta2=180))
        for height in (0.26, 0.34) if iron else ():
            self.segments.append(_segments.Segment([(0.02, height), (long - 0.02, height)]))


class Meter(_elements.Element2Term):  # type: ignore[misc,name-defined]
    """A meter: a circle in the line; its letters are laid over it by the drawing."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.segments.append(_segments.Segment([(0, 0), (math.nan, math.nan), (0.9, 0)]))
        self.segments.append(_segments.SegmentCircle((0.45, 0), 0.45))


class Fuse(_elements.Element2Term):  # type: ignore[misc,name-defined]
    """A fuse: a wave between two terminals."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.segments.append(_segments.Segment([(0, 0), (math.nan, math.nan), (0.8, 0)]))
        self.segments.append(_segments.SegmentArc((0.2, 0), 0.4, 0.36, theta1=0, theta2=180))
        self.segments.append(_segments.SegmentArc((0.6, 0), 0.4, 0.36, theta1=180, theta2=360))


class Chassis(_elements.Element):  # type: ignore[misc,name-defined]
    """The chassis: three strokes below a bar."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.elmparams["theta"] = 0
        self.segments.append(_segments.Segment([(0, 0), (0, -0.16)]))
        self.segments.append(_segments.Segment([(-0.24, -0.16), (0.24, -0.16)]))
        for left in (-0.24, 0.0, 0.24):
            self.segments.append(_segments.Segment([(left, -0.16), (left - 0.12, -0.38)]))


class Terminal(_elements.Element):  # type: ignore[misc,name-defined]
    """An open circle.

    Args:
        radius: of the circle.
    """

    def __init__(self, *, radius: float, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.elmparams["theta"] = 0
        self.segments.append(_segments.SegmentCircle((0, 0), radius))


class Hop(_elements.Element):  # type: ignore[misc,name-defined]
    """The half circle by which one wire passes over another without touching it.

    Args:
        radius: of the half circle.
        across: whether the passing wire is level.
    """

    def __init__(self, *, radius: float, across: bool = False, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.elmparams["theta"] = 0
        start = 0 if across else -90
        arc = _segments.SegmentArc((0, 0), 2 * radius, 2 * radius, theta1=start, theta2=start + 180)
        self.segments.append(arc)


SYMBOLS: dict[str, Callable[[], Any]] = {
    "resistor": _elements.ResistorIEEE,
    "potentiometer": _elements.PotentiometerIEEE,
    "capacitor": _elements.Capacitor,
    "variable": _elements.CapacitorVar,
    "coil": Coil,
    "choke": lambda: Coil(turns=5),
    "iron choke": lambda: Coil(iron=True),
    "link": lambda: Coil(turns=2),
    "filament winding": lambda: Coil(turns=4),
    "winding": lambda: Coil(turns=8),
    "crystal": _elements.Crystal,
    "diode": lambda: _elements.Diode(fill=True),
    "gas rectifier": lambda: Rectifier(gas=True),
    "tube rectifier": Rectifier,
    "glow tube": Glow,
    "heated rectifier": lambda: Rectifier(filament=False),
    "meter": Meter,
    "fuse": Fuse,
    "switch": _elements.Switch,
}
"""Every symbol with two ends that drawings use, by what it is."""
HALF_WIDTH = {"resistor": 0.25, "potentiometer": 0.25, "variable": 0.36, "meter": 0.45, "gas rectifier": 0.62,
              "tube rectifier": 0.62, "heated rectifier": 0.62, "glow tube": 0.62, "iron choke": 0.36, "switch": 0.42,
              }  # fmt: skip
"""How far a symbol reaches from its axis; 0.28 where it is not listed."""
