"""The primary side of supplies, and what protects people and tubes behind it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import pi
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator

from builder.physics import amplifier, protection, supplies
from builder.quantity import Quantity
from builder.reference.tables import CordRow, cord_rows

from .fields import (
    AnyPart,
    AtLeastOne,
    CordId,
    Current,
    Length,
    Measures,
    Model,
    Resistor,
    Text,
    Voltage,
    Whole,
    YesNo,
    refuse,
)
from .part import Part
from .thing import Rated, Thing, Total, Usual, Via, World, formula, origins

SIZE = re.compile(r"(?P<gauge>\d{1,2}) ?AWG|(?P<section>\d{1,3}(?:\.\d{1,2})?) ?mm(?:2|²)")


def conductor(text: Any) -> Any:
    """Size of a conductor by its gauge or section, kept as the diameter of a solid wire of that section."""
    if isinstance(text, Quantity):
        return text
    match = SIZE.fullmatch(text) if isinstance(text, str) else None
    if match is None:
        raise refuse(f'"{text}" is not the size of a conductor; expected gauge or section, such as 14 AWG or 2.5 mm2')
    if match["gauge"]:
        return Quantity(protection.gauge_diameter(int(match["gauge"])), "m", text=text)
    section = float(match["section"]) * 1e-6
    if not section:
        raise refuse(f'"{text}" leaves no metal; a conductor has a section above zero, such as 2.5 mm2')
    return Quantity((4 * section / pi) ** 0.5, "m", text=text)


def _earth(text: Any) -> Any:
    return Quantity(0.0, "m", text="none") if text == "none" else conductor(text)


Conductor = Annotated[Quantity, Measures("length"), BeforeValidator(conductor)]
Earth = Annotated[Quantity, Measures("length"), BeforeValidator(_earth)]


class Switch(Model):
    """A switch or contactor in the primary."""

    part: AnyPart
    """Its designator."""
    rating: Current | None = None
    """Current that its contacts are made for, at the line voltage."""


class Interlock(Model):
    """Switches that a cover works, and what their contacts carry."""

    switches: tuple[AnyPart, ...]
    """One for each cover."""
    rating: Current | None = None
    """Current that their contacts are made for."""
    current: Current | None = None
    """What they carry, where they open the coil of a contactor instead of the line."""


class Primary(Model):
    """The line side of a supply."""

    cord: CordId | None = None
    """Cord that it hangs on."""
    switch: Switch | None = None
    """Its own switch; without one it goes with the switch of the cord."""
    fused: Whole | None = None
    """How many wires of the line have a fuse."""
    interlock: Interlock | None = None
    """What switches it off when a cover is opened."""
    screwed: YesNo | None = None
    """Whether every cover over its live parts needs a tool."""

    @property
    def guards(self) -> dict[str, Quantity]:
        """How many things keep hands out; nothing where nothing is recorded."""
        if self.interlock is None and self.screwed is None:
            return {}
        switches = len(self.interlock.switches) if self.interlock else 0
        return {"guards": Quantity(float(switches + bool(self.screwed)), "")}


class Glitch(Model):
    """Resistor between filter and tube that limits the current of a flashover."""

    resistor: Resistor
    """Its designator; the heat that it takes in one pulse stands among the parts."""
    stands: Current | None = None
    """Surge that the weakest part in the path of a flashover stands."""


class HighVoltageFuse(Model):
    """Fuse in the plate line."""

    part: AnyPart
    """Its designator."""
    rating: Current | None = None
    """Current that it carries."""
    voltage: Voltage | None = None
    """Direct voltage that it can break."""


class Return(Model):
    """How the current comes back to the supply."""

    lifted: YesNo
    """Whether B minus is lifted from the chassis so that meters can sit in it."""
    resistor: Resistor | None = None
    """From B minus to chassis."""
    diodes: AnyPart | Literal["none"] | None = None
    """Across that resistor, one each way."""
    wire: YesNo | None = None
    """Whether the current has a wire of its own, apart from chassis and shields."""

    def counted(self, parts: Mapping[str, Part]) -> dict[str, Quantity]:
        """Diodes and wires of its own.

        Args:
            parts: of the rig.
        """
        found: dict[str, Quantity] = {}
        if self.diodes:
            number = 0 if self.diodes == "none" else parts[self.diodes].count
            found["return_diodes"] = Quantity(float(number), "")
        if self.wire is not None:
            found["return_wires"] = Quantity(float(self.wire), "")
        return found


class Cord(Thing):
    """A mains cord, with the switch behind it."""

    collection: ClassVar[str] = "cords"
    kind_words: ClassVar[str] = "mains cord"
    name: Text | None = None
    """What it is called."""
    part: AnyPart | None = None
    """Its designator."""
    conductor: Conductor | None = None
    """Size of each line wire."""
    earth: Earth | None = None
    """Size of the protective earth conductor, or none."""
    live: AtLeastOne | None = None
    """How many of its wires are live: one beside a neutral, two of a 240 V circuit without."""
    rating: Current | None = None
    """Current that its maker allows; without it the table for its size is used."""
    length: Length | None = None
    """From plug to inlet."""
    voltage: Voltage | None = None
    """Of its outlet, where it is not that of the station."""
    switch: Switch | None = None
    """The main switch behind it."""
    other: Current | None = None
    """Line current of heaters, blower and whatever else hangs on it beside the supplies that name it."""
    origins_of_kind: ClassVar = origins(
        ("mains_voltage", Via("", "voltage")),
        ("mains_voltage", Via("station", "mains_voltage")),
        ("supplies_current", Total("mains_current", "primary.cord")),
        formula(supplies.sum_of_currents, "cord_current", first="supplies_current", second="other"),
        formula(protection.cord_resistance, cord_length="length"),
        formula(protection.cord_drop),
    )

    def title(self, name: str) -> str:
        """Its own name, or its id."""
        return self.name or f"{name} cord"

    def rated(self, world: World) -> Mapping[str, Rated]:  # noqa: ARG002 - the size is enough
        """What the table allows for its size."""
        row = row_for(self.conductor.value) if self.conductor else None
        if row is None:
            return {}
        return {"cord_current_rated": Rated(row.amount, row, f"flexible cord of {row.size}")}

    def derived(self, world: World) -> Mapping[str, Quantity]:  # noqa: ARG002 - counting needs nothing else
        """How many wires are live, and what its maker allows, which comes before the table."""
        live = {"live_wires": Quantity(float(self.live), "")} if self.live else {}
        return {**live, "cord_current_rated": self.rating} if self.rating else live


NEAR = 1.005
"""How much thinner than its nominal size a conductor may be taken to be; rounding of sections."""


def row_for(diameter: float) -> CordRow | None:
    """The row of the table for a conductor: the thickest that is not thicker than it.

    Args:
        diameter: metres, of a solid wire of the same section.
    """
    sized = ((conductor(row.size).value, row) for row in cord_rows())
    fitting = [(size, row) for size, row in sized if size <= diameter * NEAR]
    return max(fitting, key=lambda item: item[0])[1] if fitting else None


CLAMP, CLAMP_SIGMA = 1.2, 0.1
"""Volts across a silicon rectifier that carries its rated current; jedec-rectifier (from memory)."""
GLITCH_CURRENT = 40.0
"""Amperes of a flashover that a tube is taken to stand where nothing better is recorded; glitch-practice."""
PROTECTION = (
    ("cord_current_rated", Via("primary.cord", "cord_current_rated")),
    ("live_wires", Via("primary.cord", "live_wires")),
    ("primary_switch_rating", Via("primary.cord", "switch_rating")),
    ("primary_interlock_current", Via("", "mains_current")),
    formula(protection.fault_current),
    ("glitch_stands", Usual(GLITCH_CURRENT, 0.0, "A", "glitch-practice", "tubes of up to 1.5 kW of dissipation")),
    formula(amplifier.resistor_power, "glitch_power", resistance="glitch_resistor", resistor_current="load_current"),
    ("clamp_voltage", Usual(CLAMP, CLAMP_SIGMA, "V", "jedec-rectifier", "a silicon rectifier at its rated current")),
)  # fmt: skip
"""Values of a supply's line side and of what protects behind it."""
CLAMPED = (formula(protection.clamped_rise, "return_rise"),)
UNCLAMPED = (formula(protection.open_rise, "return_rise"),)


def protected(back: Return | None) -> Mapping[str, tuple[Any, ...]]:
    """Where the values come from, by what stands between B minus and chassis.

    Args:
        back: how the current of the supply returns.
    """
    clamped = back is not None and back.diodes not in {None, "none"}
    return origins(*PROTECTION, *(CLAMPED if clamped else UNCLAMPED))
