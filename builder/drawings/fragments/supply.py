"""Circuit of a power supply: line, transformer, rectifier, filter, bleeder."""

from __future__ import annotations

from builder.drawings.drawing import Drawing, Medium, fragment
from builder.drawings.rectifiers import RAIL, rectifier
from builder.drawings.schematic import Point
from builder.drawings.supply_schematic import FOOT, SupplySchematic
from builder.drawings.theme import SMALL
from builder.drawings.typeface import wrapped
from builder.examine import Examination
from builder.quantity import show
from builder.rig.supply import Section

ALL_SHOWN = 3
"""Longest string of capacitors that is drawn capacitor by capacitor."""
PRIMARY = (2.4, -0.4)
"""Heights of the ends of the primary."""


@fragment("supply")
def supply(examination: Examination, path: str, medium: Medium) -> Drawing:
    """The whole supply from the line to its terminals."""
    s = SupplySchematic(examination, path)
    line(s)
    transformer(s)
    x = rectifier(s)
    tapped = s.supply.rectifier.circuit == "doubler"
    for section in s.supply.filter:
        x = step(s, x, section, tapped=tapped)
        tapped = False
    x = regulator(s, plate_line(s, bleeder(s, x)))
    output(s, x)
    protection(s, x)
    return s.finish(medium)


def line(s: SupplySchematic) -> None:
    """The line with fuse, switch and step-start resistor, in the order in which the current meets them."""
    high, low = PRIMARY
    row = line_parts(s)
    start = min(-2.6, -2.1 * len(row))
    s.wire((start + 2.1 * len(row), high), (0.0, high))
    for index, (symbol, part, more) in enumerate(row):
        at = start + 2.1 * index
        s.part(symbol, part, (at, high), (at + 2.1, high), "above", (more,))
    variable = s.supply.variable
    if variable:
        words = (variable.part, "variable", show(variable.setting.value, "%"))
        s.words((-1.1, low - 0.1), words, "below", size=SMALL)
    s.wire((start, low), (0.0, low))
    s.port((start, high), "left", ("line",))
    s.port((start, low), "left", ("line",))


def line_parts(s: SupplySchematic) -> list[tuple[str, str, str]]:
    """Symbol, designator and further words of each part in the line."""
    fuse, primary = s.supply.fuse, s.supply.primary
    found = [("fuse", fuse.part, str(fuse.rating or ""))] if fuse else []
    found += [("switch", primary.switch.part, "")] if primary and primary.switch else []
    found += [("resistor", s.supply.step_start, "step start")] if s.supply.step_start else []
    return found


def transformer(s: SupplySchematic) -> None:
    """Both windings and the core, with what the secondary is made for."""
    high, low = PRIMARY
    s.symbol("winding", (0.0, high), (0.0, low))
    s.core((0.5, 2.1), 2.2)
    s.symbol("winding", (1.0, low), (1.0, high))
    found = s.supply.transformer
    tap = ", centre tap" if found.tap == "centre" else ""
    voltage = f"{found.secondary}{tap}" if found.secondary else tap.removeprefix(", ")
    s.words((0.0, -1.35), (found.part, voltage, str(found.current or "")), "below", size=SMALL)


def step(s: SupplySchematic, x: float, section: Section, *, tapped: bool = False) -> float:
    """One step of the filter; returns where the line has got to.

    Args:
        s: the schematic.
        x: where the line has got to.
        section: the step.
        tapped: whether the other end of a doubler's secondary comes in at the middle of the capacitors.
    """
    if section.choke:
        return choke(s, x, section)
    if section.resistor:
        s.part("resistor", section.resistor, (x, RAIL), (x + 2.4, RAIL), "above")
        return x + 2.4
    end = capacitor(s, x, section)
    if tapped:
        at = x + (1.9 if section.equaliser else 0.3)
        s.wire((x, MIDDLE), (at, MIDDLE))
        s.dot((at, MIDDLE))
    return end


MIDDLE = (RAIL + FOOT) / 2
"""Height of the middle of a string of two capacitors."""


def regulator(s: SupplySchematic, x: float) -> float:
    """Glow tubes behind their resistor; returns where the regulated line has got to."""
    found = s.supply.regulator
    if found is None:
        return x
    s.part("resistor", found.through, (x, RAIL), (x + 2.4, RAIL), "above")
    at = x + 2.7
    s.wire((x + 2.4, RAIL), (at, RAIL))
    s.dot((at, RAIL))
    each = (RAIL - FOOT) / len(found.sockets)
    for index, socket in enumerate(found.sockets):
        top = RAIL - index * each
        s.symbol("glow tube", (at, top), (at, top - each))
        s.words((at + 0.62, top - each / 2), (socket, found.type), "right")
    s.ground((at, FOOT))
    s.wire((at, RAIL), (at + 1.9, RAIL))
    return at + 1.9


