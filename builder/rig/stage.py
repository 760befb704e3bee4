"""What every stage with tubes has in common."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from math import radians
from typing import Any, ClassVar

from builder.physics import amplifier, modulation, supplies
from builder.quantity import Quantity
from builder.reference.tables import Column, Rating, Tube, tube_file, tube_types

from .fields import (
    AnyPart,
    Capacitor,
    Current,
    Model,
    Power,
    Resistor,
    ServiceName,
    SignedCurrent,
    SignedVoltage,
    StageId,
    SupplyId,
    SystemName,
    Text,
    TubeType,
    Voltage,
)  # fmt: skip
from .heating import Cooling, Heater, counted_air, heat_formulas, needs_air, rated_heat
from .operating import ANGLES, EMISSION
from .thing import Formula, Origin, Rated, Thing, Via, World, formula, origins

STAGE_KINDS: dict[str, type[Stage]] = {}
PHONE = frozenset({"A3E", "H3E"})
"""Emissions on which hum of the carrier is heard."""
RATED = {
    "plate voltage": "voltage", "plate current": "current", "plate input": "power", "plate dissipation": "power",
    "screen voltage": "voltage", "screen input": "power", "grid voltage": "voltage", "grid current": "current",
    "grid dissipation": "power",
}  # fmt: skip
TYPICAL = {
    "drive power": "power", "output power": "power", "plate to plate load": "resistance", "plate current": "current",
    "plate load": "resistance",
}  # fmt: skip


class Tubes(Model):
    """Which tubes, where they sit and in which service they are used."""

    type: TubeType
    sockets: tuple[Text, ...]
    service: ServiceName
    """In which the tubes are used; ratings go by it."""
    system: SystemName | None = None
    """Of the ratings; the first in the tables where it is left out."""
    condition: Text | None = None
    """Where the ratings depend on it, such as forced air."""


class Plate(Model):
    """Plate circuit; the current is that of all tubes of the stage together."""

    supply: SupplyId | None = None
    through: AnyPart | None = None
    modulated_by: StageId | None = None
    voltage: Voltage | None = None
    current: Current | None = None


class Screen(Model):
    """Screen circuit."""

    from_: Text | None = None
    supply: SupplyId | None = None
    through: Resistor | None = None
    to_earth: Resistor | None = None
    """Lower part of a voltage divider, from the screen to the chassis."""
    bypass: Capacitor | None = None
    interlock: Text | None = None
    """What takes the screen off when the plate is off."""
    voltage: Voltage | None = None
    current: SignedCurrent | None = None


class Grid(Model):
    """Control-grid circuit; bias is negative."""

    leak: Resistor | None = None
    supply: SupplyId | None = None
    coupling: Capacitor | None = None
    stopper: Resistor | None = None
    bias: SignedVoltage | None = None
    """In use, with drive."""
    fixed: SignedVoltage | None = None
    """What is left of it without drive."""
    drive: Voltage | None = None
    """Peak of the radio-frequency grid voltage."""
    current: Current | None = None


class Cathode(Model):
    """Cathode circuit."""

    resistor: Resistor | None = None
    bypass: Capacitor | None = None


class Output(Model):
    """Where the power goes and how much there is."""

    into: Text | None = None
    power: Power | None = None
    voltage: Voltage | None = None


class Stage(Thing):
    """One stage of a rig. Subclasses register themselves under their kind."""

    collection: ClassVar[str] = "stages"
    kind: Text
    name: Text | None = None
    does: Text | None = None
    driven_by: StageId | None = None
    row: ClassVar[str] = "rf"

    def __init_subclass__(cls, kind: str = "", **kwargs: Any) -> None:
        """Make the kind known."""
        super().__init_subclass__(**kwargs)
        if kind:
            cls.kind_words = kind
            STAGE_KINDS[kind] = cls

    def title(self, name: str) -> str:
        """Its own name, or its kind."""
        return self.name or f"{name.replace('_', ' ')} ({self.kind})"


class TubeStage(Stage):
    """A stage built round tubes."""

    ripple_tolerated: ClassVar[tuple[float, float]] = (0.01, 0.05)
    """Effective ripple over direct voltage that the kind stands in phone and otherwise; common-practice."""
    tubes: Tubes
    heater: Heater = Heater.model_construct()
    plate: Plate = Plate.model_construct()
    grid: Grid = Grid.model_construct()
    screen: Screen | None = None
    cathode: Cathode | None = None
    output: Output = Output.model_construct()
    cooling: Cooling = Cooling.model_construct()

    @property
    def needs_air(self) -> bool:
        """Whether the stage cannot do without forced air, or has it."""
        return needs_air(self.tube, self.cooling)

    @cached_property
    def tube(self) -> Tube:
        """Data of the tube type in use."""
        return tube_file(tube_types()[self.tubes.type])

    @property
    def count(self) -> int:
        """How many bulbs the stage has."""
        return len(self.tubes.sockets)

    @property
    def rating(self) -> Rating | None:
        """Maximum ratings for the service in use."""
        return self.tube.rating(self.tubes.service, self.tubes.system, self.tubes.condition)

    @property
    def column(self) -> Column | None:
        """Published typical operation for the service in use."""
        return self.tube.column(self.tubes.service, self.plate.voltage.value if self.plate.voltage else None)

    @property
    def screen_from_plate(self) -> bool:
        """Whether the screen current comes out of the plate line."""
        return self.screen is not None and self.screen.from_ == "plate"

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Those of the kind, those for heat and air, and what the stage draws from its plate line."""
        divided = self.screen is not None and self.screen.to_earth is not None
        taken = {"screen_current": "screen_feed_current"} if divided else {}
        both = formula(modulation.modulated_current, "line_current", **taken)
        line = both if self.screen_from_plate else ("line_current", Via("", "plate_current"))
        drawn = ("screen_line_current", Via("", "screen_feed_current" if divided else "screen_current"))
        heat = origins(*heat_formulas(self.kind, self.tube, self.cooling))
        return {**heat, **self.origins_of_kind, **(DIVIDED_SCREEN if divided else {}), **origins(line, drawn)}

    @property
    def output_capacitance(self) -> str:
        """Which capacitance of the table stands across the output: plate to grid where a triode's grid is at ground."""
        grounded = self.kind == "cathode driven" and not self.screen_grid
        return "feedback capacitance" if grounded else "output capacitance"

    @property
    def screen_grid(self) -> bool:
        """Whether the type has a screen."""
        return "screen" in self.tube.electrodes

    def rated(self, world: World) -> dict[str, Rated]:  # noqa: ARG002 - tubes need only their table
        """Maximum ratings as ``..._rated``, typical operation as ``..._typical``, data as ``..._nominal``."""
        found = {
            **rated_heat(self.tube, self.heater),
            "output_capacitance_nominal": _entry(
                self.tube.data, self.output_capacitance, "capacitance", self.tube, "data"
            ),
            "frequency_rated": _entry(self.tube.data, "full rating frequency", "frequency", self.tube, "data"),
            "mu": _entry(self.tube.data, "mu", "count", self.tube, "data"),
        }
        if self.rating:
            what = f"maximum, {self.rating.service}, {self.rating.system}"
            for words, dimension in RATED.items():
                name = f"{words.replace(' ', '_')}_rated"
                found[name] = _entry(self.rating, words, dimension, self.tube, what)
        telegraphy = self.tube.rating("class C telegraphy", self.rating.system if self.rating else None)
        if telegraphy:
            found["plate_dissipation_unmodulated_rated"] = _entry(
                telegraphy, "plate dissipation", "power", self.tube, f"maximum, telegraphy, {telegraphy.system}"
            )
        if self.column:
            for words, dimension in TYPICAL.items():
                name = f"{words.replace(' ', '_')}_typical"
                what = f"typical operation, {self.column.service}, {self.column.system}"
                found[name] = _entry(self.column, words, dimension, self.tube, what)
            found["efficiency_typical"] = _efficiency(self.column, self.tube)
        return {name: rated for name, rated in found.items() if rated}

    def derived(self, world: World) -> dict[str, Quantity]:
        """The number of tubes, and what their service, cathode and air allow."""
        found = {"tubes_count": Quantity(self.count, ""), **counted_air(self.cooling)}
        found["ripple_limit"] = Quantity(self.ripple_tolerated[world.emission not in PHONE], "")
        if self.tubes.service in ANGLES:
            low, high = ANGLES[self.tubes.service]
            found |= {"angle_low": Quantity(radians(low), ""), "angle_high": Quantity(radians(high), "")}
        cathode = self.tube.data.text("cathode") or ""
        limit = next((limit for kind, limit in EMISSION.items() if kind in cathode), None)
        found |= {"emission_limit": Quantity(limit, "")} if limit else {}
        if self.screen is not None and (self.screen_from_plate or self.screen.interlock):
            found["screen_safe"] = Quantity(0.0 if self.screen.interlock == "none" else 1.0, "")
        if self.bias_falls_with_drive:
            found["fixed_bias"] = Quantity(0.0, "V")
        return found

    @property
    def bias_falls_with_drive(self) -> bool:
        """Whether nothing but grid current makes the bias."""
        other = self.grid.fixed or self.grid.supply or (self.cathode and self.cathode.resistor)
        return self.grid.leak is not None and not other


