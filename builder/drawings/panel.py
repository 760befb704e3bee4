"""Front views of panels and decks, to scale: openings, what sits in them, what is written beside them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import partial

from builder.examine import Examination
from builder.rig.model import Opening, Panel

from .drawing import Drawing, Medium, Plan, drawing
from .markup import Line, Point, circle, polygon, polyline, rectangle
from .theme import FINE, MILLIMETRES, SMALL, WIRE, Box, Ink, finished
from .typeface import wrapped

KIND = "panel"
WIDEST = 680.0
"""Pixels that a wide panel is drawn on."""
LARGEST = 1 / (MILLIMETRES / 1000)
"""Pixels for each metre at natural size; no panel is drawn larger."""
NARROW = 80.0
"""Width to which a label is broken where it fits nowhere in one line."""
STEP = 1.2 * SMALL
CAPTION = "Illustration, made from the rig file"


@drawing(KIND)
def panels(examination: Examination) -> Iterator[Plan]:
    """One for each panel of the rig."""
    for name, panel in examination.rig.panels.items():
        yield Plan(f"panel-{name.replace(' ', '-')}", KIND, f"panels.{name}", partial(made, name, panel))


def made(name: str, panel: Panel, medium: Medium) -> Drawing:
    """Draw one panel.

    Args:
        name: of the panel.
        panel: its size and openings.
        medium: where it is seen.
    """
    scale = min(WIDEST / panel.width.value, LARGEST)
    wide, high = panel.width.value * scale, panel.height.value * scale
    body = rectangle(Box(0, 0, wide, high), fill=Ink.SOFT, corner=2)
    centers = tuple((opening.x.value * scale, high - opening.y.value * scale) for opening in panel.openings)
    for opening, center in zip(panel.openings, centers, strict=True):
        body += SHAPES[opening.shape](opening, center, scale)
    rows = labels(panel, centers, scale, Box(0, 0, wide, high))
    rows.append(Line((wide / 2, high + 46), CAPTION, "middle", SMALL, Ink.FAINT))
    rows.append(Line((wide / 2, high + 29), str(panel.width), "middle", SMALL, Ink.FAINT))
    body += dimensions(panel, wide, high)
    frame = Box(-34, 0, wide, high + 40)
    for line in rows:
        frame = frame.with_box(line.box)
    told = f"{panel.what}, {panel.width} by {panel.height}, with {len(panel.openings)} openings, drawn to scale."
    return finished(f"panel-{name.replace(' ', '-')}", panel.what, told, body + "".join(map(str, rows)), frame, medium)


def radius(opening: Opening, scale: float) -> float:
    """Of what is seen in front, in pixels."""
    return (opening.face or opening.hole).value * scale / 2


def labels(panel: Panel, centers: tuple[Point, ...], scale: float, frame: Box) -> list[Line]:
    """Lettering and designator of every opening, each where it covers nothing else.

    Args:
        panel: with its openings.
        centers: of the openings, in pixels.
        scale: pixels for each metre.
        frame: the edge of the panel.
    """
    shapes = [box_round(center, radius(each, scale)) for each, center in zip(panel.openings, centers, strict=True)]
    placed: list[Line] = []
    for opening, center in zip(panel.openings, centers, strict=True):
        taken = [*shapes, *(line.box for line in placed)]
        tries = list(places(opening, center, radius(opening, scale)))
        free = (rows for rows in tries if all(fits(row.box, taken, frame) for row in rows))
        inside = tries[0] if opening.shape == "can" and roomy(tries[0], radius(opening, scale)) else None
        placed += inside or next(free, tries[1])
    return placed


def roomy(rows: list[Line], r: float) -> bool:
    """Whether lines of text fit into a can."""
    return all(row.box.right - row.box.left < 1.6 * r for row in rows) and r > 2 * SMALL


def box_round(center: Point, r: float) -> Box:
    """The square round a circle."""
    return Box(center[0], center[1], center[0], center[1]).around(r)


def fits(box: Box, taken: list[Box], frame: Box) -> bool:
    """Whether a box lies inside the frame and on nothing that is taken."""
    inside = frame.left < box.left and box.right < frame.right and frame.top < box.top and box.bottom < frame.bottom
    return inside and not any(box.around(1.5).meets(other) for other in taken)


def places(opening: Opening, center: Point, r: float) -> Iterator[list[Line]]:
    """Lines of an opening's label at one place after another: inside, below, above, right, left; then in two lines."""
    x, y = center
    for room in (1000.0, NARROW):
        words = wrapped(opening.label or "", SMALL, room, 2, bold=True)
        tall = STEP * (len(words) + (opening.part is not None))
        yield written(opening, words, (x, y - tall / 2), "middle")
        yield written(opening, words, (x, y + r + 2), "middle")
        yield written(opening, words, (x, y - r - tall - 2), "middle")
        yield written(opening, words, (x + r + 4, y - tall / 2), "start")
        yield written(opening, words, (x - r - 4, y - tall / 2), "end")


def written(opening: Opening, words: tuple[str, ...], top: Point, anchor: str) -> list[Line]:
    """The lines of a label down from a point."""
    x, y = top
    rows = [Line((x, y + STEP * (at + 0.8)), text, anchor, SMALL, bold=True) for at, text in enumerate(words)]
    if opening.part:
        rows.append(Line((x, y + STEP * (len(words) + 0.8)), opening.part, anchor, SMALL - 1, Ink.FIRST))
    return rows


