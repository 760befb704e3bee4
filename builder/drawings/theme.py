"""One look for all drawings: colours, lines, type; and the last step, which fits a drawing for page or paper."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from enum import StrEnum
from functools import cache
from html import escape
from typing import Any, NamedTuple

from .drawing import Drawing, Medium

FAMILY = "DejaVu Sans, Verdana, sans-serif"
SIZE = 12.0
"""Type of labels, in pixels."""
SMALL = 11.0
"""Type of values and notes, in pixels."""
LARGE = 13.0
"""Type of titles, in pixels."""
WIRE = 1.5
"""Width of wires and symbols, in pixels."""
HEAVY = 2.0
"""Width of what carries the eye: outlines, curves."""
FINE = 1.0
"""Width of guides and of dimension lines."""
MARGIN = 8.0
"""Free border round a drawing, in pixels."""
MILLIMETRES = 0.25
"""Millimetres on paper for each pixel, so that 12 px become 8.5 point."""
SMALLEST_SHARE = 0.79
"""How far a drawing may shrink on a narrow page; beyond it the page has to scroll it."""


class Ink(StrEnum):
    """Colours by what they are for; while a drawing is made each stands as an odd number that nothing else uses."""

    TEXT = "#0101f0"
    FAINT = "#0101f1"
    SOFT = "#0101f2"
    LIMIT = "#0101f3"
    FIRST = "#0101f4"
    SECOND = "#0101f5"
    THIRD = "#0101f6"
    FOURTH = "#0101f7"
    FIFTH = "#0101f8"
    SIXTH = "#0101f9"


COLOURS = {
    Ink.TEXT: ("currentColor", "#101010"),
    Ink.FAINT: ("--fig-line", "#5f6670"),
    Ink.SOFT: ("--fig-soft", "#eef2f6"),
    Ink.LIMIT: ("--fig-limit", "#a8001c"),
    Ink.FIRST: ("--fig-1", "#0b5cad"),
    Ink.SECOND: ("--fig-2", "#b34700"),
    Ink.THIRD: ("--fig-3", "#00735c"),
    Ink.FOURTH: ("--fig-4", "#8a3f76"),
    Ink.FIFTH: ("--fig-5", "#6b5a00"),
    Ink.SIXTH: ("--fig-6", "#3d4f5c"),
}
"""On a page a variable of the site's style sheet, with the colour of the paper as its fallback.

The hues keep apart for every common kind of colour blindness, and each has at least 4.5 to 1 against white.
"""


class Box(NamedTuple):
    """A rectangle, in pixels, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    def around(self, margin: float) -> Box:
        """The rectangle with a border."""
        return Box(self.left - margin, self.top - margin, self.right + margin, self.bottom + margin)

    def with_box(self, other: Box) -> Box:
        """The smallest rectangle that holds both."""
        return Box(
            min(self.left, other.left), min(self.top, other.top),
            max(self.right, other.right), max(self.bottom, other.bottom),
        )  # fmt: skip

    def meets(self, other: Box) -> bool:
        """Whether the two overlap."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


def number(value: float) -> str:
    """A coordinate, short and always written the same way."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"", "-0"} else text


def dyed(svg: str, medium: Medium) -> str:
    """Put the colours of a medium in place of the inks."""
    for ink, (page, paper) in COLOURS.items():
        followed = page if page == "currentColor" else f"var({page}, {paper})"
        svg = svg.replace(ink.value, followed if medium is Medium.PAGE else paper)
    return svg


def on_paper(drawing: Drawing) -> Drawing:
    """The same drawing for paper: colours of the paper, no links. It saves drawing it twice."""

    def plain(tag: re.Match[str]) -> str:
        text = re.sub(r"var\(--[\w-]+, (#[0-9a-f]{6})\)", r"\1", tag.group())
        return text.replace("currentColor", COLOURS[Ink.TEXT][1])

    svg = re.sub(r"</?a\b[^<>]*>", "", drawing.svg)
    return replace(drawing, svg=re.sub(r"<[^<>]+>", plain, svg))


def finished(name: str, title: str, description: str, body: str, box: Box, medium: Medium) -> Drawing:
    """Make a drawing of the elements between ``<svg>`` and ``</svg>``.

    Args:
        name: of the drawing; all of its ids begin with it.
        title: in a few words.
        description: what it shows, for those who cannot see it.
        body: elements, with inks for colours.
        box: that holds all of them, text included.
        medium: where it is seen.
    """
    key = re.sub(r"[^A-Za-z0-9-]+", "-", name)
    left, top, right, bottom = box.around(MARGIN)
    wide, high = right - left, bottom - top
    style = f"max-width:{number(wide)}px;min-width:{number(SMALLEST_SHARE * wide)}px;height:auto"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100%" '
        f'viewBox="{number(left)} {number(top)} {number(wide)} {number(high)}" style="{style}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc" font-family="{FAMILY}">'
        f'<title id="{key}-title">{escape(title)}</title><desc id="{key}-desc">{escape(description)}</desc>'
    )
    lines = (line.rstrip() for line in dyed(prefixed(body, key), medium).splitlines())
    svg = f"{head}{chr(10).join(line for line in lines if line)}</svg>"
    return Drawing(name, title, description, svg, round(wide * MILLIMETRES, 2))


def prefixed(body: str, key: str) -> str:
    """Give every id, and every reference to one, the drawing's name in front; text between tags is left alone."""

    def inside(tag: re.Match[str]) -> str:
        text = re.sub(r'(?<=[\s])id="', f'id="{key}-', tag.group())
        return text.replace("url(#", f"url(#{key}-").replace('href="#', f'href="#{key}-')

    return re.sub(r"<[^<>]+>", inside, body)


@cache
def schemdraw() -> Any:
    """The library of circuit symbols, imported without the plotting library, which it would otherwise load whole."""
    hidden = {name: sys.modules.get(name) for name in ("matplotlib", "ziamath")}
    sys.modules.update(dict.fromkeys(hidden))  # type: ignore[arg-type]
    try:
        import schemdraw as library
        import schemdraw.elements
    finally:
        for name, module in hidden.items():
            sys.modules.pop(name)
            if module is not None:
                sys.modules[name] = module
    library.use("svg")
    remember_arcs(library.segments)
    return library


def remember_arcs(segments: Any) -> None:
    """Let the library go along an arc to find the box round it once for each shape, not for each place."""
    along = segments.SegmentArc.get_bbox

    @cache
    def reach(width: float, height: float, start: float, end: float, angle: float) -> tuple[float, ...]:
        return tuple(along(segments.SegmentArc((0, 0), width, height, theta1=start, theta2=end, angle=angle)))

    def box(arc: Any) -> Any:
        (x, y), shape = arc.center, (arc.width, arc.height, arc.theta1, arc.theta2, arc.angle)
        left, foot, right, top = reach(*shape)
        return segments.BBox(x + left, y + foot, x + right, y + top)

    segments.SegmentArc.get_bbox = box