def _entry(facts: Any, words: str, dimension: str, tube: Tube, what: str) -> Rated | None:
    quantity = facts.quantity(words, dimension)
    return Rated(quantity, facts, f"{tube.type}, {what}") if quantity else None


def _efficiency(column: Column, tube: Tube) -> Rated | None:
    """Efficiency of a published column; None where it does not tell."""
    voltage, current = column.quantity("plate voltage", "voltage"), column.quantity("plate current", "current")
    output = column.quantity("output power", "power")
    if not (voltage and current and output):
        return None
    share = output.value / (voltage.value * current.value)
    return Rated(Quantity(share, ""), column, f"{tube.type}, typical operation {column.id}")


def shares(*names: str) -> tuple[Any, ...]:
    """Formulas that divide values of the stage among its tubes, as ``..._per_tube``."""
    return tuple(formula(amplifier.per_tube, f"{name}_per_tube", total=name) for name in names)


PLATE_FORMULAS = (
    formula(amplifier.dc_input),
    *shares("plate_current", "dc_input", "plate_dissipation", "grid_current", "screen_input"),
    ("plate_supply_voltage", Via("plate.supply", "output_voltage")),
)


def _through_screen_resistor(current: str) -> tuple[Formula, Formula]:
    """What a screen resistor leaves of the plate voltage and turns into heat, by the current through it."""
    return (
        formula(
            amplifier.dropped_voltage, "screen_voltage_behind_resistor", source_voltage="plate_voltage",
            series_resistance="screen_through", series_current=current,
        ),
        formula(
            amplifier.resistor_power, "screen_resistor_power", resistance="screen_through", resistor_current=current,
        ),
    )  # fmt: skip


