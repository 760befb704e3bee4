"""Heaters: windings that carry them at the right voltage, and plate voltage that waits for them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most, between
from builder.rig.heating import HeaterWinding
from builder.rig.stage import TubeStage
from builder.rig.stages.cathode_driven import CathodeDriven
from builder.rig.supply import Supply

if TYPE_CHECKING:
    from builder.physics.units import Ampere, Count, Second, Volt

BAND = 0.05
"""How far a winding may be from the nominal voltage of what it heats; source: filament-practice."""
HIGHEST = 1.10
"""Heater voltage over nominal when the line is at its highest; source: common-practice."""


def _on_a_winding(stage: Any) -> bool:
    return stage.heater.winding is not None


def _rectifier_on_a_winding(supply: Any) -> bool:
    return supply.rectifier.winding is not None


def _warms_up(stage: Any) -> bool:
    return stage.tube.data.text("warm up") is not None


def _thoriated(stage: Any) -> bool:
    return "thoriated" in (stage.tube.data.text("cathode") or "")


def _mercury(supply: Any) -> bool:
    return "mercury" in supply.tube.kind


@check(
    "heater winding current", of=HeaterWinding, source="common-practice", margin=0.05,
    why="A winding asked for more than its rating runs hot day and night, and its voltage sags under every heater.",
    remedy="Move a heater to another winding, or fit a larger transformer.",
)  # fmt: skip
def winding_carries(winding_load: Ampere, current: Ampere) -> Judgement:
    """Nominal heater currents of everything on the winding at most its rating."""
    return at_most(winding_load, current)


@check(
    "heater winding voltage", of=TubeStage, source="filament-practice", margin=0.01, applies=_on_a_winding,
    why="A winding of the wrong voltage starves or burns every heater on it, and no adjustment mends that.",
    remedy="Another winding, or a resistor in the heater lead, worked out from the nominal current.",
)  # fmt: skip
def winding_fits(heater_voltage_expected: Volt, heater_voltage_nominal: Volt) -> Judgement:
    """Voltage of the winding, less the drop in the heater's resistor, within 5 per cent of nominal."""
    return between(heater_voltage_expected, heater_voltage_nominal * (1 - BAND), heater_voltage_nominal * (1 + BAND))


@check(
    "rectifier winding voltage", of=Supply, source="filament-practice", margin=0.01,
    applies=_rectifier_on_a_winding,
    why="A rectifier with too cool a filament arcs back; one too hot loses its coating.",
    remedy="The winding that the data sheet asks for, measured at the socket.",
)  # fmt: skip
def rectifier_winding_fits(winding_voltage: Volt, heater_voltage_nominal: Volt) -> Judgement:
    """Voltage of the winding within 5 per cent of the rectifier's nominal filament voltage."""
    return between(winding_voltage, heater_voltage_nominal * (1 - BAND), heater_voltage_nominal * (1 + BAND))


@check(
    "filament with the line high", of=TubeStage, source="common-practice", margin=0.01, applies=_thoriated,
    why="A thoriated filament that is right on a usual day loses its skin of thorium on the day the line is high.",
    remedy="Set the voltage a little below nominal, by a tap or a resistor, or steady the line of the filaments.",
)  # fmt: skip
def filament_stands_the_line(heater_voltage_high: Volt, heater_voltage_nominal: Volt) -> Judgement:
    """Thoriated filament, taken as read at nominal line and raised to the highest, at most 10 per cent too high."""
    return at_most(heater_voltage_high, HIGHEST * heater_voltage_nominal)


@check(
    "plate voltage delay", of=TubeStage, source="eimac, filament chapter (page not verified)", margin=0.0,
    applies=_warms_up,
    why="Plate voltage on a cathode that is not yet warm tears its coating off.",
    remedy="A delay relay between heaters and plate contactor, for the time that the data sheet names.",
)  # fmt: skip
def plate_voltage_waits(plate_delay: Second, warm_up_rated: Second) -> Judgement:
    """Delay before plate voltage at least the warm-up time of the data sheet."""
    return at_least(plate_delay, warm_up_rated)


@check(
    "filament choke current", of=CathodeDriven, source="common-practice", margin=0.05,
    applies=lambda stage: stage.filament_choke is not None,
    why="A filament choke that carries too much runs hot, drops the filament voltage and saturates its rod.",
    remedy="Thicker wire, or a choke for each tube.",
)  # fmt: skip
def filament_choke_carries(heaters_current: Ampere, filament_choke_current_rating: Ampere) -> Judgement:
    """Filament current of all tubes at most what the choke is made for."""
    return at_most(heaters_current, filament_choke_current_rating)


@check(
    "rectifier upright", of=Supply, source="rca-tt5, rectifier data", margin=0.0, applies=_mercury,
    why="In a mercury-vapour tube that lies down the mercury wets the plate, and it arcs back at once.",
    remedy="Mount it base down, and heat it for half an hour after each move before plate voltage comes on.",
)  # fmt: skip
def mercury_stays_below(upright_rectifiers: Count) -> Judgement:
    """Mercury-vapour rectifiers stand upright, base down."""
    return at_least(upright_rectifiers, 1.0)
