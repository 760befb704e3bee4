"""The station as a whole: rigs, changeover, antennas, and the switch that kills everything."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builder.examine import Examination
from builder.rig.model import Station

from . import typeface
from .drawing import Drawing, Medium
from .markup import Line, linked, polyline, rectangle
from .theme import FINE, HEAVY, LARGE, SMALL, Box, Ink, finished

WIDE, TALL, GAP = 220.0, 56.0, 22.0
"""Of a box, and between boxes, in pixels."""
BETWEEN = 80.0
"""From column to column, in pixels."""
PADDING = 10.0


@dataclass(frozen=True)
class Column:
    """Boxes of one column, top to bottom."""

    boxes: tuple[tuple[str, str, str], ...]
    left: float

    def place(self, index: int, height: float) -> Box:
        """Where a box stands when the column is centred in a height."""
        total = len(self.boxes) * (TALL + GAP) - GAP
        top = (height - total) / 2 + index * (TALL + GAP)
        return Box(self.left, top, self.left + WIDE, top + TALL)


def station_diagram(station: Station, examinations: Sequence[Examination], medium: Medium) -> Drawing:
    """Rigs on the left, antennas on the right, what connects them between, the main switch below.

    Args:
        station: as its file describes it.
        examinations: of its rigs.
        medium: page or paper.
    """
    rigs = Column(tuple((item.rig.name, item.rig.what, f"rigs/{item.id}/index.html") for item in examinations), 0)
    antennas = Column(tuple((name, row.what, "") for name, row in station.antennas.items()), 2 * (WIDE + BETWEEN))
    height = max(len(rigs.boxes), len(antennas.boxes), 1) * (TALL + GAP) - GAP
    middle = Box(WIDE + BETWEEN, height / 2 - TALL / 2, 2 * WIDE + BETWEEN, height / 2 + TALL / 2)
    body = "".join(_links(rigs, antennas, middle, height))
    body += "".join(_box(rigs.place(at, height), row, medium) for at, row in enumerate(rigs.boxes))
    body += "".join(_box(antennas.place(at, height), row, medium) for at, row in enumerate(antennas.boxes))
    body += _box(middle, ("Changeover", station.changeover or "not recorded", ""), medium)
    wide = 3 * WIDE + 2 * BETWEEN
    body += _line(station, height, wide)
    frame = Box(0, 0, wide, height + GAP + TALL)
    return finished("station", f"The station {station.signs}", _told(rigs, antennas), body, frame, medium)


def _told(rigs: Column, antennas: Column) -> str:
    names = ", ".join(name for name, _what, _link in rigs.boxes)
    aerials = ", ".join(name for name, _what, _link in antennas.boxes) or "no antenna recorded"
    return f"{names} go through the changeover to: {aerials}. One main switch takes all of it off the line."


def _links(rigs: Column, antennas: Column, middle: Box, height: float) -> Iterator[str]:
    """Feeders, drawn with one bend in the middle of the free space."""
    for column, start, end in ((rigs, WIDE, middle.left), (antennas, antennas.left, middle.right)):
        for index in range(len(column.boxes)):
            box = column.place(index, height)
            y = (box.top + box.bottom) / 2
            bend = (start + end) / 2
            yield polyline(((start, y), (bend, y), (bend, height / 2), (end, height / 2)), width=HEAVY)


def _box(box: Box, row: tuple[str, str, str], medium: Medium) -> str:
    name, what, link = row
    room = WIDE - 2 * PADDING
    title = typeface.shortened(name, LARGE, room, bold=True)
    lines = typeface.wrapped(what, SMALL, room, 2)
    x = (box.left + box.right) / 2
    texts = [Line((x, box.top + 18), title, "middle", LARGE, bold=True)]
    texts += [Line((x, box.top + 33 + 14 * at), text, "middle", SMALL) for at, text in enumerate(lines)]
    inner = rectangle(box, fill=Ink.SOFT, corner=3) + "".join(map(str, texts))
    return linked(link, name, inner) if link and medium is Medium.PAGE else inner


def _line(station: Station, height: float, wide: float) -> str:
    """Main switch and line voltage."""
    text = f"Main switch: {station.main_switch or 'not recorded'}"
    lines = typeface.wrapped(text, SMALL, wide - 2 * PADDING, 2, bold=True)
    top = height + GAP
    box = Box(0, top, wide, top + 12 + ROW * len(lines))
    places = [(PADDING, top + 18 + ROW * at) for at in range(len(lines))]
    texts = [Line(place, row, "start", SMALL, Ink.LIMIT, bold=True) for place, row in zip(places, lines, strict=True)]
    return rectangle(box, width=FINE, ink=Ink.LIMIT) + "".join(map(str, texts))


ROW = 15.0
"""From one line of text to the next, in pixels."""
