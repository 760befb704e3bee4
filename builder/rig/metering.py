"""How a panel meter is made: movement, shunt, multiplier, and the potential that it sits at."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from builder.physics import metering, supplies
from builder.quantity import Quantity

from .fields import AtLeastOne, Current, Model, Resistance, Resistor, Share, SupplyId
from .part import Part
from .thing import Formula, Via, formula


class Movement(Model):
    """The movement of a panel meter, by itself."""

    kind: Literal["moving coil", "moving iron", "rectifier", "thermocouple"] = "moving coil"
    """How it works; only moving coils are worked out."""
    current: Current | None = None
    """Full scale of the movement alone."""
    resistance: Resistance | None = None
    """Of its coil, with what stands in series inside the case."""
    tolerance: Share | None = None
    """How far that resistance may be off."""
    accuracy: Share | None = None
    """Accuracy class: share of full scale."""


class Shunt(Model):
    """What carries the current past the movement of a milliammeter."""

    resistor: Resistor
    """Its designator; value and tolerance stand among the parts."""
    parallel: AtLeastOne = 1
    """How many of them stand side by side."""


class Multiplier(Model):
    """What stands in series with the movement of a voltmeter."""

    resistor: Resistor
    """Its designator; value, tolerance, power and voltage of each stand among the parts."""
    string: AtLeastOne = 1
    """How many of them stand in series."""
    across: SupplyId | None = None
    """Supply that it hangs on, where the meter shows a value of a stage."""


Potential = Literal["earth", "bias", "plate line", "screen line"]
Cover = Literal["none", "insulating", "recessed glass"]
AT_POTENTIAL = {"bias": "grid_bias", "plate line": "plate_voltage", "screen line": "screen_voltage"}
"""Which voltage of a stage a meter sits at."""
ALL_METERS = (
    formula(metering.scale_share, reading="meter_reading", full_scale="range"),
    formula(metering.larger, "accuracy_used", first="accuracy_stated", second="accuracy_budget"),
    ("accuracy_used", Via("", "accuracy_stated")),
    ("accuracy_used", Via("", "accuracy_budget")),
    ("accessible_voltage", Via("station", "accessible_voltage")),
)
BUDGET = (formula(metering.uncorrected_error, "accuracy_budget"),)
SHUNTED = (
    *BUDGET,
    formula(metering.in_parallel, "shunt", each="shunt_resistor", count="shunt_parallel"),
    formula(metering.shunt_needed, full_scale="range"),
    formula(metering.shunted_full_scale, "current_range_built"),
    formula(metering.voltage_burden),
    formula(metering.scale_error, marked="range", built="current_range_built"),
    formula(metering.shunted_error, "parts_error"),
)
BARE = (
    *BUDGET,
    ("current_range_built", Via("", "movement_current")),
    formula(metering.voltage_burden),
    formula(metering.scale_error, marked="range", built="current_range_built"),
    ("parts_error", Via("", "movement_accuracy")),
)
MULTIPLIED = (
    *BUDGET,
    formula(metering.in_series, "multiplier", each="multiplier_resistor", count="multiplier_string"),
    formula(metering.multiplier_needed, full_scale="range"),
    formula(metering.multiplied_full_scale, "voltage_range_built"),
    formula(metering.scale_error, marked="range", built="voltage_range_built"),
    formula(metering.multiplied_error, "parts_error"),
    ("multiplier_voltage", Via("multiplier.across", "no_load_voltage")),
    ("multiplier_voltage", Via("shows.supply", "no_load_voltage")),
    formula(
        supplies.share_of_string, "multiplier_voltage_each",
        total_voltage="multiplier_voltage", string_count="multiplier_string",
    ),
    formula(
        supplies.bleeder_power, "multiplier_power_each",
        output_voltage="multiplier_voltage_each", bleeder="multiplier_resistor",
    ),
)  # fmt: skip


def made_of(unit: str, movement: Movement | None, shunt: Shunt | None) -> tuple[Formula | tuple[str, Via], ...]:
    """Formulas for how a meter is made: shunted, bare, or behind a multiplier; none for what cannot be worked out.

    Args:
        unit: of what its scale shows.
        movement: of the meter, where it is recorded.
        shunt: across it, where there is one.
    """
    if movement is None or movement.kind != "moving coil":
        return ()
    by_unit = {"A": SHUNTED if shunt else BARE, "V": MULTIPLIED}
    return by_unit.get(unit, ())


def counted(shunt: Shunt | None, multiplier: Multiplier | None, parts: Mapping[str, Part]) -> dict[str, Quantity]:
    """Numbers of resistors and their tolerances.

    Args:
        shunt: of the meter.
        multiplier: of the meter.
        parts: of the rig.
    """
    found: dict[str, Quantity] = {}
    if shunt:
        found["shunt_parallel"] = Quantity(float(shunt.parallel), "")
        found |= _tolerance("shunt_tolerance", parts[shunt.resistor])
    if multiplier:
        found["multiplier_string"] = Quantity(float(multiplier.string), "")
        found |= _tolerance("multiplier_tolerance", parts[multiplier.resistor])
    return found


def _tolerance(name: str, part: Part) -> dict[str, Quantity]:
    return {name: part.tolerance} if part.tolerance else {}
