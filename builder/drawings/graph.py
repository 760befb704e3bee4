"""Axes in the look of all drawings; the plotting library stays unloaded until one is drawn."""

from __future__ import annotations

import re
from functools import cache
from importlib import import_module
from io import StringIO
from typing import Any

from .drawing import Drawing, Medium
from .theme import FAMILY, FINE, SMALL, Box, Ink, finished

SETTINGS: dict[str, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "rigfolio",
    "font.family": FAMILY.split(", ")[:1],
    "font.size": SMALL,
    "axes.edgecolor": Ink.TEXT.value,
    "axes.labelcolor": Ink.TEXT.value,
    "axes.linewidth": FINE,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "text.color": Ink.TEXT.value,
    "xtick.color": Ink.TEXT.value,
    "ytick.color": Ink.TEXT.value,
    "grid.color": Ink.FAINT.value,
    "grid.linewidth": 0.6,
    "grid.alpha": 0.4,
    "path.simplify_threshold": 0.2,
}
"""What the library is told about the theme."""
FEW = 6
"""Most steps of a scale."""
FEWER = 4
"""Most steps of a scale where several pairs of axes share a drawing."""
POINTS = 72
"""The library counts in inches; one of our pixels is one of its points."""


@cache
def plotting_library() -> Any:
    """The library, loaded without the help texts that it otherwise puts together for every setting of all its classes.

    Nobody reads them here, and they take as long as three drawings.
    """
    artist: Any = import_module("matplotlib.artist")
    artist.kwdoc = lambda _kind: ""
    artist.ArtistInspector.get_setters = lambda _inspector: []
    import_module("matplotlib.figure")
    return import_module("matplotlib")


class Graph:
    """One pair of axes.

    Args:
        width: of the drawing, pixels.
        height: of the drawing, pixels.
        margins: share of the drawing left free at left, right, bottom and top.
    """

    def __init__(self, width: float, height: float, margins: tuple[float, float, float, float]) -> None:
        library = self._library = plotting_library()
        self._size = (width, height)
        left, right, bottom, top = margins
        with library.rc_context(SETTINGS):
            self._figure = library.figure.Figure(figsize=(width / POINTS, height / POINTS), facecolor="none")
            self.axes: Any = self._figure.add_axes((left, bottom, 1 - left - right, 1 - bottom - top), facecolor="none")
            self.axes.locator_params(nbins=FEW)
            self.axes.grid(visible=True)
            self.axes.set_axisbelow(True)

    def panel(self, margins: tuple[float, float, float, float]) -> None:
        """Further axes on the same drawing; what follows is drawn there.

        Args:
            margins: share of the drawing left free at left, right, bottom and top of these axes.
        """
        left, right, bottom, top = margins
        with self._library.rc_context(SETTINGS):
            self.axes = self._figure.add_axes((left, bottom, 1 - left - right, 1 - bottom - top), facecolor="none")
            self.axes.locator_params(nbins=FEWER)
            self.axes.grid(visible=True)
            self.axes.set_axisbelow(True)

    def right_axes(self, words: str, ink: Ink) -> Any:
        """Axes of another quantity over the same width, its scale at the right in the colour of its curve."""
        with self._library.rc_context(SETTINGS):
            made = self.axes.twinx()
        made.grid(visible=False)
        made.set_ylabel(words, color=ink.value)
        made.tick_params(colors=ink.value)
        made.spines["right"].set(visible=True, color=ink.value)
        return made

    def curve(self, across: Any, up: Any, ink: Ink, width: float = 2.0, dashes: str = "-") -> None:
        """A line through points."""
        self.axes.plot(across, up, color=ink.value, linewidth=width, linestyle=dashes, solid_capstyle="round")

    def level(self, height: float, ink: Ink, words: str = "") -> None:
        """A level line over the whole width, with its words beyond the right end."""
        self.axes.axhline(height, color=ink.value, linewidth=1.2, linestyle=(0, (5, 3)))
        if words:
            self.beside(height, words, ink)

    def beside(self, height: float, words: str, ink: Ink) -> None:
        """Words right of the axes at a height."""
        place = ("axes fraction", "data")
        self.axes.annotate(words, (1.0, height), (8, 0), place, "offset points", color=ink.value, va="center")

    def at(
        self, point: tuple[float, float], words: str, ink: Ink, shift: tuple[float, float] = (6, 6), side: str = "left"
    ) -> None:
        """Words near a point of the curve."""
        self.axes.annotate(words, point, shift, "data", "offset points", color=ink.value, ha=side, va="center")

    def mark(self, point: tuple[float, float], ink: Ink) -> None:
        """A dot on a point."""
        self.axes.plot(*([value] for value in point), "o", color=ink.value, markersize=6)

    def drawing(self, name: str, title: str, description: str, medium: Medium) -> Drawing:
        """Finish it.

        Args:
            name: of the drawing.
            title: in a few words.
            description: for those who cannot see it.
            medium: where it is seen.
        """
        out = StringIO()
        with self._library.rc_context(SETTINGS):
            self._figure.savefig(out, format="svg", metadata={"Date": None}, transparent=True)
        width, height = self._size
        body = f'<g stroke-linejoin="round" stroke-linecap="butt">{_inner(out.getvalue())}</g>'
        return finished(name, title, description, body, Box(0, 0, width, height), medium)


def _inner(raw: str) -> str:
    """What stands between the tags of the root, without metadata and without style rules for the whole page."""
    inner = raw[raw.index(">", raw.index("<svg")) + 1 : raw.rindex("</svg>")]
    inner = re.sub(r"<metadata>.*?</metadata>", "", inner, flags=re.DOTALL)
    inner = re.sub(r"<defs>\s*<style[^>]*>.*?</style>\s*</defs>", "", inner, flags=re.DOTALL)
    inner = re.sub(r"<!--.*?-->", "", inner, flags=re.DOTALL)
    inner = inner.replace("'DejaVu Sans'", FAMILY)
    return re.sub(r"<[^<>]+>", lambda tag: re.sub(r"\d+\.\d{3,}", _shorter, tag.group()), inner)


def _shorter(match: re.Match[str]) -> str:
    return f"{float(match.group()):.2f}"
