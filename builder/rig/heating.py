"""Heaters and what feeds them, and the air that carries the heat away."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, ClassVar, Literal

from builder.physics import amplifier, cooling, supplies
from builder.quantity import Quantity, parse
from builder.reference.tables import Tube

from .fields import (
    AnyPart,
    Current,
    Flow,
    Model,
    Resistor,
    SupplyId,
    Temperature,
    Text,
    Time,
    Voltage,
    WindingId,
    YesNo,
)  # fmt: skip
from .thing import Rated, Thing, Total, Via, formula, origins


class Heater(Model):
    """Heater or filament: its winding, a resistor on the way, and how the halves of a tapped heater are connected."""

    supply: SupplyId | None = None
    winding: WindingId | None = None
    through: Resistor | None = None
    connected: Literal["parallel", "series"] | None = None
    voltage: Voltage | None = None


class Cooling(Model):
    """Air of a stage: flow through sockets and chimneys of all its tubes, and what watches over it."""

    air: Flow | None = None
    blower: AnyPart | None = None
    inlet: Temperature | None = None
    interlock: YesNo | None = None
    """Whether an air switch keeps the plate supply off while there is no air."""
    after_run: Time | None = None
    chimney: Text | None = None


class HeaterWinding(Thing):
    """A winding that feeds heaters; stages and rectifiers name it."""

    collection: ClassVar[str] = "windings"
    kind_words: ClassVar[str] = "heater winding"
    name: Text | None = None
    part: AnyPart
    """Transformer that it belongs to."""
    voltage: Voltage
    current: Current | None = None
    origins_of_kind: ClassVar = origins(
        ("stages_heaters_current", Total("heaters_current", "heater.winding")),
        ("rectifiers_heaters_current", Total("heaters_current", "rectifier.winding")),
        formula(
            supplies.sum_of_currents, "winding_load",
            first="stages_heaters_current", second="rectifiers_heaters_current",
        ),
    )  # fmt: skip

    def title(self, name: str) -> str:
        """Its own name, or its id."""
        return self.name or f"winding {name}"


RISE_ALLOWED = 50.0
"""Kelvin by which air may become warmer between inlet and outlet; common-practice."""
HEATER_FORMULAS = (
    formula(cooling.heaters_current),
    formula(cooling.heaters_power),
    ("winding_voltage", Via("heater.winding", "voltage")),
    formula(
        amplifier.dropped_voltage, "heater_voltage_expected", source_voltage="winding_voltage",
        series_resistance="heater_through", series_current="heaters_current",
    ),
    ("heater_voltage_expected", Via("", "winding_voltage")),
    ("mains_high", Via("station", "mains_high")),
    formula(cooling.at_high_line, "heater_voltage_high"),
    ("plate_delay", Via("plate.supply", "rectifier_delay")),
)  # fmt: skip
AIR_FORMULAS = (
    ("altitude_factor", Via("station", "altitude_factor")),
    formula(cooling.air_temperature_rise, heat="stage_heat", airflow="cooling_air"),
    formula(cooling.airflow_needed, heat="stage_heat", temperature_rise="air_rise_allowed"),
    formula(cooling.outlet_temperature, inlet_temperature="cooling_inlet"),
    formula(amplifier.per_tube, "cooling_air_per_tube", total="cooling_air"),
)
DRIVEN_THROUGH = (formula(cooling.cathode_driven_heat, "stage_heat"),)
DRIVEN_AT_THE_GRID = (
    formula(cooling.drive_heat),
    formula(cooling.stage_heat),
)
WITH_SCREEN = (*DRIVEN_AT_THE_GRID, formula(cooling.grids_heat))
WITHOUT_SCREEN = (*DRIVEN_AT_THE_GRID, ("grids_heat", Via("", "drive_heat")))


def heat_formulas(kind: str, tube: Tube, air: Cooling) -> tuple[Any, ...]:
    """Formulas for heaters and, where air is forced, for heat and air, that fit a kind of stage and a type of tube.

    Args:
        kind: of the stage.
        tube: type in use.
        air: as the rig file has it.
    """
    if not needs_air(tube, air):
        return HEATER_FORMULAS
    if kind == "cathode driven":
        return (*HEATER_FORMULAS, *AIR_FORMULAS, *DRIVEN_THROUGH)
    heat = WITH_SCREEN if "screen" in tube.electrodes else WITHOUT_SCREEN
    return (*HEATER_FORMULAS, *AIR_FORMULAS, *heat)


def needs_air(tube: Tube, air: Cooling) -> bool:
    """Whether a type asks for forced air, or the rig blows air at it.

    Args:
        tube: type in use.
        air: as the rig file has it.
    """
    return (tube.data.text("cooling") or "").startswith("forced air") or air.air is not None


def rated_heat(tube: Tube, heater: Heater) -> dict[str, Rated]:
    """Heater, warm-up and air that the data of a type ask for.

    Args:
        tube: type in use.
        heater: as the rig file has it; its connection chooses between the two ways of a tapped heater.
    """
    data = tube.data
    voltage, current = _alternative(tube, heater.connected) or (
        data.quantity("heater voltage", "voltage"), data.quantity("heater current", "current"),
    )  # fmt: skip
    found = {
        "heater_voltage_nominal": (voltage, data, "data"),
        "heater_current_nominal": (current, data, "data"),
        "warm_up_rated": (data.quantity("warm up", "time"), data, "warm up"),
    }
    if tube.cooling:
        flow = tube.cooling.quantity("air flow", "flow")
        found["tube_airflow_nominal"] = (flow, tube.cooling, tube.cooling.text("air flow at") or "air flow")
    return {name: Rated(row[0], row[1], f"{tube.type}, {row[2]}") for name, row in found.items() if row[0]}


def _alternative(tube: Tube, connected: str | None) -> tuple[Quantity, Quantity] | None:
    """Voltage and current of the other way to connect a tapped heater, where the rig file names it."""
    match = re.fullmatch(r"(.+) at (.+) in (parallel|series)", tube.data.text("heater alternative") or "")
    if match is None or match[3] != connected:
        return None
    return parse(match[1], "voltage"), parse(match[2], "current")


def counted_air(air: Cooling) -> Mapping[str, Quantity]:
    """What follows from the entries about air by counting.

    Args:
        air: as the rig file has it.
    """
    allowed = {"air_rise_allowed": Quantity(RISE_ALLOWED, "K")}
    if air.interlock is None:
        return allowed
    return {**allowed, "air_interlocks": Quantity(float(air.interlock), "")}
