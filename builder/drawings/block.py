"""The block diagram: every stage and supply of a rig, and what leads from one to another; a map to the circuits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from builder.examination.judge import SHAPE, Verdict
from builder.examine import Examination

from . import typeface
from .chain import Block, Cell, Chain, cells, chain
from .drawing import Drawing, Medium, Plan, drawing
from .markup import Line, Point, circle, linked, polygon, polyline, rectangle
from .routes import Grid, Way, grid, joints, points, ports, ways
from .theme import FINE, HEAVY, LARGE, SMALL, WIRE, Box, Ink, finished

WIDE = 140.0
"""Of every block, in pixels."""
PADDING = 7.0
LEVEL_GAP = 8.0
"""Free space at either side of a level over its line."""
KIND = "block diagram"


@dataclass(frozen=True)
class Face:
    """What stands in a block: lines of text with size, colour and weight, and what leads out of it."""

    rows: tuple[tuple[str, float, Ink, bool], ...]
    level: str

    @property
    def height(self) -> float:
        """Of the block, in pixels."""
        return 2 * PADDING + sum(1.3 * size for _text, size, _ink, _bold in self.rows)


@drawing(KIND)
def block_diagram(examination: Examination) -> Iterator[Plan]:
    """One for each rig."""

    def make(medium: Medium) -> Drawing:
        return made(examination, medium)

    yield Plan("block", KIND, "", make)


def made(examination: Examination, medium: Medium) -> Drawing:
    """Place the blocks, route the lines, draw both."""
    found = chain(examination)
    places = cells(found)
    faces = {name: face(examination, shown) for name, shown in found.blocks.items()}
    faces |= {name: replace(faces[name], level="") for name in faces if name not in senders(found)}
    routed, channels = ways(found, places)
    layout = grid(row_heights(places, faces), column_widths(places, faces), channels)
    boxes = {name: box_of(places[name], faces[name], layout) for name in found.blocks}
    body = lines(routed, boxes, layout, places, found) + levels(faces, boxes)
    body += "".join(block(found.blocks[name], faces[name], boxes[name], medium) for name in found.blocks)
    frame = Box(0, 0, layout.columns[-1][1], layout.rows[-1][1] + 1) if boxes else Box(0, 0, 100, 20)
    for path in (points_of for points_of in all_points(routed, boxes, layout, places, found)):
        for x, y in path:
            frame = frame.with_box(Box(x, y, x, y))
    title = f"Block diagram of {examination.rig.name}"
    return finished("block", title, description(found), body, frame, medium)


def senders(found: Chain) -> set[str]:
    """Blocks that a signal leaves."""
    return {link.source for link in found.links if link.kind == "signal"}


def description(found: Chain) -> str:
    """The links in words."""
    titles = {name: block.title for name, block in found.blocks.items()}
    verbs = {"signal": "drives", "modulation": "modulates", "supply": "feeds"}
    told = [f"{titles[link.source]} {verbs[link.kind]} {titles[link.target]}" for link in found.links]
    return "; ".join(told) + "." if told else "Nothing is connected."


def face(examination: Examination, shown: Block) -> Face:
    """What a block says."""
    room = WIDE - 2 * PADDING
    if not shown.thing:
        outside = typeface.wrapped(shown.title, SMALL, room, 3)
        return Face(tuple((row, SMALL, Ink.TEXT, False) for row in outside), "")
    title = [(row, LARGE, Ink.TEXT, True) for row in typeface.wrapped(shown.title, LARGE, room, 2, bold=True)]
    inner = typeface.wrapped(tubes(examination, shown.id), SMALL, room, 2)
    rows = [*title, *((row, SMALL, Ink.TEXT, False) for row in inner)]
    values = typeface.shortened(key_values(examination, shown.id), SMALL, room)
    rows += [(values, SMALL, Ink.SECOND, False)] if values else []
    rows += [(row, SMALL, Ink.LIMIT, True) for row in verdicts(examination, shown.id)]
    return Face(tuple(rows), level(examination, shown.id))


def tubes(examination: Examination, path: str) -> str:
    """Type and sockets of a stage's tubes, or of a supply's rectifier."""
    collection, name = path.split(".", 1)
    if collection == "supplies":
        found = examination.rig.supplies[name].rectifier
        return f"{found.type}, {', '.join(found.legs)}"
    used = getattr(examination.rig.stages[name], "tubes", None)
    if used is None:
        return ""
    count = len(used.sockets)
    return f"{f'{count} × ' if count > 1 else ''}{used.type}, {', '.join(used.sockets)}"


def key_values(examination: Examination, path: str) -> str:
    """One or two values that say most about a thing."""
    names = ("output_voltage", "load_current") if path.startswith("supplies.") else ("plate_voltage", "plate_current")
    found = [examination.value(path, name) for name in names]
    if not path.startswith("supplies.") and modulates(examination, path):
        found[1] = examination.value(path, "output_power") or found[1]
    return " · ".join(value.plain for value in found if value and value.nominal)


def modulates(examination: Examination, path: str) -> bool:
    """Whether a stage's output goes upward into the stage that it modulates."""
    stage = examination.rig.stages[path.split(".", 1)[1]]
    return bool(getattr(stage, "modulates", None))


