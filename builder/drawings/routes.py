"""Lines between blocks: along channels between rows and columns, so that none ever meets a block or its text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from .chain import Cell, Chain, Link
from .markup import Point
from .theme import Box

TRACK = 9.0
"""Distance of lines in a channel, in pixels."""
BORDER = 11.0
"""Between the outermost line of a channel and the blocks."""
Span = tuple[float, float]
Channel = tuple[str, int]
"""Across (below row index - 1) or up (left of column index)."""


@dataclass
class Channels:
    """Which stretch of which channel every net uses, and on which track."""

    spans: dict[Channel, dict[str, Span]] = field(default_factory=dict)

    def use(self, channel: Channel, net: str, *ends: float) -> None:
        """A net runs in a channel over the given places."""
        nets = self.spans.setdefault(channel, {})
        old = nets.get(net, (ends[0], ends[0]))
        nets[net] = (min(*old, *ends), max(*old, *ends))

    def tracks(self) -> dict[Channel, dict[str, int]]:
        """A track for every net in every channel; nets whose stretches do not meet may share one."""
        return {channel: _packed(nets) for channel, nets in self.spans.items()}


def _packed(nets: Mapping[str, Span]) -> dict[str, int]:
    result: dict[str, int] = {}
    ends: list[list[Span]] = []
    for net, span in sorted(nets.items(), key=lambda row: (row[1], row[0])):
        free = (at for at, used in enumerate(ends) if all(span[1] < low or span[0] > high for low, high in used))
        track = next(free, len(ends))
        if track == len(ends):
            ends.append([])
        ends[track].append(span)
        result[net] = track
    return result


@dataclass(frozen=True)
class Way:
    """One link as steps: into which channels, in which order."""

    link: Link
    net: str
    steps: tuple[Channel, ...]


def net_of(link: Link) -> str:
    """Links of one kind from one block are one net."""
    return f"{link.source} {link.kind}"


def ways(found: Chain, cells: Mapping[str, Cell]) -> tuple[tuple[Way, ...], Channels]:
    """The channels that every link takes."""
    channels = Channels()
    result = []
    for link in found.links:
        source, target = cells[link.source], cells[link.target]
        steps = _steps(link, source, target)
        way = Way(link, net_of(link), steps)
        _occupy(channels, way, source, target)
        result.append(way)
    return tuple(result), channels


def _steps(link: Link, source: Cell, target: Cell) -> tuple[Channel, ...]:
    """Channels from the block where a link begins to the block where it ends."""
    if link.kind == "signal":
        out: Channel = ("up", source.column + 1)
        if target.column == source.column + 1:
            return (out,)
        return (out, ("across", target.row), ("up", target.column))
    below: Channel = ("across", target.row + 1)
    above: Channel = ("across", source.row)
    if below == above:
        return (below,)
    return (above, ("up", target.column), below)


def _occupy(channels: Channels, way: Way, source: Cell, target: Cell) -> None:
    """Note the stretch of each channel that a way takes, in rows and columns; channels lie at halves."""
    places: list[tuple[float, float]] = [(source.row, source.column)]
    for kind, index in way.steps:
        places.append((index - 0.5, places[-1][1]) if kind == "across" else (places[-1][0], index - 0.5))
    places.append((target.row, target.column))
    for at, channel in enumerate(way.steps):
        side = 1 if channel[0] == "across" else 0
        before, after = places[at], places[at + 2] if at + 2 < len(places) else places[-1]
        channels.use(channel, way.net, before[side], after[side])


@dataclass(frozen=True)
class Grid:
    """Where rows, columns and channels lie, in pixels."""

    rows: tuple[Span, ...]
    columns: tuple[Span, ...]
    tracks: Mapping[Channel, Mapping[str, int]]
    across: tuple[float, ...]
    up: tuple[float, ...]

    def line(self, channel: Channel, net: str) -> float:
        """Height or place of a net's line in a channel."""
        start = (self.across if channel[0] == "across" else self.up)[channel[1]]
        return start + BORDER + TRACK * self.tracks[channel][net]


def grid(heights: Iterable[float], widths: Iterable[float], channels: Channels) -> Grid:
    """Lay rows and columns out with channels between them that hold their tracks."""
    tracks = channels.tracks()
    across, rows = _laid(list(heights), "across", tracks)
    up, columns = _laid(list(widths), "up", tracks)
    return Grid(rows, columns, tracks, across, up)


def _laid(
    sizes: list[float], kind: str, tracks: Mapping[Channel, Mapping[str, int]]
) -> tuple[tuple[float, ...], tuple[Span, ...]]:
    at, starts, spans = 0.0, [], []
    for index in range(len(sizes) + 1):
        starts.append(at)
        used = tracks.get((kind, index), {})
        count = max(used.values()) + 1 if used else 0
        outer = index in {0, len(sizes)}
        at += 2 * BORDER + TRACK * (count - 1) if count else (0.0 if outer else 2 * BORDER)
        if index < len(sizes):
            spans.append((at, at + sizes[index]))
            at += sizes[index]
    return tuple(starts), tuple(spans)