def dimensions(panel: Panel, wide: float, high: float) -> str:
    """Width below, height at the left, with arrows."""
    y, x = high + 16, -16.0
    drawn = polyline(((0, y), (wide, y)), ink=Ink.FAINT, width=FINE) + tips((0, y), (wide, y))
    drawn += polyline(((x, 0), (x, high)), ink=Ink.FAINT, width=FINE) + tips((x, 0), (x, high))
    text = str(panel.height)
    turned = f'<g transform="rotate(-90 {x - 5:.2f} {high / 2:.2f})">'
    return drawn + turned + str(Line((x - 5, high / 2), text, "middle", SMALL, Ink.FAINT)) + "</g>"


def tips(start: Point, end: Point) -> str:
    """Arrow heads at both ends of a dimension line, and the short lines that they touch."""
    level = start[1] == end[1]
    drawn = ""
    for (x, y), sign in ((start, 1), (end, -1)):
        across = ((x, y), (x + 7 * sign, y - 2.5), (x + 7 * sign, y + 2.5))
        upright = ((x, y), (x - 2.5, y + 7 * sign), (x + 2.5, y + 7 * sign))
        drawn += polygon(across if level else upright, Ink.FAINT)
        stop = ((x, y - 6), (x, y + 6)) if level else ((x - 6, y), (x + 6, y))
        drawn += polyline(stop, ink=Ink.FAINT, width=FINE)
    return drawn


def knob(opening: Opening, center: Point, scale: float) -> str:
    """A skirted knob with its pointer up."""
    r = radius(opening, scale)
    x, y = center
    drawn = circle(center, r, width=WIRE) + circle(center, 0.68 * r)
    return drawn + polyline(((x, y - 0.2 * r), (x, y - r)), width=2)


def meter(opening: Opening, center: Point, scale: float) -> str:
    """A square meter with arc and needle."""
    r = radius(opening, scale)
    x, y = center
    drawn = rectangle(Box(x - r, y - r, x + r, y + r), corner=0.12 * r)
    angles = [math.radians(135 - 9 * step) for step in range(11)]
    arc = [(x + 1.0 * r * math.cos(a) * 0.95, y + 0.45 * r - 0.95 * r * math.sin(a)) for a in angles]
    needle = math.radians(70)
    tip = (x + 0.85 * r * math.cos(needle), y + 0.45 * r - 0.85 * r * math.sin(needle))
    return (
        drawn + polyline(arc) + polyline(((x, y + 0.45 * r), tip), ink=Ink.LIMIT) + circle((x, y + 0.45 * r), 0.07 * r)
    )


def lamp(opening: Opening, center: Point, scale: float) -> str:
    """A round lens with a cross."""
    r = radius(opening, scale)
    x, y = center
    d = 0.7 * r
    drawn = circle(center, r, width=WIRE)
    return (
        drawn
        + polyline(((x - d, y - d), (x + d, y + d)), width=FINE)
        + polyline(((x - d, y + d), (x + d, y - d)), width=FINE)
    )


def switch(opening: Opening, center: Point, scale: float) -> str:
    """A toggle with its nut, lever up."""
    r = radius(opening, scale)
    x, y = center
    nut = [(x + r * math.cos(math.radians(60 * k)), y + r * math.sin(math.radians(60 * k))) for k in range(7)]
    lever = Box(x - 0.28 * r, y - 1.1 * r, x + 0.28 * r, y + 0.2 * r)
    return polyline(nut) + rectangle(lever, fill=Ink.SOFT, corner=0.28 * r)


def jack(opening: Opening, center: Point, scale: float) -> str:
    """A nut round a hole."""
    r = radius(opening, scale)
    return circle(center, r, width=WIRE) + circle(center, 0.45 * r, fill=Ink.TEXT)


def socket(opening: Opening, center: Point, scale: float) -> str:
    """A tube socket: a ring of contacts round the middle."""
    r = radius(opening, scale)
    x, y = center
    drawn = circle(center, r, width=WIRE)
    for k in range(8):
        a = math.radians(45 * k + 22.5)
        drawn += circle((x + 0.62 * r * math.cos(a), y + 0.62 * r * math.sin(a)), max(1.0, 0.09 * r), fill=Ink.TEXT)
    return drawn


def can(opening: Opening, center: Point, scale: float) -> str:
    """A can seen from above."""
    r = radius(opening, scale)
    return circle(center, r, width=WIRE) + circle(center, 0.86 * r, ink=Ink.FAINT)


def screw(opening: Opening, center: Point, scale: float) -> str:
    """A slotted head."""
    r = radius(opening, scale)
    x, y = center
    return circle(center, r) + polyline(((x - 0.7 * r, y - 0.7 * r), (x + 0.7 * r, y + 0.7 * r)), width=FINE)


SHAPES: dict[str, Callable[[Opening, Point, float], str]] = {
    "knob": knob, "meter": meter, "lamp": lamp, "switch": switch, "jack": jack, "socket": socket, "can": can,
    "screw": screw,
}  # fmt: skip
"""How each shape of the rig file looks from the front."""