def level(examination: Examination, path: str) -> str:
    """What leaves a stage."""
    if path.startswith("supplies.") or modulates(examination, path):
        return ""
    found = examination.value(path, "output_power") or examination.value(path, "output_voltage")
    return found.plain if found else ""


def verdicts(examination: Examination, path: str) -> Iterator[str]:
    """Shape, number and word of what is beyond its limit or close to it."""
    findings = examination.findings_on(path)
    for verdict in (Verdict.BEYOND, Verdict.CLOSE):
        count = sum(row.verdict is verdict for row in findings)
        if count:
            yield f"{SHAPE[verdict]} {count} {verdict}"


def row_heights(places: Mapping[str, Cell], faces: Mapping[str, Face]) -> list[float]:
    """The tallest block of every row."""
    count = max((cell.row for cell in places.values()), default=-1) + 1
    return [
        max((faces[n].height for n, cell in places.items() if cell.row == row), default=0.0) for row in range(count)
    ]


def column_widths(places: Mapping[str, Cell], faces: Mapping[str, Face]) -> list[float]:
    """Block and widest level of every column."""
    count = max((cell.column for cell in places.values()), default=-1) + 1
    return [
        WIDE + max((level_room(faces[n].level) for n, cell in places.items() if cell.column == column), default=0.0)
        for column in range(count)
    ]


def level_room(text: str) -> float:
    """What a level over its line takes."""
    return typeface.width(text, SMALL) + LEVEL_GAP if text else 0.0


def box_of(cell: Cell, shown: Face, layout: Grid) -> Box:
    """Where a block stands, in the middle of its row."""
    top, bottom = layout.rows[cell.row]
    left, middle = layout.columns[cell.column][0], (top + bottom) / 2
    return Box(left, middle - shown.height / 2, left + WIDE, middle + shown.height / 2)


def all_points(
    routed: tuple[Way, ...], boxes: Mapping[str, Box], layout: Grid, places: Mapping[str, Cell], found: Chain
) -> list[tuple[Point, ...]]:
    """The corners of every link."""
    entries = ports(found.links, boxes, places)
    return [points(way, boxes, layout, entries) for way in routed]


def lines(
    routed: tuple[Way, ...], boxes: Mapping[str, Box], layout: Grid, places: Mapping[str, Cell], found: Chain
) -> str:
    """All links, supplies first so that signals lie over them."""
    paths = all_points(routed, boxes, layout, places, found)
    nets: dict[str, list[tuple[Point, ...]]] = {}
    for way, path in zip(routed, paths, strict=True):
        nets.setdefault(way.net, []).append(path)
    order = sorted(nets, key=lambda net: not net.endswith("supply"))
    return "".join(net_lines(net, nets[net]) for net in order)


def net_lines(net: str, paths: list[tuple[Point, ...]]) -> str:
    """One net: lines, joints, arrow heads."""
    supply = net.endswith("supply")
    ink, width = (Ink.FAINT, FINE + 0.2) if supply else (Ink.TEXT, HEAVY)
    drawn = "".join(polyline(path, ink=ink, width=width) for path in paths)
    drawn += "".join(circle(point, 2.6, fill=ink, ink=None) for point in joints(paths))
    return drawn + "".join(arrow(path[-2], path[-1], ink, 3.2 if supply else 4.2) for path in paths)


def arrow(before: Point, tip: Point, ink: Ink, half: float) -> str:
    """A head at the end of a line."""
    (x0, y0), (x, y) = before, tip
    across, up = (x > x0) - (x < x0), (y > y0) - (y < y0)
    base = (x - 2.2 * half * across, y - 2.2 * half * up)
    return polygon(
        ((x, y), (base[0] + half * up, base[1] + half * across), (base[0] - half * up, base[1] - half * across)), ink
    )


def levels(faces: Mapping[str, Face], boxes: Mapping[str, Box]) -> str:
    """What leaves each block, over its line."""
    shown = (
        Line((box.right + LEVEL_GAP / 2, (box.top + box.bottom) / 2 - 5), faces[name].level, size=SMALL, ink=Ink.FIRST)
        for name, box in boxes.items()
        if faces[name].level
    )
    return "".join(map(str, shown))


def block(shown: Block, inner: Face, box: Box, medium: Medium) -> str:
    """A block with its text, leading to its circuit where it has one."""
    dashed = Ink.TEXT if shown.thing else Ink.FAINT
    drawn = rectangle(
        box, fill=Ink.SOFT if shown.thing else "none", ink=dashed, width=WIRE, corner=4 if shown.thing else 14
    )
    y = box.top + PADDING
    for text, size, ink, bold in inner.rows:
        y += 1.3 * size
        drawn += str(Line(((box.left + box.right) / 2, y - 0.38 * size), text, "middle", size, ink, bold))
    if medium is Medium.PAPER or not shown.thing:
        return drawn
    return linked(f"circuit.html#{shown.id.replace('.', '-').replace(' ', '-')}", shown.title, drawn)
