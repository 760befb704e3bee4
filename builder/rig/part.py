"""Parts of a rig, by reference designator."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import AfterValidator

from .fields import (
    AtLeastOne,
    Capacitance,
    Current,
    Energy,
    Inductance,
    Length,
    Model,
    PartValue,
    Power,
    Ratio,
    Resistance,
    Share,
    Text,
    Voltage,
    Whole,
    refuse,
)

CLASS_LETTERS = {
    "A": "assembly", "AT": "dummy load", "B": "blower or motor", "BT": "battery", "C": "capacitor",
    "CB": "circuit breaker", "CR": "semiconductor diode", "DS": "lamp", "E": "terminal, insulator or spark gap",
    "F": "fuse", "FL": "filter", "HR": "heater", "J": "jack or fixed connector", "K": "relay", "L": "coil or choke",
    "LS": "loudspeaker", "M": "meter", "MK": "microphone", "MP": "mechanical part", "P": "plug or movable connector",
    "Q": "transistor", "R": "resistor", "RT": "thermistor", "RV": "varistor", "S": "switch", "T": "transformer",
    "TB": "terminal board", "U": "integrated circuit", "V": "tube", "VR": "breakdown diode", "W": "cable",
    "XF": "fuse holder", "XV": "tube socket", "Y": "crystal", "Z": "network",
}  # fmt: skip
"""Class letters of reference designators; source: IEEE 315-1975, clause 22 (from memory)."""


class Winding(Model):
    """How a coil is wound, so that it can be made again."""

    turns: Ratio
    """Number of turns."""
    diameter: Length | None = None
    """Of the form, or inside of an air-wound coil."""
    length: Length | None = None
    """Of the winding."""
    per_turn: Inductance | None = None
    """Of a toroid core: inductance of one turn, the maker's constant."""
    wire: Length | None = None
    """Diameter of the wire."""
    taps: Text | None = None
    """Where it is tapped, from which end."""


class Part(Model):
    """One part of the rig. Ratings are the maker's; a string of equal parts is one entry with its count elsewhere."""

    what: Text
    """In words: what it is and what for."""
    value: PartValue | None = None
    """Resistance, capacitance or inductance."""
    least: Capacitance | None = None
    """Of a variable capacitor: its least capacitance; value is then the most."""
    tolerance: Share | None = None
    """How far the value may be off."""
    power: Power | None = None
    """What a resistor may dissipate."""
    voltage: Voltage | None = None
    """Direct voltage that it is made for."""
    current: Current | None = None
    """Direct or effective current that it is made for."""
    resistance: Resistance | None = None
    """Direct-current resistance of a winding."""
    surge: Voltage | None = None
    """Voltage that a capacitor stands for a short time."""
    energy: Energy | None = None
    """Heat that a resistor takes in one pulse."""
    winding: Winding | None = None
    """How a home-made coil is wound."""
    count: AtLeastOne = 1
    """How many of them there are under this designator."""
    spares: Whole | None = None
    """How many lie in the spares box."""
    note: Text | None = None
    """Anything that the next owner should know about it."""


def _designator(text: str) -> str:
    match = re.fullmatch(r"([A-Z]+)\d+[A-Z]?", text)
    if match is None or match[1] not in CLASS_LETTERS:
        raise refuse(f'"{text}" is not a reference designator; expected class letter and number, such as R12 or C5A')
    return text


Designator = Annotated[str, AfterValidator(_designator)]
