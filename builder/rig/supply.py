"""Power supplies: transformer, rectifier, filter, bleeder."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any, ClassVar, Literal

from pydantic import model_validator

from builder.physics import amplifier, coils, cooling, supplies, supply_parts
from builder.quantity import Quantity, parse
from builder.reference.tables import Rating, Tube, tube_file, tube_types

from . import simulation
from .fields import (
    AnyPart,
    ApparentPower,
    AtLeastOne,
    Capacitor,
    Coil,
    Current,
    Inductance,
    Model,
    PanelMeterId,
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
from .primary import Glitch, HighVoltageFuse, Primary, Return, protected
from .thing import Least, Origin, Rated, Thing, Total, Usual, Via, World, formula, origins


class Transformer(Model):
    """Plate or bias transformer: voltage of the whole secondary, effective, and the direct current it is rated for."""

    part: AnyPart
    secondary: Voltage | None = None
    tap: Literal["centre", "none"] = "none"
    current: Current | None = None
    """In continuous service."""
    intermittent_current: Current | None = None
    """In intermittent service, where the plate names both; it counts only while the supply is off in receive."""
    volt_amperes: ApparentPower | None = None
    """Rating of the secondary."""
    resistance: Resistance | None = None
    """Of the part of the secondary that conducts at one time."""
    primary_resistance: Resistance | None = None
    """Of the primary; left out where the resistance of the secondary has it in already."""
    regulation: Share | None = None
    """Fall of voltage from no load to the rated current."""


class Variable(Model):
    """A variable transformer in the line."""

    part: AnyPart
    setting: Share
    """Output over input as it is used."""
    most: Share | None = None
    """Output over input at the end of its travel."""


class Rectifier(Model):
    """Rectifier of a supply: type, how many make up one leg, and the circuit."""

    type: TubeType
    circuit: Literal["full wave", "bridge", "half wave", "doubler"]
    legs: tuple[Text, ...]
    in_series: AtLeastOne = 1
    condition: Text | None = None
    delay: Time | None = None
    winding: WindingId | None = None
    """Winding that heats it."""
    upright: YesNo | None = None
    """Whether mercury-vapour tubes stand upright."""
    equaliser: Resistor | None = None
    """Resistor across each rectifier of a string."""
    bypass: Capacitor | None = None
    """Capacitor across each rectifier of a string."""


class Swinging(Model):
    """How a swinging choke stands at light load; its part has the inductance at its rated current."""

    inductance: Inductance
    current: Current


class Section(Model):
    """One step of the filter in the order in which the current meets them: choke, resistor or capacitor (string)."""

    choke: Coil | None = None
    swinging: Swinging | None = None
    resistor: Resistor | None = None
    capacitor: Capacitor | None = None
    string: AtLeastOne = 1
    equaliser: Resistor | None = None

    @model_validator(mode="after")
    def _one(self) -> Section:
        if sum(part is not None for part in (self.choke, self.resistor, self.capacitor)) != 1:
            raise refuse("expected one choke, one resistor or one capacitor in each step of a filter")
        return self


class Fuse(Model):
    """Fuse in the primary."""

    part: AnyPart
    rating: Current | None = None


class Glow(Model):
    """Glow tubes in series that hold a voltage, behind a resistor."""

    type: TubeType
    sockets: tuple[Text, ...]
    through: Resistor
    least_load: Current | None = None
    """Least current that is taken from the regulated line."""
    most_load: Current | None = None
    """Most current that is taken from it."""


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
    variable: Variable | None = None
    step_start: Resistor | None = None
    step_time: Time | None = None
    """After which the step-start resistor is bridged."""
    regulator: Glow | None = None
    power_factor: Share | None = None
    efficiency: Share | None = None
    on_in_receive: YesNo | None = None
    """Whether it stays on while the station listens."""
    mains_voltage: Voltage | None = None
    """Line voltage, where it is not that of the station."""
    least_current: Current | None = None
    """Where a relay keeps the supply from running unloaded: the least current that is drawn."""
    isolates: Text | None = None
    primary: Primary | None = None
    """Its line side."""
    glitch: Glitch | None = None
    """What limits the current of a flashover."""
    high_voltage_fuse: HighVoltageFuse | None = None
    """In the plate line."""
    return_: Return | None = None
    """How the current comes back."""
    voltmeter: PanelMeterId | Literal["none"] | None = None
    """Panel meter that shows its voltage."""

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
                ("rectifier_peak_current_rated", self.rating, "peak current", "current"),
                ("start_surge_rated", self.rating, "surge current", "current"),
                ("input_capacitor_rated", self.rating, "input capacitor", "capacitance"),
            ]
        rows += list(_glow_rows(self.regulator))
        found = {}
        for name, facts, words, dimension in rows:
            quantity = facts.quantity(words, dimension)
            if quantity:
                found[name] = Rated(quantity, facts, f"{getattr(facts, 'type', self.tube.type)}, {words}")
        return found

    def derived(self, world: World) -> Mapping[str, Quantity]:
        """What follows from the circuit by counting, from its table factor, or from the parts of the filter."""
        found = {name: Quantity(number, "") for name, number in self._counts().items() if number}
        if self.rectifier.upright is not None:
            found["upright_rectifiers"] = Quantity(float(self.rectifier.upright), "")
        return {
            **found,
            **self._filter(world.parts),
            **self._bleeder(world.parts),
            **self._protection(world.parts),
            **dict(self._simulated(world.parts)),
        }

    def _counts(self) -> dict[str, float]:
        """What is counted in the circuit; nothing where it does not apply."""
        circuit = self.rectifier.circuit
        kind = f"{WINDING_USE[circuit]}, {'choke' if self.choke_input else 'capacitor'}"
        setting = self.variable.setting.value if self.variable else 1.0
        most = (self.variable.most or self.variable.setting).value if self.variable else 1.0
        return {
            "secondary_parts": 2 if self.transformer.tap == "centre" else 1,
            "secondary_factor": supplies.SECONDARY_FACTOR.get(kind, 0),
            "rectifiers_in_series": self.rectifier.in_series,
            "rectifiers_in_path": (2 if circuit == "bridge" else 1) * self.rectifier.in_series,
            "legs_in_turn": 1 if circuit in {"half wave", "doubler"} else 2,
            "rectifiers_count": len(self.rectifier.legs) * self.rectifier.in_series,
            "ripple_pulses": 1 if circuit == "half wave" else 2,
            "line_setting": setting if self.variable else 0,
            "line_setting_most": max(setting, most) if self.variable else 0,
            "regulator_tubes": len(self.regulator.sockets) if self.regulator else 0,
        }

    def _simulated(self, parts: Mapping[str, Part]) -> Iterator[tuple[str, Quantity]]:
        """What only the simulation and the tolerances ask for."""
        yield from simulation.slots(self.filter, parts)
        swinging = self.filter[0].swinging if self.filter else None
        yield "swinging_inductance", swinging.inductance if swinging else Quantity(0.0, "H")
        yield "swinging_current", swinging.current if swinging else Quantity(0.0, "A")
        if not any(step.choke for step in self.filter):
            yield "choke_current_rating", Quantity(0.0, "A")
        yield "rectifier_drop_current", self._drop_current()
        limit = self.transformer.current
        if self.transformer.intermittent_current and self.on_in_receive is False:
            limit = self.transformer.intermittent_current
        if limit:
            yield "transformer_limit", Quantity(limit.value, "A")
        yield from _tolerances(self, parts)
        yield from _first_capacitor(self, parts)

    def _drop_current(self) -> Quantity:
        """Current at which a vacuum rectifier has its drop; nothing where the drop stays the same."""
        stated = (self.tube.data.text("tube drop at") or "").removesuffix(" per plate")
        return parse(stated, "current") if stated and "vacuum" in self.tube.kind else Quantity(0.0, "A")

    def _protection(self, parts: Mapping[str, Part]) -> dict[str, Quantity]:
        """What is counted on the line side, in the return, and among the voltmeters."""
        found: dict[str, Quantity] = {}
        if self.primary:
            fused = self.primary.fused
            found |= {} if fused is None else {"fused_wires": Quantity(float(fused), "")}
            found |= self.primary.guards
        if self.return_:
            found |= self.return_.counted(parts)
        if self.voltmeter:
            found["voltmeters"] = Quantity(float(self.voltmeter != "none"), "")
        return found

    def _filter(self, parts: Mapping[str, Part]) -> dict[str, Quantity]:
        """Values of the filter as a whole."""
        chokes = [parts[step.choke] for step in self.filter if step.choke]
        banks = [step for step in self.filter if step.capacitor]
        units = [parts[step.capacitor or ""] for step in banks]
        found: dict[str, Quantity] = {}
        if all(unit.value for unit in units) and units:
            sizes = [unit.value.value / step.string for unit, step in zip(units, banks, strict=True) if unit.value]
            found["filter_capacitance"] = Quantity(sum(sizes), "F")
        if all(unit.voltage for unit in units) and units:
            weakest = min(range(len(units)), key=lambda at: units[at].voltage.value * banks[at].string)  # type: ignore[union-attr]
            found["capacitor_voltage_rating"] = Quantity(units[weakest].voltage.value, "V")  # type: ignore[union-attr]
            found["string_count"] = Quantity(banks[weakest].string, "")
        return {**found, **_chokes(chokes)}

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
        if part.voltage:
            found["bleeder_voltage_rating"] = Quantity(part.voltage.value * count, "V")
        if part.power:
            found["bleeder_power_rating"] = Quantity(part.power.value * count, "W")
        return found

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Formulas for the circuit and the kind of filter that this supply has."""
        circuit = self.rectifier.circuit
        filtered = CHOKE_INPUT if self.choke_input else CAPACITOR_INPUT
        filtered = {"half wave": HALF_WAVE, "doubler": DOUBLER}.get(circuit, filtered)
        load = BESIDE_GLOW if self.regulator else PLAIN_LOAD
        winding = BOTH_WINDINGS if self.transformer.primary_resistance else ONE_WINDING
        simulated = origins(*simulation.simulated(circuit))
        stepped = STEPPED if self.step_start else {}
        unloaded = (BEHIND_VARIABLE if self.variable else INVERSE)[circuit]
        return {**COMMON, **protected(self.return_), **simulated, **unloaded, **filtered, **load, **winding, **stepped}