SCREEN_FORMULAS = (
    formula(
        amplifier.electrode_input, "screen_input",
        electrode_voltage="screen_voltage", electrode_current="screen_current",
    ),
    *_through_screen_resistor("screen_current"),
)  # fmt: skip
DIVIDED_SCREEN = origins(
    formula(
        supplies.bleeder_current, "screen_divider_current", output_voltage="screen_voltage", bleeder="screen_to_earth",
    ),
    formula(
        supplies.sum_of_currents, "screen_feed_current", first="screen_current", second="screen_divider_current",
    ),
    *_through_screen_resistor("screen_feed_current"),
    formula(
        amplifier.resistor_power, "screen_divider_power",
        resistance="screen_to_earth", resistor_current="screen_divider_current",
    ),
)  # fmt: skip
"""For a screen fed from a voltage divider: both resistors carry more than the screen takes."""
BIAS_FORMULAS = (
    formula(amplifier.grid_leak_bias, "grid_leak_bias"),
    formula(amplifier.resistor_power, "grid_leak_power", resistance="grid_leak", resistor_current="grid_current"),
)
OUTPUT_FORMULAS = (
    formula(amplifier.efficiency),
    formula(amplifier.most_output),
)
RADIO_FORMULAS = (
    *PLATE_FORMULAS,
    formula(amplifier.plate_dissipation),
    *SCREEN_FORMULAS,
    *BIAS_FORMULAS,
    *OUTPUT_FORMULAS,
)
