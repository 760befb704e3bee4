"""What a finished drawing holds, read back from its SVG."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

from builder.drawings.markup import Line
from builder.drawings.theme import Box

SVG = "{http://www.w3.org/2000/svg}"


def root(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - our own output


def ids(svg: str) -> list[str]:
    return [node.get("id", "") for node in root(svg).iter() if node.get("id")]


def texts(svg: str) -> list[str]:
    return ["".join(node.itertext()) for node in root(svg).iter(f"{SVG}text")]


def text_boxes(svg: str) -> list[tuple[str, Box]]:
    """Text and the box that it covers; turned text is left out."""
    whole = root(svg)
    turned = {id(node) for group in whole.iter(f"{SVG}g") if group.get("transform") for node in group.iter()}
    found = []
    for node in whole.iter(f"{SVG}text"):
        if id(node) in turned or node.get("x") is None:
            continue
        line = Line(
            (float(node.get("x", "0")), float(node.get("y", "0"))),
            "".join(node.itertext()),
            node.get("text-anchor", "start"),
            float(node.get("font-size", "12")),
            bold=node.get("font-weight") == "bold",
        )
        found.append((line.text, line.box))
    return found


def runs(svg: str) -> list[tuple[float, float, float, float]]:
    """Straight lines of paths and polylines."""
    found: list[tuple[float, float, float, float]] = []
    for node in root(svg).iter():
        if node.tag == f"{SVG}polyline":
            points = [tuple(map(float, pair.split(","))) for pair in node.get("points", "").split()]
            found += [(*one, *two) for one, two in pairwise(points)]
        elif node.tag == f"{SVG}path":
            found += path_runs(node.get("d", ""))
    return found


def path_runs(data: str) -> list[tuple[float, float, float, float]]:
    found = []
    here = (0.0, 0.0)
    for command, x, y in re.findall(r"([MLAa])[^MLAaZz]*?(-?[\d.]+)[, ](-?[\d.]+)\s*(?=[MLAaZz]|$)", data):
        point = (float(x), float(y))
        if command == "L":
            found.append((*here, *point))
        here = point
    return found


def crosses(run: tuple[float, float, float, float], box: Box) -> bool:
    """Whether a straight line touches a box."""
    x1, y1, x2, y2 = run
    low, high = 0.0, 1.0
    for start, delta, least, most in ((x1, x2 - x1, box.left, box.right), (y1, y2 - y1, box.top, box.bottom)):
        if delta == 0:
            if not least < start < most:
                return False
            continue
        enter, leave = sorted(((least - start) / delta, (most - start) / delta))
        low, high = max(low, enter), min(high, leave)
    return low < high


def clashes(svg: str, allow: float = 1.0) -> list[str]:
    """Text over text, and lines through text."""
    boxes = [(text, box.around(-allow)) for text, box in text_boxes(svg)]
    found = [
        f"{one} / {other}"
        for index, (one, first) in enumerate(boxes)
        for other, second in boxes[index + 1 :]
        if first.meets(second)
    ]
    lines = runs(svg)
    found += [f"line through {text}" for text, box in boxes if any(crosses(run, box) for run in lines)]
    return found
