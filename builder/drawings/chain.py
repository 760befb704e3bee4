"""What a rig consists of as seen from afar: blocks, what leads from one to another, and where each block stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from builder.examine import Examination

GROUPS = ("rf", "audio", "supplies")
"""Bands of the diagram from top to bottom."""


@dataclass(frozen=True)
class Block:
    """Something that gets a box.

    Args:
        id: path of the thing, or a name of its own for what lies outside the rig.
        group: band of the diagram.
        title: what the box says first.
        thing: whether it has a page and findings.
    """

    id: str
    group: str
    title: str
    thing: bool = True


@dataclass(frozen=True)
class Link:
    """Something that leads from one block to another.

    Args:
        source: id of a block.
        target: id of a block.
        kind: signal, modulation or supply.
    """

    source: str
    target: str
    kind: str


@dataclass(frozen=True)
class Chain:
    """All blocks and links of a rig."""

    blocks: Mapping[str, Block]
    links: tuple[Link, ...]


def chain(examination: Examination) -> Chain:
    """Blocks and links of a rig."""
    rig = examination.rig
    blocks: dict[str, Block] = {}
    links: list[Link] = []
    for name, stage in rig.stages.items():
        path = f"stages.{name}"
        group = stage.row if stage.row in GROUPS else "rf"
        blocks[path] = Block(path, group, stage.title(name))
        links += _stage_links(rig.stages, name, stage)
    for name, supply in rig.supplies.items():
        blocks[f"supplies.{name}"] = Block(f"supplies.{name}", "supplies", supply.title(name))
    for link, block in _outside(examination):
        blocks.setdefault(block.id, block)
        links.append(link)
    known = [link for link in links if link.source in blocks and link.target in blocks and link.source != link.target]
    return Chain(blocks, tuple(dict.fromkeys(known)))


def _stage_links(stages: Mapping[str, Any], name: str, stage: Any) -> list[Link]:
    path = f"stages.{name}"
    found = [Link(f"stages.{stage.driven_by}", path, "signal")] if stage.driven_by else []
    modulated = getattr(stage, "modulates", None)
    if modulated:
        found.append(Link(path, f"stages.{modulated}", "modulation"))
    into = getattr(getattr(stage, "output", None), "into", None)
    if into and into in stages and into != modulated and stages[into].driven_by is None:
        found.append(Link(path, f"stages.{into}", "signal"))
    for electrode in ("plate", "screen", "grid", "heater"):
        supply = getattr(getattr(stage, electrode, None), "supply", None)
        if supply:
            found.append(Link(f"supplies.{supply}", path, "supply"))
    return found


def _outside(examination: Examination) -> list[tuple[Link, Block]]:
    """What the rig is connected to: exciter, microphone, antenna."""
    rig = examination.rig
    found: list[tuple[Link, Block]] = []
    for name, stage in rig.stages.items():
        path = f"stages.{name}"
        group = stage.row if stage.row in GROUPS else "rf"
        entry = getattr(stage, "input", None) or (rig.exciter if name == rig.final and not stage.driven_by else None)
        if entry:
            found.append(
                (Link(f"outside {entry}", path, "signal"), Block(f"outside {entry}", group, entry, thing=False))
            )
        into = getattr(getattr(stage, "output", None), "into", None)
        if into and into not in rig.stages:
            found.append((Link(path, f"outside {into}", "signal"), Block(f"outside {into}", group, into, thing=False)))
    return found


@dataclass(frozen=True)
class Cell:
    """Where a block stands."""

    row: int
    column: int


def cells(found: Chain) -> dict[str, Cell]:
    """A cell for every block: stages in columns in the order of the signal, supplies below."""
    columns = _columns(found)
    placed: dict[str, Cell] = {}
    first = 0
    for group in GROUPS[:2]:
        taken: dict[int, int] = {}
        for name in (block.id for block in found.blocks.values() if block.group == group):
            lane = taken.get(columns[name], 0)
            taken[columns[name]] = lane + 1
            placed[name] = Cell(first + lane, columns[name])
        first += max(taken.values(), default=0)
    return {**placed, **_supplies(found, placed, first)}


def _columns(found: Chain) -> dict[str, int]:
    """Columns of all stages, so that each chain runs from left to right and the audio ends where it modulates."""
    rf = _depths(found, "rf")
    audio = _depths(found, "audio")
    after = _depths(found, "audio", backward=True)
    ends = {link.source: rf.get(link.target) for link in found.links if link.kind == "modulation"}
    known = [column for column in ends.values() if column is not None]
    last = max(known) if known else max(audio.values(), default=0)
    placed = {name: last - after[name] for name in audio}
    placed |= {name: column for name, column in ends.items() if name in audio and column is not None}
    shift = -min([0, *placed.values()])
    return {name: column + shift for name, column in (rf | placed).items()}


def _depths(found: Chain, group: str, *, backward: bool = False) -> dict[str, int]:
    """Longest way from a beginning (or to an end) of a band's chains; a ring is cut where it closes."""
    names = [block.id for block in found.blocks.values() if block.group == group]
    before: dict[str, list[str]] = {name: [] for name in names}
    for link in found.links:
        start, end = (link.target, link.source) if backward else (link.source, link.target)
        if link.kind == "signal" and start in before and end in before:
            before[end].append(start)
    depths: dict[str, int] = {}
    for name in names:
        _depth(name, before, depths, ())
    return depths


def _depth(name: str, before: Mapping[str, list[str]], depths: dict[str, int], trail: tuple[str, ...]) -> int:
    if name not in depths:
        ways = [_depth(other, before, depths, (*trail, name)) for other in before[name] if other not in (*trail, name)]
        depths[name] = 1 + max(ways, default=-1)
    return depths[name]


def _supplies(found: Chain, placed: Mapping[str, Cell], first: int) -> dict[str, Cell]:
    """Supplies side by side below, each as near as may be to what it feeds."""
    names = [block.id for block in found.blocks.values() if block.group == "supplies"]
    wide = max([cell.column for cell in placed.values()], default=0) + 1
    wide = max(wide, min(len(names), 5))
    order = sorted(names, key=lambda name: _middle(found, placed, name))
    result: dict[str, Cell] = {}
    for start in range(0, len(order), wide):
        row = order[start : start + wide]
        for name, column in zip(row, _spread([_middle(found, placed, name) for name in row], wide), strict=True):
            result[name] = Cell(first + start // wide, column)
    return result


def _middle(found: Chain, placed: Mapping[str, Cell], name: str) -> float:
    fed = [placed[link.target].column for link in found.links if link.source == name and link.target in placed]
    return sum(fed) / len(fed) if fed else 0.0


def _spread(wanted: list[float], wide: int) -> list[int]:
    """Columns in rising order, each as near to what is wanted as those before and after allow."""
    result: list[int] = []
    for index, want in enumerate(wanted):
        least = result[-1] + 1 if result else 0
        most = wide - (len(wanted) - index)
        result.append(min(max(round(want), least), most))
    return result
