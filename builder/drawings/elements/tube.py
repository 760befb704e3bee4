"""Tubes: triode, tetrode, beam tetrode, pentode, with cathode or filament; and rectifiers, hard or gas-filled."""

from __future__ import annotations

import math
from typing import Any

from builder.drawings.theme import HEAVY, WIRE, schemdraw

_elements = schemdraw().elements
_segments = schemdraw().segments

RADIUS = 0.95
"""Of the envelope, in units of the drawing."""
REACH = 1.15
"""How far leads reach from the centre."""
HALF = 0.4
"""Half the width of an electrode."""
PLATE = 0.5
CATHODE = -0.46
LEG = 0.3
"""Half the distance of the legs of a filament."""
LEVELS = {1: (0.0,), 2: (-0.16, 0.16), 3: (-0.2, 0.06, 0.3)}
"""Heights of the grids, control grid first, by their number."""
DASHES = 3


class Tube(_elements.Element):  # type: ignore[misc,name-defined]
    """A tube upright round the origin: plate above, cathode below, control grid to the left, screen to the right.

    Args:
        grids: how many.
        filament: whether the cathode is directly heated.
        beam: whether beam plates are drawn.
        gas: whether the filling is marked by a dot.

    Anchors: anode, control, screen, cathode; heat1 and heat2 with a filament.
    """

    def __init__(
        self, *, grids: int, filament: bool = False, beam: bool = False, gas: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(**kwargs)
        self.elmparams["theta"] = 0
        self.elmparams["drop"] = (0, 0)
        self.segments.append(_segments.SegmentCircle((0, 0), RADIUS, lw=WIRE))
        self._anode()
        levels = LEVELS.get(grids, ())
        for level in levels:
            self._grid(level)
        self._leads(levels)
        self._emitter(filament=filament)
        if beam:
            self._beam()
        if gas:
            self.segments.append(_segments.SegmentCircle((0.52, -0.3), 0.09, fill=True))

    def _anode(self) -> None:
        """A heavy bar with its lead upward."""
        self.segments.append(_segments.Segment([(-HALF, PLATE), (HALF, PLATE)], lw=HEAVY + 0.6))
        self.segments.append(_segments.Segment([(0, PLATE), (0, REACH)]))
        self.anchors["anode"] = (0, REACH)

    def _grid(self, level: float) -> None:
        """A dashed line."""
        step = 2 * HALF / (2 * DASHES - 1)
        for dash in range(DASHES):
            left = -HALF + 2 * dash * step
            self.segments.append(_segments.Segment([(left, level), (left + step, level)], lw=HEAVY))

    def _leads(self, levels: tuple[float, ...]) -> None:
        """Control grid to the left, screen to the right, suppressor to the cathode inside the envelope."""
        if levels:
            self.segments.append(_segments.Segment([(-HALF, levels[0]), (-REACH, levels[0])]))
            self.anchors["control"] = (-REACH, levels[0])
        if len(levels) > 1:
            self.segments.append(_segments.Segment([(HALF, levels[1]), (REACH, levels[1])]))
            self.anchors["screen"] = (REACH, levels[1])
        if len(levels) > 2:
            inside = [(-HALF, levels[2]), (-0.62, levels[2]), (-0.62, CATHODE - 0.12), (-HALF, CATHODE - 0.12)]
            self.segments.append(_segments.Segment(inside))

    def _emitter(self, *, filament: bool) -> None:
        """A cathode, or a filament with two legs."""
        if filament:
            self.segments.append(
                _segments.Segment(
                    [(-LEG, -REACH), (-LEG, CATHODE - 0.25), (0, CATHODE + 0.1), (LEG, CATHODE - 0.25), (LEG, -REACH)]
                )
            )
            self.anchors["heat1"], self.anchors["heat2"] = (-LEG, -REACH), (LEG, -REACH)
            self.anchors["cathode"] = (-LEG, -REACH)
            return
        low = CATHODE - 0.12
        self.segments.append(
            _segments.Segment([(-HALF, low), (-HALF, CATHODE), (HALF, CATHODE), (HALF, low)], lw=HEAVY)
        )
        self.segments.append(_segments.Segment([(-HALF, low), (-HALF, -REACH)]))
        self.anchors["cathode"] = (-HALF, -REACH)

    def _beam(self) -> None:
        """Beam plates at either side of the stream."""
        for side in (-1, 1):
            shape = [(side * 0.44, 0.26), (side * 0.6, 0.26), (side * 0.6, 0.4), (side * 0.44, 0.4)]
            self.segments.append(_segments.Segment(shape, lw=WIRE))


class Rectifier(_elements.Element2Term):  # type: ignore[misc,name-defined]
    """A rectifier tube from its plate at the start to its cathode at the end, with a dot where it is gas-filled.

    Args:
        gas: whether the filling is marked.
        filament: whether the cathode is directly heated.
    """

    def __init__(self, *, gas: bool = False, filament: bool = True, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        radius, middle = 0.62, 0.62
        plate, emitter = middle - 0.26, middle + 0.22
        self.segments.append(_segments.Segment([(0, 0), (plate, 0), (math.nan, math.nan), (2 * radius, 0)]))
        self.segments.append(_segments.SegmentCircle((middle, 0), radius, lw=WIRE))
        self.segments.append(_segments.Segment([(plate, -0.28), (plate, 0.28)], lw=HEAVY + 0.6))
        if filament:
            self.segments.append(
                _segments.Segment([(emitter + 0.2, 0.18), (emitter - 0.08, 0), (emitter + 0.2, -0.18)])
            )
            self.segments.append(_segments.Segment([(emitter - 0.08, 0), (2 * radius, 0)]))
        else:
            self.segments.append(
                _segments.Segment(
                    [(emitter + 0.1, 0.26), (emitter, 0.26), (emitter, -0.26), (emitter + 0.1, -0.26)], lw=HEAVY
                )
            )
            self.segments.append(_segments.Segment([(emitter, 0), (2 * radius, 0)]))
        if gas:
            self.segments.append(_segments.SegmentCircle((middle, -0.4), 0.08, fill=True))


class Glow(_elements.Element2Term):  # type: ignore[misc,name-defined]
    """A glow tube that holds a voltage, from its plate at the start to its cold cathode at the end."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        radius = middle = 0.62
        plate, cathode = middle - 0.26, middle + 0.18
        self.segments.append(
            _segments.Segment([(0, 0), (plate, 0), (math.nan, math.nan), (cathode, 0), (2 * radius, 0)])
        )
        self.segments.append(_segments.SegmentCircle((middle, 0), radius, lw=WIRE))
        self.segments.append(_segments.Segment([(plate, -0.24), (plate, 0.24)], lw=HEAVY + 0.6))
        self.segments.append(_segments.SegmentCircle((cathode, 0), 0.1))
        self.segments.append(_segments.SegmentCircle((middle, -0.4), 0.08, fill=True))
