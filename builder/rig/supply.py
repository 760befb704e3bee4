"""Power supplies: transformer, rectifier, filter, bleeder."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cached_property
from typing import Any, ClassVar, Literal

from pydantic import model_validator

from builder.physics import amplifier, cooling, supplies
from builder.quantity import Quantity
from builder.reference.tables import Rating, Tube, tube_file, tube_types

from .fields import (
    AnyPart,
    AtLeastOne,
    Capacitor,
    Coil,
    Current,
    Model,
    Resistance,
    Resistor,
    Share,
    Text,
    Time,
    TubeType,
    Voltage,
    WindingId,
    YesNo,
    refuse,
)  # fmt: skip
from .part import Part
from .thing import Origin, Rated, Thing, Total, Via, World, formula, origins


class Transformer(Model):
    """Plate or bias transformer: voltage of the whole secondary, effective, and the direct current it is rated for."""

    part: AnyPart
    secondary: Voltage | None = None
    tap: Literal["centre", "none"] = "none"
    current: Current | None = None
    resistance: Resistance | None = None


class Rectifier(Model):
    """Rectifier of a supply: type, how many make up one leg, and the circuit."""

    type: TubeType
    circuit: Literal["full wave", "bridge", "half wave"]
    legs: tuple[Text, ...]
    in_series: AtLeastOne = 1
    condition: Text | None = None
    delay: Time | None = None
    winding: WindingId | None = None
    """Winding that heats it."""
    upright: YesNo | None = None
    """Whether mercury-vapour tubes stand upright."""


class Section(Model):
    """One step of the filter in the order in which the current meets them: a choke, or a capacitor (or string)."""

    choke: Coil | None = None
    capacitor: Capacitor | None = None
    string: AtLeastOne = 1
    equaliser: Resistor | None = None

    @model_validator(mode="after")
    def _one(self) -> Section:
        if (self.choke is None) == (self.capacitor is None):
            raise refuse("expected either a choke or a capacitor in each step of a filter")
        return self


class Fuse(Model):
    """Fuse in the primary."""

    part: AnyPart
    rating: Current | None = None


class SupplyOutput(Model):
    """What comes out."""

    voltage: Voltage | None = None


class Supply(Thing):
    """A supply that changes alternating current into smooth direct current."""

    collection: ClassVar[str] = "supplies"
    kind_words: ClassVar[str] = "supply"
    name: Text | None = None
    feeds: Text | None = None
    transformer: Transformer
    rectifier: Rectifier
    filter: tuple[Section, ...] = ()
    bleeder: Resistor | Literal["none"] | None = None
    output: SupplyOutput = SupplyOutput.model_construct()
    fuse: Fuse | None = None
    step_start: Resistor | None = None
    power_factor: Share | None = None
    efficiency: Share | None = None
    on_in_receive: YesNo | None = None
    """Whether it stays on while the station listens."""
    mains_voltage: Voltage | None = None
    """Line voltage, where it is not that of the station."""
    least_current: Current | None = None
    """Where a relay keeps the supply from running unloaded: the least current that is drawn."""
    isolates: Text | None = None

    def title(self, name: str) -> str:
        """Its own name, or its id."""
        return self.name or f"{name} supply"

    @property
    def choke_input(self) -> bool:
        """Whether a choke stands first behind the rectifier."""
        return bool(self.filter) and self.filter[0].choke is not None

    @cached_property
    def tube(self) -> Tube:
        """Data of the rectifier type."""
        return tube_file(tube_types()[self.rectifier.type])

    @cached_property
    def rating(self) -> Rating | None:
        """Ratings of the rectifier, for the temperature that the file names, else the first listed."""
        rows = [row for row in self.tube.ratings if row.service == "rectifier"]
        wanted = self.rectifier.condition
        return next((row for row in rows if wanted and wanted in row.condition), rows[0] if rows else None)

    def rated(self, world: World) -> Mapping[str, Rated]:  # noqa: ARG002 - the type is enough
        """What the rectifier type allows."""
        rows: list[tuple[str, Any, str, str]] = [("rectifier_drop_each", self.tube.data, "tube drop", "voltage")]
        rows.append(("warm_up_rated", self.tube.data, "warm up", "time"))
        rows.append(("heater_voltage_nominal", self.tube.data, "heater voltage", "voltage"))
        rows.append(("heater_current_nominal", self.tube.data, "heater current", "current"))
        if self.rating:
            rows += [
                ("inverse_voltage_each_rated", self.rating, "inverse voltage", "voltage"),
                ("rectifier_current_rated", self.rating, "average current", "current"),
                ("peak_current_rated", self.rating, "peak current", "current"),
            ]
        found = {}
        for name, facts, words, dimension in rows:
            quantity = facts.quantity(words, dimension)
            if quantity:
                found[name] = Rated(quantity, facts, f"{self.tube.type}, {words}")
        return found

    def derived(self, world: World) -> Mapping[str, Quantity]:
        """What follows from the circuit by counting, from its table factor, or from the parts of the filter."""
        circuit = {"bridge": "bridge", "full wave": "centre tap", "half wave": "half wave"}[self.rectifier.circuit]
        kind = f"{circuit}, {'choke' if self.choke_input else 'capacitor'}"
        counts = {
            "secondary_parts": 2 if self.transformer.tap == "centre" else 1,
            "secondary_factor": supplies.SECONDARY_FACTOR.get(kind, 0),
            "rectifiers_in_series": self.rectifier.in_series,
            "rectifiers_in_path": (2 if circuit == "bridge" else 1) * self.rectifier.in_series,
            "legs_in_turn": 1 if circuit == "half wave" else 2,
            "rectifiers_count": len(self.rectifier.legs) * self.rectifier.in_series,
        }
        found = {name: Quantity(number, "") for name, number in counts.items() if number}
        found["ripple_allowed"] = Quantity(
            RIPPLE_OF_PHONE if world.emission in {"A3E", "H3E"} else RIPPLE_OF_OTHERS, ""
        )
        if self.rectifier.upright is not None:
            found["upright_rectifiers"] = Quantity(float(self.rectifier.upright), "")
        return {**found, **self._filter(world.parts), **self._bleeder(world.parts)}

    def _filter(self, parts: Mapping[str, Part]) -> dict[str, Quantity]:
        """Values of the filter as a whole."""
        chokes = [parts[step.choke] for step in self.filter if step.choke]
        banks = [step for step in self.filter if step.capacitor]
        units = [parts[step.capacitor or ""] for step in banks]
        found: dict[str, Quantity] = {}
        if all(unit.value for unit in units) and units:
            sizes = [unit.value.value / step.string for unit, step in zip(units, banks, strict=True) if unit.value]
            found["filter_capacitance"] = Quantity(sum(sizes), "F")
            found |= {name: Quantity(size, "F") for name, size in zip(CAPACITOR_NAMES, sizes, strict=False)}
        if all(unit.voltage for unit in units) and units:
            weakest = min(range(len(units)), key=lambda at: units[at].voltage.value * banks[at].string)  # type: ignore[union-attr]
            found["capacitor_voltage_rating"] = Quantity(units[weakest].voltage.value, "V")  # type: ignore[union-attr]
            found["string_count"] = Quantity(banks[weakest].string, "")
        return {**found, **_chokes(chokes, self.transformer)}

    def _bleeder(self, parts: Mapping[str, Part]) -> dict[str, Quantity]:
        """The resistor that discharges the filter: its own, or the equalisers in series."""
        if self.bleeder == "none":
            return {"bleeder": Quantity(math.inf, "ohm")}
        if self.bleeder:
            part, count = parts[self.bleeder], 1
        else:
            steps = [step for step in self.filter if step.equaliser]
            if not steps:
                return {}
            part, count = parts[steps[0].equaliser or ""], steps[0].string
        found = {}
        if part.value:
            found["bleeder"] = Quantity(part.value.value * count, "ohm")
        if part.power:
            found["bleeder_power_rating"] = Quantity(part.power.value * count, "W")
        return found

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Formulas for the circuit and the kind of filter that this supply has."""
        filtered = CHOKE_INPUT if self.choke_input else CAPACITOR_INPUT
        if self.rectifier.circuit == "half wave":
            filtered = HALF_WAVE
        return {**COMMON, **INVERSE[self.rectifier.circuit], **filtered}


