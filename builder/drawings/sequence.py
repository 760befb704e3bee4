"""Sequence diagrams: what an action of the operator brings about, lane by lane, cause by cause; time not to scale."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from builder.account.switching import CARRIER, FINEST, Action, Edge, Lane, actions
from builder.examination.judge import SHAPE
from builder.examine import Examination
from builder.rig.timing import HIGH_VOLTAGE

from . import typeface
from .block import arrow
from .drawing import Drawing, Medium, Plan, drawing
from .markup import Line, polyline, rectangle
from .theme import FINE, SMALL, Box, Ink, finished

KIND = "sequence diagram"
PITCH, HALF_BAR, CLEAR = 26.0, 5.0, 10.5
"""From lane to lane, half of a bar, and how far from the middle of a lane its arrows run, in pixels."""
BEFORE, AFTER, LEAST = 26.0, 34.0, 34.0
"""Room before the first moment and behind the last, and between two, in pixels."""
HEAD = 36.0
BAND = 8.0
"""Half-width of the hatched band of a spread."""
WIDEST_LABEL = 168.0
COLOURS = {"hand": Ink.TEXT, "relay": Ink.SIXTH, CARRIER: Ink.FOURTH, "drive": Ink.FOURTH}
CONTACTS = ("antenna", "input", "cathode", "receiver")


@drawing(KIND)
def sequence_diagrams(examination: Examination) -> Iterator[Plan]:
    """One for each action of a rig whose control is described."""
    for action in actions(examination):
        name = f"sequence-{action.name.replace('_', '-')}"
        yield Plan(name, KIND, "rig", partial(made, examination, action, name))


@dataclass(frozen=True)
class Layout:
    """Where moments and lanes stand.

    Args:
        columns: x of each moment, by its time.
        lanes: y of the middle of each lane, by its name.
        left: where the bars begin.
        right: where they end.
    """

    columns: Mapping[float, float]
    lanes: Mapping[str, float]
    left: float
    right: float

    def x(self, at: float) -> float:
        """Where a moment stands; the ends of the diagram stand for always."""
        if not math.isfinite(at):
            return self.left if at < 0 else self.right
        return self.columns[min(self.columns, key=lambda moment: abs(moment - at))]


def made(examination: Examination, action: Action, name: str, medium: Medium) -> Drawing:
    """Lanes from top to bottom, moments from left to right."""
    layout = layout_of(action)
    body = guides(action, layout) + "".join(lane(each, layout) for each in action.lanes)
    body += "".join(shown for edge in action.edges for shown in (spread(edge, layout), cause(edge, layout)))
    rows = [*labels(action, layout), *heads(action, layout)]
    below = HEAD + PITCH * len(action.lanes) + 6
    rows += list(notes(action, layout.right, below))
    body += "".join(map(str, rows))
    frame = Box(0, 0, layout.right, below)
    for row in rows:
        frame = frame.with_box(row.box)
    title = f"{action.title}: what follows what in {examination.rig.name}"
    return finished(name, title, told(action), body, frame, medium)


def told(action: Action) -> str:
    """The events in words."""
    return "; ".join(f"{edge.time}: {edge.what}" for edge in action.edges) + "."


def moments(action: Action) -> list[tuple[float, Edge]]:
    """Moments that differ, each with the first edge that happens then."""
    found: list[tuple[float, Edge]] = []
    for edge in action.edges:
        if not found or edge.at - found[-1][0] > FINEST:
            found.append((edge.at, edge))
    return found


def layout_of(action: Action) -> Layout:
    """Columns as wide as their times, lanes one below another."""
    label = max((typeface.width(mark(each), SMALL) for each in action.lanes), default=0.0)
    left = min(label, WIDEST_LABEL) + 10
    columns: dict[float, float] = {}
    at, before = left + BEFORE, 0.0
    for moment, edge in moments(action):
        half = max(typeface.width(row, SMALL) for row in time_rows(edge)) / 2 + 4
        at += max(LEAST, before + half) if columns else max(0.0, half - BEFORE)
        columns[moment], before = at, half
    lanes = {each.name: HEAD + PITCH * (index + 0.5) for index, each in enumerate(action.lanes)}
    return Layout(columns, lanes, left, at + max(AFTER, before))


def time_rows(edge: Edge) -> tuple[str, ...]:
    """The time of a moment on one or two lines."""
    main, sign, half = edge.time.partition(" ± ")
    return (main, f"± {half}") if sign else (main,)


def heads(action: Action, layout: Layout) -> Iterator[Line]:
    """Times over their moments; what a hand does in bold."""
    for moment, edge in moments(action):
        x = layout.columns[moment]
        hand = any(other.by_hand and abs(other.at - moment) <= FINEST for other in action.edges)
        for at, row in enumerate(time_rows(edge)):
            yield Line((x, 11 + 13 * at), row, "middle", SMALL, Ink.TEXT if not at else Ink.FAINT, hand)


def mark(each: Lane) -> str:
    """Title of a lane behind the shape of what is found about it."""
    shapes = "".join(dict.fromkeys(SHAPE[row.verdict] for row in each.findings))
    return f"{shapes} {each.title}" if shapes else each.title


def labels(action: Action, layout: Layout) -> Iterator[Line]:
    """What each lane is."""
    for each in action.lanes:
        y = layout.lanes[each.name] + 0.36 * SMALL
        text = typeface.shortened(mark(each), SMALL, WIDEST_LABEL)
        yield Line((0, y), text, size=SMALL, ink=Ink.LIMIT if each.findings else Ink.TEXT)


def guides(action: Action, layout: Layout) -> str:
    """A fine line down from each moment, and one along each lane."""
    bottom = HEAD + PITCH * len(action.lanes)
    drawn = "".join(
        polyline(((x, HEAD - 2), (x, bottom)), ink=Ink.FAINT, width=0.5, dashes="1 4") for x in layout.columns.values()
    )
    return drawn + "".join(
        polyline(((layout.left, y), (layout.right, y)), ink=Ink.FAINT, width=0.6) for y in layout.lanes.values()
    )


def ink_of(each: Lane) -> Ink:
    """Colour of a lane by what it is."""
    if each.kind in HIGH_VOLTAGE or each.kind == "screen":
        return Ink.SECOND
    return COLOURS.get(each.kind, Ink.FIRST if each.kind in CONTACTS else Ink.THIRD)


def lane(each: Lane, layout: Layout) -> str:
    """Hollow bars while something is on, solid ones while it is there in full behind closed contacts."""
    ink, y = ink_of(each), layout.lanes[each.name]
    hollow = (Box(layout.x(a), y - HALF_BAR, layout.x(b), y + HALF_BAR) for a, b in each.on)
    drawn = "".join(rectangle(box, fill=Ink.SOFT, ink=ink, width=FINE) for box in hollow)
    solid = (Box(layout.x(a), y - HALF_BAR, layout.x(b), y + HALF_BAR) for a, b in each.full)
    return drawn + "".join(rectangle(box, fill=ink, ink=None) for box in solid if box.right > box.left)


def spread(edge: Edge, layout: Layout) -> str:
    """Hatching where an event may lie anywhere, or where a contact bounces."""
    if edge.half <= FINEST and not edge.bounce:
        return ""
    x, y = layout.x(edge.at), layout.lanes[edge.lane]
    box = Box(x - BAND, y - HALF_BAR, x + (BAND if edge.half > FINEST else 0), y + HALF_BAR)
    drawn = rectangle(box, fill=Ink.SOFT, ink=Ink.FAINT, width=0.7)
    steps = range(round((box.right - box.left) / 4))
    starts = [box.left + 4 * step for step in steps]
    return drawn + "".join(polyline(((at, box.bottom), (min(at + 6, box.right), box.top)), width=0.9) for at in starts)


def cause(edge: Edge, layout: Layout) -> str:
    """A line from what brings something about to where it happens."""
    if edge.cause is None or edge.lane == CARRIER or edge.kind in {"ready", "open"}:
        return ""
    source, begun = edge.cause
    if source not in layout.lanes or source == edge.lane:
        return ""
    x, y, start, end = layout.x(edge.at), layout.lanes[edge.lane], layout.x(begun), layout.lanes[source]
    side = 1 if end < y else -1
    level, tip = y - side * CLEAR, y - side * HALF_BAR
    bend = ((start, level), (x, level)) if abs(x - start) >= 1 else ()
    return polyline(((start, end + side * HALF_BAR), *bend, (x, tip)), width=FINE) + arrow(
        (x, level), (x, tip), Ink.TEXT, 2.2
    )


def notes(action: Action, right: float, top: float) -> Iterator[Line]:
    """Findings with their numbers."""
    found = [row for each in action.lanes for row in each.findings]
    texts = [
        (f"{SHAPE[row.verdict]} {row.check.title}: {row.value_text}, {row.limit_text} ({row.verdict})", Ink.LIMIT)
        for row in {row.id: row for row in found}.values()
    ]
    y = top
    for text, ink in texts:
        for row in typeface.wrapped(text, SMALL, max(right, 330.0), 6):
            y += 14
            yield Line((0, y), row, size=SMALL, ink=ink)