def choke(s: SupplySchematic, x: float, section: Section) -> float:
    """A choke in the line; returns where the line has got to."""
    part = s.parts.get(section.choke or "")
    more = (f"{part.resistance}".replace("ohm", "Ω"),) if part and part.resistance else ()
    s.part("iron choke", section.choke, (x, RAIL), (x + 2.4, RAIL), "above", more)
    s.wire((x + 2.4, RAIL), (x + 2.6, RAIL))
    return x + 2.6


def capacitor(s: SupplySchematic, x: float, section: Section) -> float:
    """A capacitor from the line to the chassis, or a string of them with resistors that share the voltage."""
    at = x + (1.9 if section.equaliser else 0.3)
    s.wire((x, RAIL), (at, RAIL))
    s.dot((at, RAIL))
    s.ground((at, FOOT))
    heights = steps(s, at, section)
    for index, (top, foot) in enumerate(heights):
        s.part("capacitor", section.capacitor, (at, top), (at, foot), "right" if section.equaliser is None else "left")
        if section.equaliser:
            beside = at + 0.9
            s.wire((at, top), (beside, top))
            s.part("resistor", section.equaliser, (beside, top), (beside, foot))
            s.wire((beside, foot), (at, foot))
            s.dot(*(((at, top),) if index else ()), (at, foot))
    end = at + (2.8 if section.equaliser else 2.2)
    s.wire((at, RAIL), (end, RAIL))
    return end


def steps(s: SupplySchematic, at: float, section: Section) -> list[tuple[float, float]]:
    """Heights between which each capacitor of a string stands; of a long string only the ends."""
    count = section.string
    if count <= ALL_SHOWN:
        each = (RAIL - FOOT) / count
        return [(RAIL - index * each, RAIL - (index + 1) * each) for index in range(count)]
    third = (RAIL - FOOT) / 2.8
    upper, lower = RAIL - third, FOOT + third
    s.dashed((at, upper), (at, lower))
    s.words((at + 0.25, (upper + lower) / 2), (f"{count} in series",), "right", size=SMALL)
    return [(RAIL, upper), (lower, FOOT)]


def bleeder(s: SupplySchematic, x: float) -> float:
    """The resistor that empties the filter."""
    designator = s.supply.bleeder
    if designator is None or designator == "none":
        return x
    at = x + 0.3
    s.wire((x, RAIL), (at, RAIL))
    s.dot((at, RAIL))
    s.part("resistor", designator, (at, RAIL), (at, FOOT), more=("bleeder",))
    s.ground((at, FOOT))
    s.wire((at, RAIL), (at + 1.7, RAIL))
    return at + 1.7


def plate_line(s: SupplySchematic, x: float) -> float:
    """Glitch resistor and high-voltage fuse, where there are any; returns where the line has got to."""
    glitch, fuse = s.supply.glitch, s.supply.high_voltage_fuse
    steps = [("resistor", glitch.resistor, "glitch")] if glitch else []
    steps += [("fuse", fuse.part, str(fuse.rating or ""))] if fuse else []
    for symbol, part, more in steps:
        s.part(symbol, part, (x, RAIL), (x + 2.0, RAIL), "above", (more,))
        x += 2.0
    return x


def protection(s: SupplySchematic, x: float) -> None:
    """In words, below the terminal: what ties B minus to the chassis, and the interlocks."""
    back, primary = s.supply.return_, s.supply.primary
    ties = [part for part in (back.resistor, back.diodes) if part and part != "none"] if back else []
    switches = primary.interlock.switches if primary and primary.interlock else ()
    tied = f"B minus to chassis: {', '.join(ties)}" if ties else ""
    s.words((x + 0.7, 0.4), (tied, f"interlock: {', '.join(switches)}" if switches else ""), size=SMALL)


def output(s: SupplySchematic, x: float) -> None:
    """The terminal with voltage and what hangs on it."""
    end: Point = (x + 0.5, RAIL)
    s.wire((x, RAIL), end)
    feeds = wrapped(s.supply.feeds, SMALL, 190.0, 3) if s.supply.feeds else ()
    s.port(end, "right", (s.voltage(), *feeds))