WINDING_USE = {"bridge": "bridge", "full wave": "centre tap", "half wave": "half wave", "doubler": "doubler"}
FEEDS = ("plate.supply", "screen.supply", "grid.supply")
"""Fields by which a stage hangs on a supply."""
BLEEDER_TOLERANCE, CAPACITOR_TOLERANCE = 0.10, 0.20
"""How far a bleeder and a capacitor may be high where their tolerance is not recorded; common-practice."""


def _chokes(chokes: list[Part]) -> dict[str, Quantity]:
    found = {}
    if all(part.current for part in chokes) and chokes:
        found["choke_current_rating"] = Quantity(min(part.current.value for part in chokes if part.current), "A")
    if all(part.resistance for part in chokes):
        total = sum(part.resistance.value for part in chokes if part.resistance)
        found["chokes_resistance"] = Quantity(total, "ohm")
    return found


def _tolerances(supply: Supply, parts: Mapping[str, Part]) -> Iterator[tuple[str, Quantity]]:
    resistors = [parts[name] for name in _bleeders(supply)]
    banks = [parts[step.capacitor] for step in supply.filter if step.capacitor]
    for name, found, usual in (
        ("bleeder_tolerance", resistors, BLEEDER_TOLERANCE), ("capacitor_tolerance", banks, CAPACITOR_TOLERANCE),
    ):  # fmt: skip
        stated = [part.tolerance.value if part.tolerance else usual for part in found]
        yield name, Quantity(max(stated, default=usual), "")


