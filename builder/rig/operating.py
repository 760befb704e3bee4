"""Where the operating point of a stage comes from: readings, pulse of plate current, fit of the tube."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import isfinite, radians
from typing import Any, NamedTuple

import numpy as np

from builder.physics import amplifier, class_c, pulse
from builder.physics.operating import Operation, operation_from_meters
from builder.physics.tubes import Tetrode, Triode, currents
from builder.reference.fits import IDENTITY_SPREAD, Rule, combined, error, fit

from .thing import Formula, Usual, Via, formula, solution

COVERS = 1.645
"""Standard uncertainties in the error that nine of ten columns stay below; source: jcgm106 (from memory)."""
ANGLES = {
    "class C telegraphy": (60.0, 80.0), "class C plate-modulated": (50.0, 72.0), "linear": (90.0, 110.0),
}  # fmt: skip
"""Half angles of published columns by service, degrees; source: classc-identities."""
EMISSION = {"thoriated": 0.060, "oxide": 0.150, "tungsten": 0.006}
"""Ampere of peak cathode current for each watt of heating beyond which to worry; source: classc-identities."""
TANK = Usual(0.93, 0.03, "", "classc-identities", "a usual tank; the network's own figures are not complete")
EXPONENT = Usual(1.35, 0.2, "", "classc-identities", "between a linear and a square-law pulse")
LINEAR_ANGLE = Usual(radians(100), radians(8), "", "classc-identities", "linear stages lie between 90 and 110 degrees")
LINEAR_BANDS = {"half_angle": 0.05, "peak_drive": 0.10, "grid_current": 0.45}
"""Nine of ten answers of the model err less; fits know class C columns, so a linear stage has the widest bands."""

QUIET = np.errstate(all="ignore")
"""Absurd readings give no finite answer, which is refused afterwards."""
CARRIER_ONLY = (("crest_factor", Usual(1.0, 0.0, "", "elementary", "the plates are not modulated")),)
"""For stages whose plates are not modulated."""

PULSE = (
    ("tank_efficiency", Via("output.network", "network_efficiency")),
    ("tank_efficiency", TANK),
    ("pulse_exponent", EXPONENT),
    formula(class_c.tube_output),
    formula(amplifier.per_tube, "tube_output_per_tube", total="tube_output"),
    formula(pulse.fundamental_ratio, exponent="pulse_exponent"),
    formula(pulse.mean_share, exponent="pulse_exponent"),
    formula(class_c.fundamental_current),
    formula(class_c.plate_swing),
    formula(class_c.plate_load),
    formula(class_c.swing_share),
    formula(class_c.least_plate_voltage),
    formula(class_c.peak_plate_current),
    formula(
        amplifier.electrode_input, "heater_power",
        electrode_voltage="heater_voltage_nominal", electrode_current="heater_current_nominal",
    ),
    formula(class_c.emission_share),
)  # fmt: skip
"""From half angle, meters and output to what goes on in the tubes."""
GRID_RATIO = formula(
    class_c.ratio_of, "grid_current_ratio", value="grid_current_per_tube", expected="expected_grid_current"
)
HARMONIC_CONTENT = (
    formula(pulse.second_current_share, exponent="pulse_exponent"),
    formula(pulse.third_current_share, exponent="pulse_exponent"),
)
"""From a half angle that meters tell to the harmonics of plate current; a usual angle would not do for them."""
DRIVEN = (
    *HARMONIC_CONTENT,
    ("peak_drive", Via("", "grid_drive")),
    ("fixed_bias", Via("", "grid_fixed")),
    formula(class_c.grid_drive_power).with_band(IDENTITY_SPREAD),
    formula(class_c.grid_heat),
    GRID_RATIO,
    formula(class_c.undriven_dissipation),
)
"""From drive and bias to what goes on at the grids."""
SCREENED = (
    formula(pulse.half_angle_tetrode, "half_angle"),
    formula(
        class_c.ratio_of, "screen_current_ratio",
        value="screen_current_per_tube", expected="expected_screen_current",
    ),
    formula(amplifier.per_tube, "screen_current_per_tube", total="screen_current"),
)  # fmt: skip


class Undriven(NamedTuple):
    """A tube without drive."""

    undriven_current: float
    screen_voltage: float


@cache
def class_c_items(type_name: str, *, dropping: bool) -> tuple[Any, ...]:
    """Origins of a grid-driven stage's operating point.

    Args:
        type_name: of its tubes.
        dropping: whether the screen is fed from the plate line through a resistor.
    """
    found = fit(type_name)
    model = found.tube if found else None
    if isinstance(model, Tetrode):
        undriven = _through_resistor(model) if dropping else _at_screen(model)
        return (*PULSE, *DRIVEN, *SCREENED, *_expected(_meters_tetrode(model), "tetrodes"), undriven)
    if found and isinstance(model, Triode):
        angle = solution(_meters_triode(model), {"half_angle": "half_angle"}, **PER_TUBE)
        return (
            *PULSE,
            *DRIVEN,
            *angle,
            *_expected(_beside_rule(model, found.rule), "triodes"),
            _triode_undriven(model),
        )
    return (*PULSE, *DRIVEN, *SCREENED)


@cache
def cathode_driven_items(type_name: str) -> tuple[Any, ...]:
    """Origins of a cathode-driven stage's operating point where its tube is fitted; none otherwise.

    Args:
        type_name: of its tubes.
    """
    found = fit(type_name)
    if found is None:
        return ()
    model = found.tube
    if isinstance(model, Tetrode):
        meters = _meters_tetrode(model, cathode_driven=True)
    else:
        meters = _meters_triode(model, cathode_driven=True)
    names = {"half_angle": "half_angle", "peak_drive": "cathode_drive", "grid_current": "expected_grid_current"}
    made = solution(meters, names, **PER_TUBE)
    return (
        *(item.with_band(LINEAR_BANDS[item.part] / COVERS) for item in made),
        ("half_angle", LINEAR_ANGLE),
        formula(class_c.least_voltage_from_cathode, "least_plate_voltage"),
        formula(class_c.least_plate_voltage),
        formula(class_c.feed_through_power),
        formula(class_c.grid_drive_power, peak_drive="cathode_drive").with_band(IDENTITY_SPREAD),
        formula(class_c.cathode_drive_power),
        formula(class_c.grid_heat),
        GRID_RATIO,
    )


PER_TUBE = {"plate_current": "plate_current_per_tube", "output_power": "tube_output_per_tube"}
RESULTS = {"peak_drive": "peak drive", "grid_current": "grid current", "screen_current": "screen current"}
"""Parts of the model's answer with the words under which its errors stand in the table of fits."""