@dataclass(frozen=True)
class Ports:
    """Where links leave and enter blocks: pixels along the side."""

    left: Mapping[Link, float]
    bottom: Mapping[Link, float]


PORT_STEP = 13.0
PORT_START = 44.0
SUPPLY_EXIT = 22.0
"""Where a supply's line leaves its block, from the left edge."""


def ports(links: Iterable[Link], boxes: Mapping[str, Box], cells: Mapping[str, Cell]) -> Ports:
    """A place of its own for every link at the block where it ends."""
    left: dict[Link, float] = {}
    bottom: dict[Link, float] = {}
    by_target: dict[str, list[Link]] = {}
    for link in links:
        by_target.setdefault(link.target, []).append(link)
    for target, entering in by_target.items():
        signals = [link for link in entering if link.kind == "signal"]
        left |= _left(signals, boxes[target], cells, cells[target])
        bottom |= _bottom([link for link in entering if link.kind != "signal"], boxes[target])
    return Ports(left, bottom)


def _left(signals: list[Link], box: Box, cells: Mapping[str, Cell], cell: Cell) -> dict[Link, float]:
    """The neighbour's link enters in the middle, straight; others below it and above it in turn."""
    middle = (box.top + box.bottom) / 2
    found: dict[Link, float] = {}
    others = []
    for link in signals:
        source = cells[link.source]
        straight = source.row == cell.row and source.column == cell.column - 1
        if straight and middle not in found.values():
            found[link] = middle
        else:
            others.append(link)
    room = (box.bottom - box.top) / 2 - 6
    step = min(PORT_STEP, room / max(1, (len(others) + 1) // 2))
    for index, link in enumerate(others):
        found[link] = middle + (index // 2 + 1) * step * (1 if index % 2 else -1)
    return found


def _bottom(links: list[Link], box: Box) -> dict[Link, float]:
    """Modulation enters in the middle, supplies beside it."""
    found: dict[Link, float] = {}
    middle = (box.left + box.right) / 2
    rest = [link for link in links if link.kind == "supply"]
    found |= {link: middle + 3 * index for index, link in enumerate(row for row in links if row.kind == "modulation")}
    room = box.right - box.left - PORT_START - 12
    step = min(PORT_STEP, room / max(1, len(rest) + 1))
    spots = [box.left + PORT_START + step * index for index in range(len(rest) + 1)]
    free = [spot for spot in spots if abs(spot - middle) > 4][: len(rest)] or spots
    return found | dict(zip(rest, free, strict=False))


def points(way: Way, boxes: Mapping[str, Box], layout: Grid, entries: Ports) -> tuple[Point, ...]:
    """The corners of a link's line."""
    box, end = boxes[way.link.source], boxes[way.link.target]
    x, y = _exit(way.link, box)
    path = [(x, y)]
    for channel in way.steps:
        line = layout.line(channel, way.net)
        x, y = (x, line) if channel[0] == "across" else (line, y)
        path.append((x, y))
    if way.link.kind == "signal":
        height = entries.left[way.link]
        path += [(x, height), (end.left, height)]
    else:
        place = entries.bottom[way.link]
        path += [(place, y), (place, end.bottom)]
    return _without_stops(path)


def _exit(link: Link, box: Box) -> Point:
    if link.kind == "signal":
        return box.right, (box.top + box.bottom) / 2
    if link.kind == "modulation":
        return (box.left + box.right) / 2, box.top
    return box.left + SUPPLY_EXIT, box.top


def _without_stops(path: list[Point]) -> tuple[Point, ...]:
    """The corners alone: no point twice, none in the middle of a straight run."""
    result: list[Point] = []
    for point in path:
        if result and point == result[-1]:
            continue
        if len(result) > 1 and _in_line(result[-2], result[-1], point):
            result[-1] = point
        else:
            result.append(point)
    return tuple(result)


def _in_line(first: Point, second: Point, third: Point) -> bool:
    upright = first[0] == second[0] == third[0]
    return upright or first[1] == second[1] == third[1]


def joints(paths: Iterable[tuple[Point, ...]]) -> list[Point]:
    """Points where the lines of one net part."""
    runs = {tuple(sorted(pair)) for path in paths for pair in pairwise(path)}
    corners = sorted({point for run in runs for point in run})
    return [point for point in corners if len(_directions(point, runs)) > 2]


def _directions(point: Point, runs: Iterable[tuple[Point, ...]]) -> set[str]:
    """Ways out of a point along the runs that touch it."""
    x, y = point
    found: set[str] = set()
    for (x1, y1), (x2, y2) in runs:
        if y1 == y2 == y and x1 <= x <= x2:
            found |= ({"left"} if x1 < x else set()) | ({"right"} if x < x2 else set())
        if x1 == x2 == x and y1 <= y <= y2:
            found |= ({"up"} if y1 < y else set()) | ({"down"} if y < y2 else set())
    return found