def _bleeders(supply: Supply) -> list[str]:
    if supply.bleeder and supply.bleeder != "none":
        return [supply.bleeder]
    return [step.equaliser for step in supply.filter if step.equaliser]


def _first_capacitor(supply: Supply, parts: Mapping[str, Part]) -> Iterator[tuple[str, Quantity]]:
    """Of the capacitor that takes the most ripple, and of the resistors across it."""
    step = next((step for step in supply.filter if step.capacitor), None)
    if step is None:
        return
    part = parts[step.capacitor or ""]
    if part.current:
        yield "capacitor_current_rating", part.current
    if part.value:
        yield "unit_capacitance", part.value
    if part.voltage:
        surge = part.surge or Quantity(part.voltage.value * SURGE_FACTOR, "V")
        yield "capacitor_surge_rating", Quantity(surge.value * step.string, "V")
    resistor = parts[step.equaliser] if step.equaliser else None
    if resistor and resistor.value:
        yield "equaliser", resistor.value
    if resistor and resistor.power:
        yield "equaliser_power_rating", resistor.power
    if resistor and resistor.voltage:
        yield "equaliser_voltage_rating", resistor.voltage


SURGE_FACTOR = 1.1
"""Surge over direct rating of a capacitor where its maker names none; iec60384-4 (from memory)."""