def _expected(function: Callable[..., Operation], kind: str) -> tuple[Formula, ...]:
    """Drive and electrode currents to be expected, with the error made on columns that were held out."""
    names = {"peak_drive": "peak_drive", "grid_current": "expected_grid_current"}
    if kind == "tetrodes":
        names["screen_current"] = "expected_screen_current"
    made = solution(function, names, **PER_TUBE)
    return tuple(item.with_band(_band(kind, RESULTS[item.part])) for item in made)


def _band(kind: str, result: str) -> float:
    found = error(kind, "meters and watts", result)
    return found.p90 / COVERS if found else 0.3


def _meters_tetrode(model: Tetrode, *, cathode_driven: bool = False) -> Callable[..., Operation]:
    @QUIET
    def from_meters(
        plate_voltage: float, plate_current: float, output_power: float, grid_bias: float, screen_voltage: float
    ) -> Operation:
        """What the fitted tube does at these readings.

        Source: classc-identities, inverse problem with the fitted tube
        """
        meters = (plate_voltage, grid_bias, plate_current, output_power, screen_voltage)
        return scalar(operation_from_meters(model, *meters, cathode_driven=cathode_driven))

    return from_meters


def _meters_triode(model: Triode, *, cathode_driven: bool = False) -> Callable[..., Operation]:
    @QUIET
    def from_meters(plate_voltage: float, plate_current: float, output_power: float, grid_bias: float) -> Operation:
        """What the fitted tube does at these readings.

        Source: classc-identities, inverse problem with the fitted tube
        """
        meters = (plate_voltage, grid_bias, plate_current, output_power)
        return scalar(operation_from_meters(model, *meters, cathode_driven=cathode_driven))

    return from_meters


def _beside_rule(model: Triode, rule: Rule) -> Callable[..., Operation]:
    row = error("triodes", "meters and watts", "grid current")
    weight = row.weight if row and row.weight is not None else 1.0
    meters = _meters_triode(model)

    def from_meters(plate_voltage: float, plate_current: float, output_power: float, grid_bias: float) -> Operation:
        """What the fitted tube does at these readings, its grid current weighed with that of the published columns.

        Source: bates-granger, mean of two estimates weighed by their mean square errors
        """
        made = meters(plate_voltage, plate_current, output_power, grid_bias)
        return made._replace(grid_current=combined(made.grid_current, rule.at(plate_current), weight))

    return from_meters


def scalar(found: Operation) -> Operation:
    """An answer in plain numbers.

    Raises:
        ValueError: the readings do not belong to any operating point of the tube.
    """
    if bool(found.saturated) or not isfinite(sum(map(float, found))):
        raise ValueError("the tube cannot give this output at this plate voltage and current")
    return Operation(*(float(item) for item in found))


def _at_screen(model: Tetrode) -> Formula:
    @QUIET
    def undriven(plate_voltage: float, screen_voltage: float, fixed_bias: float) -> float:
        """Plate current of one tube without drive, the screen held where it is.

        Source: classc-identities, loss of excitation
        """
        return float(currents(model, fixed_bias, plate_voltage, screen_voltage).plate)

    return formula(undriven, "undriven_current")


def _through_resistor(model: Tetrode) -> Formula:
    @QUIET
    def undriven(plate_voltage: float, screen_through: float, tubes_count: float, fixed_bias: float) -> float:
        """Plate current of one tube without drive, the screen sagging behind its resistor.

        Source: classc-identities, loss of excitation
        """
        low, high = 0.0, plate_voltage
        for _halving in range(24):
            screen = (low + high) / 2
            drop = screen_through * tubes_count * float(currents(model, fixed_bias, plate_voltage, screen).screen)
            low, high = (screen, high) if plate_voltage - drop > screen else (low, screen)
        return float(currents(model, fixed_bias, plate_voltage, low).plate)

    return formula(undriven, "undriven_current")


def _triode_undriven(model: Triode) -> Formula:
    @QUIET
    def undriven(plate_voltage: float, fixed_bias: float) -> float:
        """Plate current of one tube without drive.

        Source: classc-identities, loss of excitation
        """
        return float(currents(model, fixed_bias, plate_voltage).plate)

    return formula(undriven, "undriven_current")
