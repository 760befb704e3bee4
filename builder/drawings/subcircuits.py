"""Pieces of circuits that several kinds of stages share, drawn round a tube whose middle is the origin."""

from __future__ import annotations

from typing import Any

from .schematic import Point
from .stage_schematic import BASE, StageSchematic
from .theme import SMALL

GRID = -2.6
"""Where the grid leak hangs, left of the tube."""
INPUT = -4.9
SCREEN = 3.0
"""Where the screen bypass hangs, right of the tube."""
PLATE = 2.4
"""Height of the line that leads from the plate to the right."""
FEED = 4.8
"""Height at which the plate feed begins, above its choke."""


def tube(s: StageSchematic, at: Point = (0.0, 0.0), *, upside_down: bool = False) -> Any:
    """The tube of the stage."""
    from .elements.tube import Tube

    electrodes = s.stage.tube.electrodes
    grids = sum(name in electrodes for name in ("grid", "screen", "suppressor"))
    beam = "beam" in s.stage.tube.kind
    element = Tube(grids=grids, filament="filament" in electrodes, beam=beam).at(at)
    return s.add(element.flip() if upside_down else element)


def tube_words(s: StageSchematic, at: Point, sockets: str = "", side: str = "left") -> None:
    """Sockets and type of the tube."""
    count = s.stage.count
    many = f"{count} × {s.stage.tubes.type}, parallel" if count > 1 and not sockets else s.stage.tubes.type
    s.words(at, (sockets or ", ".join(s.stage.tubes.sockets), many), side)


def grid_input(s: StageSchematic, grid: Point, words: tuple[str, ...] | None = None, x: float = 0.0) -> None:
    """Signal from the left through a coupling capacitor to the grid, with the grid's leak.

    Args:
        s: the schematic.
        grid: where the tube's control grid comes out.
        words: at the terminal; None where the wire comes from another part of the drawing.
        x: of the tube.
    """
    circuit = s.stage.grid
    joint = (x + GRID, grid[1])
    s.part("resistor", circuit.stopper, joint, grid, "above")
    s.part("capacitor", circuit.coupling, (x + INPUT + 0.3, grid[1]), joint, "above")
    s.wire((x + INPUT, grid[1]), (x + INPUT + 0.3, grid[1]))
    if words is not None:
        s.port((x + INPUT, grid[1]), "left", words)
    grid_return(s, joint)
    s.note((x - 1.65, grid[1] - 0.12), "below", "grid_bias", "grid_current")


def grid_return(s: StageSchematic, joint: Point) -> None:
    """The leak, or the bias supply, of the grid."""
    circuit = s.stage.grid
    if circuit.leak is None and circuit.supply is None:
        return
    s.dot(joint)
    x, y = joint
    foot = (x, y - 2.1)
    s.part("resistor", circuit.leak, joint, foot, "left")
    s.put_meter(s.meter("grid current", "leak", "grid"), foot, (x, BASE), "left")
    if circuit.supply:
        s.port((x, BASE), "below", s.bias_words())
    else:
        s.ground((x, BASE))


def emitter_return(s: StageSchematic, element: Any) -> None:
    """The cathode, or the middle of the filament winding, to the chassis."""
    if "heat1" not in element.anchors:
        cathode_return(s, element.cathode)
        return
    left, right = element.heat1, element.heat2
    y = left[1] - 0.5
    s.wire(left, (left[0], y + 0.2), (left[0] - 0.4, y + 0.2), (left[0] - 0.4, y))
    s.wire(right, (right[0], y + 0.2), (right[0] + 0.4, y + 0.2), (right[0] + 0.4, y))
    s.symbol("filament winding", (left[0] - 0.4, y), (right[0] + 0.4, y))
    s.words((right[0] + 0.6, y), s.filament_words(), "right", size=SMALL)
    cathode_return(s, ((left[0] + right[0]) / 2, y))


def cathode_return(s: StageSchematic, cathode: Point) -> None:
    """The cathode to the chassis, through its load, its resistor and its meter."""
    circuit = s.stage.cathode
    x, y = cathode
    load = getattr(s.stage, "cathode_load", None)
    if load:
        s.wire(cathode, (x, BASE + 0.5))
        s.part("resistor", load, (x, BASE + 0.5), (x, BASE - 1.5), "left")
        s.ground((x, BASE - 1.5))
        return
    meter = s.meter("plate current", "cathode")
    if circuit is None or circuit.resistor is None:
        s.put_meter(meter, cathode, (x, BASE), "left")
        s.ground((x, BASE))
        return
    top = (x, y - 0.25)
    s.wire(cathode, top)
    s.part("resistor", circuit.resistor, top, (x, BASE), "left")
    s.ground((x, BASE))
    if circuit.bypass:
        s.dot(top)
        s.wire(top, (x + 1.3, top[1]))
        s.part("capacitor", circuit.bypass, (x + 1.3, top[1]), (x + 1.3, BASE))
        s.ground((x + 1.3, BASE))


