"""A circuit on its way to a drawing: symbols at places, wires between them, text beside them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Any

from builder.quantity import show
from builder.rig.model import Meter
from builder.rig.part import Part

from . import theme, typeface
from .drawing import Drawing, Medium
from .markup import Line
from .theme import SIZE, SMALL, WIRE, Box, Ink, number

Point = tuple[float, float]
UNIT = 36.0
"""Pixels for each unit of length in a circuit."""
LEADING = 1.22
"""Distance of baselines, in sizes of the type."""
GAP = 0.12
"""Between a symbol and its label, in units."""
PORT = 0.08
"""Radius of a terminal, in units."""

BESIDE = 0.24
"""Between a terminal and words that do not stand where its wire was heading, so that they clear the part before it."""
HOP = 0.14
"""Radius of the half circle by which one wire passes over another, in units."""
DIRECTION = {"middle": (0, 0), "right": (1, 0), "left": (-1, 0), "above": (0, 1), "below": (0, -1)}


class Schematic:
    """Collects symbols and text. Units: a vertical or horizontal part is two of them long; y points upward.

    Args:
        parts: of the rig, by designator.
    """

    def __init__(self, parts: Mapping[str, Part]) -> None:
        from .elements import symbols

        self._symbols = symbols
        self._drawing = theme.schemdraw().Drawing(show=False, canvas="svg")
        self._drawing.config(color=Ink.TEXT.value, lw=WIRE)
        self._elements = theme.schemdraw().elements
        self.parts = parts
        self.lines: list[Line] = []

    def add(self, element: Any) -> Any:
        """Put in an element that has its place."""
        return self._drawing.add(element)

    def wire(self, *points: Point) -> None:
        """A wire through points."""
        segment = self._elements.Line
        for start, end in pairwise(points):
            if start != end:
                self.add(segment().at(start).to(end))

    def dot(self, *points: Point) -> None:
        """Joints."""
        for point in points:
            self.add(self._elements.Dot(radius=0.065).at(point))

    def ground(self, *points: Point) -> None:
        """Connections to the chassis."""
        for point in points:
            self.add(self._symbols.Chassis().at(point))

    def hop(self, start: Point, end: Point, *crossed: float) -> None:
        """An upright wire from bottom to top that passes over level wires at the heights named."""
        x, y = start
        for height in sorted(crossed):
            self.wire((x, y), (x, height - HOP))
            self.add(self._symbols.Hop(radius=HOP).at((x, height)))
            y = height + HOP
        self.wire((x, y), end)

    def hop_across(self, point: Point) -> None:
        """The half circle by which a level wire passes over an upright one."""
        self.add(self._symbols.Hop(radius=HOP, across=True).at(point))

    def part(
        self,
        symbol: str,
        designator: str | None,
        start: Point,
        end: Point,
        side: str = "right",
        more: Iterable[str] = (),
    ) -> None:
        """A part with its designator and value; a straight wire where the rig file names none.

        Args:
            symbol: key of SYMBOLS.
            designator: of the part.
            start: one end.
            end: the other.
            side: right, left, above or below: where its label stands.
            more: further lines of its label.
        """
        if designator is None:
            self.wire(start, end)
            return
        self.symbol(symbol, start, end)
        self.label(self._symbols.HALF_WIDTH.get(symbol, 0.28), designator, start, end, side, more)

    def symbol(self, symbol: str, start: Point, end: Point) -> Any:
        """A symbol without any label."""
        return self.add(self._symbols.SYMBOLS[symbol]().at(start).to(end))

    def core(self, top: Point, length: float) -> None:
        """The iron of a transformer: two lines down from a point."""
        for shift in (-0.05, 0.05):
            self.wire((top[0] + shift, top[1]), (top[0] + shift, top[1] - length))

    def label(
        self, half: float, designator: str, start: Point, end: Point, side: str = "right", more: Iterable[str] = ()
    ) -> None:
        """Designator and value of a part beside its symbol."""
        texts = (designator, *self.value(designator), *more)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        reach = half + GAP
        across, up = DIRECTION[side]
        self.words((middle[0] + reach * across, middle[1] + reach * up), texts, side)

    def value(self, designator: str) -> tuple[str, ...]:
        """The value of a part as text; nothing where it has none."""
        part = self.parts.get(designator)
        return (show(part.value.value, part.value.unit),) if part and part.value else ()

    def words(
        self, point: Point, texts: Iterable[str], side: str = "right", ink: Ink = Ink.TEXT, size: float = SIZE
    ) -> None:
        """Lines of text standing right of, left of, above or below a point."""
        rows = [text for text in texts if text]
        step = LEADING * size
        x, y = point[0] * UNIT, -point[1] * UNIT
        tall = step * (len(rows) - 1) + typeface.ASCENT * size
        top = {"above": y - tall - 0.1 * size, "below": y}.get(side, y - tall / 2)
        anchor = {"right": "start", "left": "end"}.get(side, "middle")
        for row, text in enumerate(rows):
            base = top + typeface.ASCENT * size + row * step
            self.lines.append(Line((x, base), text, anchor, size, ink))

    def port(self, point: Point, toward: str, texts: Iterable[str], side: str = "") -> None:
        """A terminal to another stage, with words beyond it or beside it.

        Args:
            point: where the wire ends.
            toward: left, right, above or below: where the wire was heading.
            texts: lines.
            side: that the words stand on; where the wire was heading if left out.
        """
        across, up = DIRECTION[toward]
        x, y = point[0] + PORT * across, point[1] + PORT * up
        self.add(self._symbols.Terminal(radius=PORT).at((x, y)))
        across, up = DIRECTION[side or toward]
        away = PORT + (0.1 if side in {"", toward} else BESIDE)
        self.words((x + away * across, y + away * up), texts, side or toward, Ink.FIRST, SMALL)

    def put_meter(self, meter: Meter | None, start: Point, end: Point, side: str = "right") -> None:
        """A meter in a line, or a plain wire where there is none."""
        if meter is None:
            self.wire(start, end)
            return
        self.symbol("meter", start, end)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self.words(middle, ("mA" if meter.range.unit == "A" else meter.range.unit,), "middle", size=SMALL)
        across, up = DIRECTION[side]
        spot = (middle[0] + 0.57 * across, middle[1] + 0.57 * up)
        self.words(spot, (meter.part or "", meter.label), side, size=SMALL)

    def foot(self) -> float:
        """Height of the lowest thing so far, in units."""
        drawn = float(self._drawing.get_bbox().ymin)
        return min([drawn, *(-line.box.bottom / UNIT for line in self.lines)])

    def drawing(self, name: str, title: str, description: str, medium: Medium) -> Drawing:
        """Finish it.

        Args:
            name: of the drawing.
            title: in a few words.
            description: for those who cannot see it.
            medium: where it is seen.
        """
        raw = self._drawing.get_imagedata("svg").decode()
        view = re.search(r'viewBox="([^"]+)"', raw)
        left, top, wide, high = (float(part) for part in view[1].split()) if view else (0.0, 0.0, 1.0, 1.0)
        box = Box(left, top, left + wide, top + high)
        for line in self.lines:
            box = box.with_box(line.box)
        style = f'stroke-width="{number(WIRE)}" stroke-linecap="round" stroke-linejoin="round"'
        body = f'<g fill="none" stroke="{Ink.TEXT}" {style}>{_lean(raw)}</g>'
        return theme.finished(name, title, description, body + "".join(map(str, self.lines)), box, medium)


def _lean(raw: str) -> str:
    """The elements that the library drew, without what the group round them says once for all."""
    inner = raw[raw.index(">", raw.index("<svg")) + 1 : raw.rindex("</svg>")]
    inner = inner.replace("stroke-dasharray:-;", "")
    usual = f"stroke:{Ink.TEXT};fill:none;stroke-width:{number(WIRE)};"
    for ends in ("stroke-linecap:round;stroke-linejoin:round;", ""):
        inner = inner.replace(f' style="{usual}{ends}"', "")
    return re.sub(r"-?\d+\.\d{3,}", lambda match: number(float(match.group())), inner)
