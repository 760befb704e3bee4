"""Elements of a drawing as text, with everything escaped that comes from a file."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from . import typeface
from .theme import FINE, SIZE, WIRE, Box, Ink, number

Point = tuple[float, float]


@dataclass(frozen=True)
class Line:
    """One line of text with its place.

    Args:
        at: start, middle or end of the baseline, pixels.
        text: as it is to be read.
        anchor: which of the three.
        size: of the type.
        ink: colour.
        bold: in the bold face.
    """

    at: Point
    text: str
    anchor: str = "start"
    size: float = SIZE
    ink: Ink = Ink.TEXT
    bold: bool = False

    @property
    def box(self) -> Box:
        """What it covers."""
        wide = typeface.width(self.text, self.size, bold=self.bold)
        left = self.at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[self.anchor]
        base = self.at[1]
        return Box(left, base - typeface.ASCENT * self.size, left + wide, base + typeface.DESCENT * self.size)

    def __str__(self) -> str:
        """As an element."""
        anchor = "" if self.anchor == "start" else f' text-anchor="{self.anchor}"'
        bold = ' font-weight="bold"' if self.bold else ""
        place = f'x="{number(self.at[0])}" y="{number(self.at[1])}"'
        return (
            f'<text {place} font-size="{number(self.size)}" fill="{self.ink}"{anchor}{bold}>{escape(self.text)}</text>'
        )


def rectangle(
    box: Box, *, fill: str = "none", ink: Ink | None = Ink.TEXT, width: float = WIRE, corner: float = 0
) -> str:
    """A rectangle."""
    size = f'width="{number(box.right - box.left)}" height="{number(box.bottom - box.top)}"'
    stroke = f' stroke="{ink}" stroke-width="{number(width)}"' if ink else ""
    rounded = f' rx="{number(corner)}"' if corner else ""
    return f'<rect x="{number(box.left)}" y="{number(box.top)}" {size}{rounded} fill="{fill}"{stroke}/>'


def polyline(points: Iterable[Point], *, ink: Ink = Ink.TEXT, width: float = WIRE, dashes: str = "") -> str:
    """A line through points."""
    path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<polyline points="{path}" fill="none" stroke="{ink}" stroke-width="{number(width)}"{dashed}/>'


def polygon(points: Iterable[Point], ink: Ink = Ink.TEXT) -> str:
    """A filled shape."""
    path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return f'<polygon points="{path}" fill="{ink}"/>'


def circle(center: Point, radius: float, *, fill: str = "none", ink: Ink | None = Ink.TEXT, width: float = FINE) -> str:
    """A circle."""
    stroke = f' stroke="{ink}" stroke-width="{number(width)}"' if ink else ""
    return f'<circle cx="{number(center[0])}" cy="{number(center[1])}" r="{number(radius)}" fill="{fill}"{stroke}/>'


def linked(href: str, label: str, inner: str) -> str:
    """Elements that lead to another page."""
    return f'<a href="{escape(href)}" aria-label="{escape(label)}">{inner}</a>'