RIPPLE_OF_PHONE = 0.01
"""Effective ripple over direct voltage; hum of a class C stage is then 37 dB below full modulation; common-practice."""
RIPPLE_OF_OTHERS = 0.05
"""The same where the carrier is not modulated on the plates; common-practice."""
CAPACITOR_NAMES = ("first_capacitor", "second_capacitor", "third_capacitor")
CHOKE_NAMES = ("first_choke", "second_choke", "third_choke")


def _chokes(chokes: list[Part], transformer: Transformer) -> dict[str, Quantity]:
    found = {name: part.value for name, part in zip(CHOKE_NAMES, chokes, strict=False) if part.value}
    if all(part.current for part in chokes) and chokes:
        found["choke_current_rating"] = Quantity(min(part.current.value for part in chokes if part.current), "A")
    if all(part.resistance for part in chokes) and transformer.resistance:
        total = sum(part.resistance.value for part in chokes if part.resistance) + transformer.resistance.value
        found["series_resistance"] = Quantity(total, "ohm")
    return found


COMMON = origins(
    ("mains_voltage", Via("station", "mains_voltage")),
    ("mains_frequency", Via("station", "mains_frequency")),
    ("mains_high", Via("station", "mains_high")),
    ("accessible_voltage", Via("station", "accessible_voltage")),
    ("hazardous_capacitor_energy", Via("station", "hazardous_capacitor_energy")),
    ("discharge_sticks", Via("rig", "discharge_sticks")),
    ("winding_voltage", Via("rectifier.winding", "voltage")),
    formula(cooling.heaters_current, tubes_count="rectifiers_count"),
    ("plates_current", Total("line_current", "plate.supply")),
    ("screens_current", Total("screen_current", "screen.supply")),
    ("idle_currents", Total("idle_current", "plate.supply", gaps_count_nothing=True)),
    formula(supplies.driving_voltage, secondary="transformer_secondary"),
    formula(supplies.no_load_voltage),
    formula(supplies.sum_of_currents, "load_current", first="plates_current", second="screens_current"),
    formula(supplies.bleeder_current),
    formula(supplies.bleeder_power, output_voltage="bleeder_voltage"),
    ("bleeder_voltage", Via("", "output_voltage")),
    formula(supplies.sum_of_currents, "supply_current", first="load_current", second="bleeder_current"),
    formula(supplies.sum_of_currents, "least_current", first="idle_currents", second="bleeder_current"),
    formula(supplies.secondary_current),
    formula(supplies.rectifier_current),
    formula(
        supplies.share_of_string, "inverse_voltage_each",
        total_voltage="inverse_voltage", string_count="rectifiers_in_series",
    ),
    ("start_voltage", Via("", "no_load_voltage")),
    formula(supplies.discharge_time, capacitance="filter_capacitance", safe_voltage="accessible_voltage"),
    formula(supplies.stored_energy, capacitance="filter_capacitance"),
    formula(supplies.share_of_string, "capacitor_voltage_each", total_voltage="no_load_voltage"),
    formula(amplifier.dc_input, "delivered_power", plate_voltage="output_voltage", plate_current="supply_current"),
    formula(supplies.mains_current, supply_efficiency="efficiency"),
    formula(supplies.product, "rectifier_drop", first="rectifier_drop_each", second="rectifiers_in_path"),
)  # fmt: skip
CHOKE_INPUT = origins(
    formula(supplies.choke_input_voltage, "unbled_voltage", supply_current="load_current"),
    formula(supplies.bled_voltage, "output_voltage"),
    formula(supplies.load_resistance, "lightest_load", supply_current="least_current"),
    formula(supplies.critical_inductance, load_resistance="lightest_load"),
    formula(supplies.two_section_ripple, "ripple"),
    formula(supplies.filter_ripple, "ripple"),
)
CAPACITOR_INPUT = origins(
    ("bleeder_voltage", Via("", "no_load_voltage")),
    formula(supplies.capacitor_ripple, "ripple", capacitance="filter_capacitance"),
)
HALF_WAVE = origins(formula(supplies.half_wave_ripple, "ripple", capacitance="filter_capacitance"))
INVERSE = {
    "full wave": origins(formula(supplies.inverse_voltage_centre_tap, "inverse_voltage")),
    "bridge": origins(formula(supplies.inverse_voltage_bridge, "inverse_voltage")),
    "half wave": origins(formula(supplies.inverse_voltage_half_wave, "inverse_voltage")),
}