def screen_feed(s: StageSchematic, screen: Point, feed: Point | None = None) -> None:
    """The screen's bypass and its feed: from a supply, or from the plate line through a resistor.

    Args:
        s: the schematic.
        screen: where the screen comes out.
        feed: joint of the plate line, for a screen that is fed from it.
    """
    circuit = s.stage.screen
    if circuit is None:
        return
    joint = (SCREEN, screen[1])
    s.wire(screen, joint)
    s.note(((screen[0] + SCREEN) / 2 - 0.1, screen[1] - 0.12), "below", "screen_voltage", "screen_current")
    if circuit.bypass:
        s.dot(joint)
        s.part("capacitor", circuit.bypass, joint, (SCREEN, BASE))
        s.ground((SCREEN, BASE))
    start = divider(s, joint)
    if circuit.from_ == "plate" and feed:
        top = (SCREEN, PLATE - 0.3)
        s.part("resistor", circuit.through, joint, top)
        s.hop(top, (SCREEN, feed[1]), PLATE)
        s.wire((SCREEN, feed[1]), feed)
        s.dot(feed)
        return
    end = (start[0] + (2.0 if circuit.through else 0.8), screen[1])
    s.part("resistor", circuit.through, start, end, "above")
    s.port(end, "right", s.supply_words(circuit.supply or s.stage.plate.supply), "below")


ASIDE = 2.0
"""Between the screen bypass and the lower resistor of a divider."""


def divider(s: StageSchematic, joint: Point) -> Point:
    """The lower resistor of a screen's voltage divider; returns where the feed comes in.

    Args:
        s: the schematic.
        joint: of the screen with its bypass.
    """
    lower = s.stage.screen.to_earth if s.stage.screen else None
    if lower is None:
        return joint
    aside = (joint[0] + ASIDE, joint[1])
    s.dot(joint, *((aside,) if s.stage.screen and s.stage.screen.supply else ()))
    s.wire(joint, aside)
    s.part("resistor", lower, aside, (aside[0], BASE))
    s.ground((aside[0], BASE))
    return aside


def plate_line(s: StageSchematic, anode: Point) -> Point:
    """The plate's lead up to the line that carries its output, with plate voltage and current beside it."""
    joint = (anode[0], PLATE)
    s.wire(anode, joint)
    s.note((anode[0] + 0.15, anode[1] + 0.72), "right", "plate_voltage", "plate_current")
    s.dot(joint)
    return joint


def plate_feed(s: StageSchematic, joint: Point, choke: str | None, symbol: str = "choke") -> Point:
    """From the plate line up through a choke or resistor; returns the end away from the tube."""
    top = (joint[0], FEED)
    s.part(symbol, choke, joint, top, "right")
    return top


def supply_port(s: StageSchematic, below: Point, through: str | None = None) -> None:
    """The end of a feed: the terminal to the supply."""
    x, y = below
    top = (x, y + (2.0 if through else 0.4))
    s.part("resistor", through, below, top, "right")
    s.port(top, "above", s.supply_words(s.stage.plate.supply))


def modulated_feed(s: StageSchematic, below: Point) -> None:
    """The plate feed through the secondary of the modulation transformer, and on to the supply."""
    name = s.stage.plate.modulated_by
    if not name:
        supply_port(s, below, s.stage.plate.through)
        return
    x, y = below
    start, end = (x, y + 0.2), (x, y + 2.2)
    s.wire(below, start)
    s.symbol("filament winding", end, start)
    s.core((x + 0.32, y + 1.8), 1.2)
    modulator = s.examination.rig.stages.get(name)
    transformer = getattr(modulator, "transformer", None)
    words = (transformer.part if transformer else "", "secondary; primary in", s.stage_title(name))
    s.words((x + 0.55, y + 1.2), words, "right")
    supply_port(s, end, s.stage.plate.through)


def output_port(s: StageSchematic, at: Point, start: Point, words: str = "") -> None:
    """The line to the next stage."""
    s.wire(start, at)
    receiver = words or s.receiver()
    s.port(at, "right", (f"to {receiver}" if receiver else "output", *s.reads("output_power")[:1]))


def tank(s: StageSchematic, coil: str | None, tune: str | None, joint: Point) -> Point:
    """A tuned circuit in the plate feed; returns its cold end."""
    top = (joint[0], FEED)
    s.part("coil", coil, joint, top, "left")
    if tune:
        low, high = (joint[0], joint[1] + 0.35), (joint[0], FEED - 0.35)
        beside = joint[0] + 1.5
        s.wire(low, (beside, low[1]))
        s.part("variable", tune, (beside, low[1]), (beside, high[1]))
        s.wire((beside, high[1]), high)
        s.dot(low, high)
    return top