def _glow_rows(regulator: Glow | None) -> Iterator[tuple[str, Any, str, str]]:
    if regulator is None:
        return
    tube = tube_file(tube_types()[regulator.type])
    yield "glow_voltage_nominal", tube.data, "operating voltage", "voltage"
    yield "glow_start_rated", tube.data, "lowest supply voltage", "voltage"
    for rating in tube.ratings:
        if rating.service == "voltage regulator":
            yield "glow_least_current_rated", rating, "lowest current", "current"
            yield "glow_most_current_rated", rating, "highest current", "current"


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
    ("screens_current", Total("screen_line_current", "screen.supply")),
    ("idle_currents", Total("idle_current", "plate.supply", gaps_count_nothing=True)),
    formula(supplies.driving_voltage, secondary="transformer_secondary"),
    formula(supply_parts.resistances, "series_resistance", first="winding_resistance", second="chokes_resistance"),
    ("output_voltage", Via("", "simulated_voltage")),
    ("output_voltage", Via("", "formula_voltage")),
    ("ripple", Via("", "simulated_ripple")),
    ("ripple", Via("", "formula_ripple")),
    ("ripple_allowed", Least("ripple_limit", FEEDS)),
    ("ripple_allowed", Usual(0.05, 0.0, "", "common-practice", "relays, lamps and the like stand that much")),
    ("secondary_current", Via("", "simulated_secondary_current")),
    ("secondary_current", Via("", "formula_secondary_current")),
    formula(supply_parts.light_load),
    formula(supply_parts.regulation),
    formula(supply_parts.winding_volt_amperes),
    formula(supply_parts.ripple_frequency, pulses="ripple_pulses"),
    formula(
        coils.self_resonance, "section_resonance",
        coil_inductance="first_choke", self_capacitance="first_capacitor",
    ),
    formula(supply_parts.longest_discharge),
    formula(
        supplies.bleeder_power, "equaliser_power", output_voltage="capacitor_voltage_each", bleeder="equaliser",
    ),
    formula(supply_parts.leakage_allowed, capacitance="unit_capacitance"),
    formula(
        supply_parts.largest_equaliser, total_voltage="no_load_voltage", leakage="leakage_allowed",
    ),
    formula(supplies.sum_of_currents, "load_current", first="plates_current", second="screens_current"),
    formula(supplies.bleeder_current),
    formula(supplies.bleeder_power, output_voltage="bleeder_voltage"),
    ("bleeder_voltage", Via("", "output_voltage")),
    formula(supplies.sum_of_currents, "supply_current", first="load_current", second="bleeder_current"),
    formula(supplies.sum_of_currents, "least_current", first="idle_currents", second="bleeder_current"),
    formula(supplies.secondary_current, "formula_secondary_current"),
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
    formula(supplies.bled_voltage, "formula_voltage"),
    formula(supplies.load_resistance, "lightest_load", supply_current="least_current"),
    formula(supplies.critical_inductance, load_resistance="lightest_load"),
    formula(supplies.two_section_ripple, "formula_ripple"),
    formula(supplies.filter_ripple, "formula_ripple"),
)
CAPACITOR_INPUT = origins(
    ("bleeder_voltage", Via("", "no_load_voltage")),
    formula(supplies.capacitor_ripple, "formula_ripple", capacitance="filter_capacitance"),
)
HALF_WAVE = origins(
    ("bleeder_voltage", Via("", "no_load_voltage")),
    formula(supplies.half_wave_ripple, "formula_ripple", capacitance="filter_capacitance"),
)
DOUBLER = origins(("bleeder_voltage", Via("", "no_load_voltage")))
PLAIN_LOAD = origins(("passive_load", Via("", "bleeder")), ("constant_load", Via("", "load_current")))
BESIDE_GLOW = origins(
    formula(supply_parts.passive_load, series_resistor="regulator_through"),
    formula(supply_parts.constant_load, series_resistor="regulator_through", glow_load="regulator_most_load"),
    formula(supplies.product, "regulated_voltage", first="glow_voltage_nominal", second="regulator_tubes"),
    formula(supplies.product, "glow_start", first="glow_start_rated", second="regulator_tubes"),
    formula(supply_parts.raised, "highest_output", supply_voltage="output_voltage"),
    formula(supply_parts.lowered, "lowest_output", supply_voltage="output_voltage"),
    formula(
        supply_parts.regulator_current, "glow_most_current",
        supply_voltage="highest_output", series_resistor="regulator_through", load="regulator_least_load",
    ),
    formula(
        supply_parts.regulator_current, "glow_least_current",
        supply_voltage="lowest_output", series_resistor="regulator_through", load="regulator_most_load",
    ),
    formula(
        supply_parts.regulator_heat, "glow_resistor_heat",
        supply_voltage="highest_output", series_resistor="regulator_through",
    ),
)  # fmt: skip
STEPPED = origins(
    formula(
        supplies.stored_energy,
        "step_start_energy",
        capacitance="filter_capacitance",
        start_voltage="no_load_voltage",
    ),
    ("step_start_stands", Via("", "step_start_energy_rating")),
    formula(supply_parts.pulse_energy, "step_start_stands", power_rating="step_start_power_rating"),
    formula(supply_parts.step_start_surge),
    formula(supply_parts.step_start_constant),
)
ONE_WINDING = origins(
    ("winding_resistance", Via("", "transformer_resistance")),
    formula(supply_parts.resistance_from_regulation, "winding_resistance"),
)
BOTH_WINDINGS = origins(formula(supply_parts.winding_resistance))
INVERSE_OF = {
    "full wave": supplies.inverse_voltage_centre_tap, "bridge": supplies.inverse_voltage_bridge,
    "half wave": supplies.inverse_voltage_half_wave, "doubler": supplies.inverse_voltage_half_wave,
}  # fmt: skip


def _unloaded(circuit: str, driving: str) -> Mapping[str, tuple[Origin, ...]]:
    """Voltages without load, from what may work on the filter at most."""
    highest = supply_parts.doubled_voltage if circuit == "doubler" else supplies.no_load_voltage
    return origins(
        formula(highest, "no_load_voltage", driving_voltage=driving),
        formula(INVERSE_OF[circuit], "inverse_voltage", driving_voltage=driving),
    )


INVERSE = {circuit: _unloaded(circuit, "driving_voltage") for circuit in INVERSE_OF}
"""For a transformer straight on the line."""
BEHIND_VARIABLE = {
    circuit: {
        **_unloaded(circuit, "driving_voltage_most"),
        **origins(
            formula(supply_parts.set_voltage, "driving_voltage", secondary="transformer_secondary"),
            formula(
                supply_parts.set_voltage, "driving_voltage_most",
                secondary="transformer_secondary", line_setting="line_setting_most",
            ),
        ),
    }
    for circuit in INVERSE_OF
}  # fmt: skip
"""For a transformer behind a variable one, which may be turned up to its end."""
