"""Output networks of finals: pi, pi-L, L and link, drawn along a line from left to right."""

from __future__ import annotations

from builder.rig.network import FilterPart, Network

from .schematic import Point
from .stage_schematic import StageSchematic

DROP = 2.0
"""Length of a part that hangs from the line."""
APART = 0.8
"""Distance of a link from its coil, so that each has a chassis of its own."""
BOX = 2.2
"""Width of the box of a filter."""


def network(s: StageSchematic, start: Point) -> Point:
    """The network that the stage's output names; returns its end.

    Args:
        s: the schematic.
        start: where the blocking capacitor ends.
    """
    found: Network | None = s.examination.rig.networks.get(s.stage.output.network or "")
    if found is None:
        return start
    end = link(s, found, start) if found.form == "link" else ladder(s, found, start)
    return filtered(s, found, end)


def ladder(s: StageSchematic, found: Network, start: Point) -> Point:
    """Pi, pi-L and L: capacitors to the chassis, coils in the line."""
    x, y = start
    hang(s, "variable", found.tune, (x, y))
    end = (x + 2.8, y)
    s.wire((x, y), (x + 0.5, y))
    s.part("coil", found.coil, (x + 0.5, y), (x + 2.3, y), "above", switched(found))
    s.wire((x + 2.3, y), end)
    hang(s, "variable", found.loading, end)
    if found.second_coil:
        s.part("coil", found.second_coil, (end[0] + 0.3, y), (end[0] + 2.1, y), "above")
        s.wire(end, (end[0] + 0.3, y))
        end = (end[0] + 2.1, y)
    return end


def filtered(s: StageSchematic, found: Network, start: Point) -> Point:
    """The low-pass filter by its parts, or as a box where they are not listed; nothing where there is none."""
    if found.low_pass is None:
        return start
    if found.low_pass.parts:
        return by_parts(s, found.low_pass.parts, (start[0] + 2.1, start[1]), start)
    x, y = start
    left, right = x + 1.6, x + 1.6 + BOX
    s.wire(start, (left, y))
    s.wire((left, y), (left, y + 0.6), (right, y + 0.6), (right, y), (right, y - 0.6), (left, y - 0.6), (left, y))
    s.words(((left + right) / 2, y), ("low-pass", "filter"), "middle")
    return right, y


def by_parts(s: StageSchematic, parts: tuple[FilterPart, ...], first: Point, start: Point) -> Point:
    """The parts of a filter: capacitors to the chassis, coils in the line."""
    s.wire(start, first)
    at = first
    for part in parts:
        if part.capacitor:
            hang(s, "capacitor", part.capacitor, at)
            continue
        behind = (at[0] + 2.5, at[1])
        s.wire(at, (at[0] + 0.35, at[1]))
        s.part("coil", part.coil, (at[0] + 0.35, at[1]), (at[0] + 2.15, at[1]), "above")
        s.wire((at[0] + 2.15, at[1]), behind)
        at = behind
    s.wire(at, (at[0] + 0.8, at[1]))
    return at[0] + 0.8, at[1]


def switched(found: Network) -> tuple[str, ...]:
    """What the label of a coil adds where a switch picks its taps."""
    return (f"tapped by {found.switch}",) if found.switch else ()


def hang(s: StageSchematic, symbol: str, designator: str | None, top: Point) -> None:
    """A part from the line to the chassis; nothing where the rig file names none."""
    if designator is None:
        return
    foot = (top[0], top[1] - DROP)
    s.dot(top)
    s.part(symbol, designator, top, foot)
    s.ground(foot)


def link(s: StageSchematic, found: Network, start: Point) -> Point:
    """A tuned circuit to the chassis with a link coil beside its cold end."""
    x, y = start
    hang(s, "variable", found.tune, (x, y))
    coil = x + (4.8 if found.switch else 3.3)
    s.wire((x, y), (coil, y))
    s.part("coil", found.coil, (coil, y), (coil, y - DROP), "left", switched(found))
    s.ground((coil, y - DROP))
    beside = coil + APART
    wound = ((beside, y - DROP), (beside, y - DROP + 1.2))
    if found.link_coil:
        s.part("link", found.link_coil, *wound, "right")
    else:
        s.symbol("link", *wound)
    s.ground((beside, y - DROP))
    s.wire((beside, y - DROP + 1.2), (beside, y))
    end = (beside + 1.2, y)
    s.part("variable", found.loading, (beside, y), end, "above")
    return end
