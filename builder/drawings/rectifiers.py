"""Rectifiers of supplies: full wave with centre tap, bridge, half wave, doubler; silicon strings or tubes."""

from __future__ import annotations

from .schematic import HOP, Point
from .supply_schematic import FOOT, SupplySchematic
from .theme import SMALL

RAIL = 3.0
"""Height of the line that leads from the rectifier to the load, in units."""
TAP = 1.0
"""Height of the middle of the secondary."""
SECONDARY = 1.0
HALF_BRIDGE = 1.9
LONGEST = 3
"""Most diodes of a string that are drawn; one fewer in a bridge."""


def rectifier(s: SupplySchematic) -> float:
    """The rectifier of the supply; returns where its output line begins."""
    circuit = s.supply.rectifier.circuit
    return {"full wave": full_wave, "bridge": bridge, "half wave": half_wave, "doubler": doubler}[circuit](s)


def symbol(s: SupplySchematic) -> str:
    """Which symbol the type has."""
    tube = s.supply.tube
    if "silicon" in tube.kind or "rectifier diode" in tube.kind:
        return "diode"
    if "mercury" in tube.kind or "gas" in tube.kind or "xenon" in tube.kind:
        return "gas rectifier"
    return "tube rectifier" if "filament" in tube.electrodes else "heated rectifier"


def leg_name(s: SupplySchematic, index: int) -> str:
    """Designator of a leg; one bulb with two plates serves two legs."""
    legs = s.supply.rectifier.legs
    return legs[index] if index < len(legs) else legs[-1]


def leg(s: SupplySchematic, start: Point, end: Point) -> None:
    """One leg, from the alternating to the direct side, the other way round in a negative supply."""
    if s.negative:
        start, end = end, start
    longest = LONGEST if start[1] == end[1] else LONGEST - 1
    name, count = symbol(s), min(s.supply.rectifier.in_series, longest)
    count = count if name == "diode" else 1
    across, up = (end[0] - start[0]) / count, (end[1] - start[1]) / count
    for index in range(count):
        here = (start[0] + index * across, start[1] + index * up)
        s.symbol(name, here, (here[0] + across, here[1] + up))


def type_words(s: SupplySchematic) -> str:
    """Type of the rectifier and how many are in series."""
    found = s.supply.rectifier
    return f"{found.in_series} × {found.type}" if found.in_series > 1 else found.type


def reach(s: SupplySchematic) -> float:
    """How far a leg reaches from its axis, gap included."""
    return 0.4 if symbol(s) == "diode" else 0.74


def full_wave(s: SupplySchematic) -> float:
    """A leg at each end of the secondary, the centre tap at the chassis."""
    x = 4.6
    for index, (height, end, side) in enumerate(((RAIL, 2.4, "above"), (FOOT, -0.4, "below"))):
        s.wire((SECONDARY, end), (SECONDARY, height), (1.6, height))
        leg(s, (1.6, height), (4.0, height))
        away = reach(s) if side == "above" else -reach(s)
        s.words((2.8, height + away), (leg_name(s, index), type_words(s)), side)
        s.wire((4.0, height), (x, height))
    s.wire((x, FOOT), (x, RAIL))
    s.dot((x, RAIL))
    returns(s, (SECONDARY, TAP), 1)
    return x


def returns(s: SupplySchematic, start: Point, away: int) -> None:
    """The return to the chassis, through its meter where it has one."""
    x, y = start
    meter = s.meter()
    end = (x + away * (1.9 if meter else 0.9), y)
    s.put_meter(meter, (x + away * 0.3, y), end, "below")
    s.wire(start, (x + away * 0.3, y))
    s.wire(end, (end[0], y - 0.3))
    s.ground((end[0], y - 0.3))


def half_wave(s: SupplySchematic) -> float:
    """One leg, the other end of the secondary at the chassis."""
    s.wire((SECONDARY, 2.4), (SECONDARY, RAIL), (1.6, RAIL))
    leg(s, (1.6, RAIL), (4.0, RAIL))
    s.words((2.8, RAIL + reach(s)), (leg_name(s, 0), type_words(s)), "above")
    s.wire((SECONDARY, -0.4), (2.2, -0.4), (2.2, FOOT))
    s.ground((2.2, FOOT))
    return 4.0


JOINT = 1.7
"""Height at which the legs of a doubler meet."""
LEGS = 3.2
"""Where the legs of a doubler stand."""


def doubler(s: SupplySchematic) -> float:
    """Two legs above one another; the other end of the secondary goes to the middle of the capacitors."""
    s.wire((SECONDARY, 2.4), (2.4, 2.4), (2.4, JOINT), (LEGS, JOINT))
    for start, end, index in (((LEGS, FOOT), (LEGS, 0.4), 1), ((LEGS, JOINT), (LEGS, RAIL), 0)):
        leg(s, start, end)
        s.words((LEGS + reach(s), (start[1] + end[1]) / 2), (leg_name(s, index), type_words(s)), "right")
    s.wire((LEGS, 0.4), (LEGS, JOINT))
    s.dot((LEGS, JOINT))
    s.ground((LEGS, FOOT))
    s.wire((SECONDARY, -0.4), (2.0, -0.4), (2.0, TAP), (LEGS - HOP, TAP))
    s.hop_across((LEGS, TAP))
    reached = LEGS + 2.4
    s.wire((LEGS + HOP, TAP), (reached, TAP))
    s.wire((LEGS, RAIL), (reached, RAIL))
    return reached


def bridge(s: SupplySchematic) -> float:
    """Four legs in a diamond: alternating above and below, direct left and right."""
    middle = (6.2 if s.meter() else 5.0, TAP)
    x, y = middle
    top, foot = (x, y + HALF_BRIDGE), (x, y - HALF_BRIDGE)
    left, right = (x - HALF_BRIDGE, y), (x + HALF_BRIDGE, y)
    s.wire((SECONDARY, 2.4), (SECONDARY, top[1]), top)
    s.wire((SECONDARY, -0.4), (SECONDARY, foot[1]), foot)
    for index, (start, end) in enumerate(((top, right), (foot, right), (left, top), (left, foot))):
        leg(s, start, end)
        spot = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        out = 1 if spot[0] > x else -1
        shift = (out * reach(s) * 0.8, (1 if spot[1] > y else -1) * reach(s) * 0.8)
        s.words((spot[0] + shift[0], spot[1] + shift[1]), (leg_name(s, index),), "right" if out > 0 else "left")
    s.dot(top, foot, left, right)
    s.words((x, foot[1] - 0.3), (f"{type_words(s)} in each leg",), "below", size=SMALL)
    returns(s, left, -1)
    turn = right[0] + 0.5
    s.wire(right, (turn, y), (turn, RAIL), (turn + 0.6, RAIL))
    return turn + 0.6
