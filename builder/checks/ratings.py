"""Every electrode inside what the maker allows in the service in use."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, agrees, at_most, between
from builder.rig.stage import TubeStage
from builder.rig.stages.rf_power import RfPower

if TYPE_CHECKING:
    from builder.physics.units import Ampere, Hertz, Volt, Watt

HEATER_BAND = 0.05
"""Half-width of the band of heater and filament voltage; source: eimac, filament chapter (page not verified)."""
BOOKS = 0.10
"""How far bias or screen voltage may be from what resistor and current make; source: common-practice."""


def _screen(stage: Any) -> bool:
    return bool(stage.screen_grid) and stage.screen is not None


def _has(name: str) -> Any:
    return lambda stage: getattr(stage, "rating", None) is None or stage.rating.text(name) is not None


def _modulated(stage: Any) -> bool:
    return stage.plate.modulated_by is not None


def _grid(stage: Any) -> bool:
    return "grid" in stage.tube.electrodes and _has("grid current")(stage) and stage.row == "rf"


def _leak_makes_the_bias(stage: Any) -> bool:
    other_bias = stage.grid.supply or (stage.cathode and stage.cathode.resistor)
    return stage.grid.leak is not None and not other_bias and stage.row == "rf"


@check(
    "plate voltage", of=TubeStage, source="rca-tt5, ratings", margin=0.05,
    why="Above its rating a tube arcs inside or across its base, and the seals are strained.",
    remedy="Lower the supply, or use the tube in a service that allows more.",
)  # fmt: skip
def plate_voltage_allowed(plate_voltage: Volt, plate_voltage_rated: Volt) -> Judgement:
    """Plate voltage at most the rating of the service in use."""
    return at_most(plate_voltage, plate_voltage_rated)


@check(
    "plate current", of=TubeStage, source="rca-tt5, ratings", margin=0.05, each_carrier=True,
    applies=_has("plate current"),
    why="More current than the cathode is made for shortens its life and heats every electrode.",
    remedy="Load less heavily, or share the work between more tubes.",
)  # fmt: skip
def plate_current_allowed(plate_current_per_tube: Ampere, plate_current_rated: Ampere) -> Judgement:
    """Mean plate current of each tube at most the rating."""
    return at_most(plate_current_per_tube, plate_current_rated)


@check(
    "plate input", of=TubeStage, source="rca-tt5, ratings", margin=0.05, each_carrier=True,
    applies=_has("plate input"),
    why="Input above the rating means heat above the rating at any real efficiency.",
    remedy="Lower voltage or current; ratings of input are per tube.",
)  # fmt: skip
def plate_input_allowed(dc_input_per_tube: Watt, plate_input_rated: Watt) -> Judgement:
    """Direct-current input of each tube at most the rating."""
    return at_most(dc_input_per_tube, plate_input_rated)


@check(
    "plate dissipation", of=TubeStage, source="rca-tt5, ratings", margin=0.10, each_carrier=True,
    why="A plate that must lose more than its rating shows colour, gives off gas and ages.",
    remedy="Load for better efficiency, lower the plate voltage, or share the work between more tubes.",
)  # fmt: skip
def plates_keep_cool(plate_dissipation_per_tube: Watt, plate_dissipation_rated: Watt) -> Judgement:
    """Input less output, for each tube, at most the rating; loss in the network is counted to the plates."""
    return at_most(plate_dissipation_per_tube, plate_dissipation_rated)


@check(
    "plate dissipation under modulation", of=RfPower, source="kennedy, ex. 3.2 (p. 38)", margin=0.05,
    applies=_modulated,
    why="Sine modulation raises the heat in the plates; the telegraphy rating is what the plate can stand on average.",
    remedy="Lower the carrier, or modulate less deeply for long tones.",
)  # fmt: skip
def plates_keep_cool_under_modulation(
    plate_dissipation_modulated: Watt, plate_dissipation_unmodulated_rated: Watt
) -> Judgement:
    """Heat averaged over sine modulation at most the rating for telegraphy."""
    return at_most(plate_dissipation_modulated, plate_dissipation_unmodulated_rated)


@check(
    "screen voltage", of=TubeStage, source="rca-tt5, ratings", margin=0.05, applies=_screen,
    why="Screen voltage sets the current of the whole tube; too much of it overheats the screen first.",
    remedy="Raise the dropping resistor or lower the screen supply.",
)  # fmt: skip
def screen_voltage_allowed(screen_voltage: Volt, screen_voltage_rated: Volt) -> Judgement:
    """Screen voltage at most the rating."""
    return at_most(screen_voltage, screen_voltage_rated)


@check(
    "screen dissipation", of=TubeStage, source="rca-tt5, ratings", margin=0.10, applies=_screen,
    why="A screen is thin wire: it is the first thing in a tetrode to burn out.",
    remedy="Load the plate more heavily, or lower the screen voltage.",
)  # fmt: skip
def screen_keeps_cool(screen_input_per_tube: Watt, screen_input_rated: Watt) -> Judgement:
    """Screen voltage times screen current of each tube at most the rating."""
    return at_most(screen_input_per_tube, screen_input_rated)


@check(
    "screen books", of=TubeStage, source="common-practice",
    applies=lambda stage: _screen(stage) and stage.screen_from_plate,
    why="When supply, resistor and current do not add up, one of them is not what the papers say.",
    remedy="Measure the resistor cold and read screen voltage and current again.",
)  # fmt: skip
def screen_books_balance(screen_voltage: Volt, screen_voltage_behind_resistor: Volt) -> Judgement:
    """Screen voltage within a tenth of plate voltage less the drop in the screen resistor."""
    return agrees(screen_voltage, screen_voltage_behind_resistor, BOOKS)


@check(
    "screen resistor", of=TubeStage, source="res-gloss, derating", margin=0.2,
    applies=lambda stage: _screen(stage) and stage.screen.through is not None,
    why="A dropping resistor at its rating is too hot to sit in a closed chassis and drifts until it opens.",
    remedy="Fit one of at least twice the heat that it makes.",
)  # fmt: skip
def screen_resistor_keeps_cool(screen_resistor_power: Watt, screen_through_power_rating: Watt) -> Judgement:
    """Heat in the screen resistor at most half its rating."""
    return at_most(screen_resistor_power, screen_through_power_rating / 2)


@check(
    "screen divider", of=TubeStage, source="res-gloss, derating", margin=0.2,
    applies=lambda stage: _screen(stage) and stage.screen.to_earth is not None,
    why="A divider that opens below the screen lets its voltage rise to that of the plate line.",
    remedy="Fit one of at least twice the heat that it makes.",
)  # fmt: skip
def screen_divider_keeps_cool(screen_divider_power: Watt, screen_to_earth_power_rating: Watt) -> Judgement:
    """Heat in the resistor from screen to chassis at most half its rating."""
    return at_most(screen_divider_power, screen_to_earth_power_rating / 2)


@check(
    "grid bias", of=TubeStage, source="rca-tt5, ratings", margin=0.05, applies=_has("grid voltage"),
    why="Bias beyond the rating adds to the drive peaks until the tube flashes over inside.",
    remedy="Lower the grid leak or the drive.",
)  # fmt: skip
def grid_bias_allowed(grid_bias: Volt, grid_voltage_rated: Volt) -> Judgement:
    """Bias no more negative than the rating."""
    return at_most(-grid_bias, -grid_voltage_rated)


@check(
    "grid current", of=TubeStage, source="rca-tt5, ratings", margin=0.10, applies=_grid, each_carrier=True,
    why="Grid current heats the grid; a hot grid emits, and a tube that does so runs away.",
    remedy="Reduce the drive.",
)  # fmt: skip
def grid_current_allowed(grid_current_per_tube: Ampere, grid_current_rated: Ampere) -> Judgement:
    """Grid current of each tube at most the rating."""
    return at_most(grid_current_per_tube, grid_current_rated)


@check(
    "bias books", of=TubeStage, source="common-practice",
    applies=_leak_makes_the_bias,
    why="When leak and grid current do not make the bias, a part or a meter is off, or the tube is gassy.",
    remedy="Measure the leak cold; check the grid meter and its shunt.",
)  # fmt: skip
def bias_books_balance(grid_bias: Volt, grid_leak_bias: Volt) -> Judgement:
    """Bias within a tenth of grid current times grid leak."""
    return agrees(grid_bias, grid_leak_bias, BOOKS)


@check(
    "heater voltage", of=TubeStage, source="eimac, filament chapter (page not verified)", margin=0.01,
    why="Too low starves the cathode, too high boils it away; both cost life.",
    remedy="Measure at the pins, warm, with a true effective-value meter; change the tap or add a resistor.",
)  # fmt: skip
def heater_voltage_right(heater_voltage: Volt, heater_voltage_nominal: Volt) -> Judgement:
    """Heater or filament voltage at the pins within 5 per cent of nominal."""
    low, high = heater_voltage_nominal * (1 - HEATER_BAND), heater_voltage_nominal * (1 + HEATER_BAND)
    return between(heater_voltage, low, high)


@check(
    "tube frequency", of=TubeStage, source="rca-tt5, ratings", margin=0.0, each_carrier=True,
    applies=lambda stage: stage.row == "rf" and stage.tube.data.text("full rating frequency") is not None,
    why="Above its frequency of full ratings a tube must be run at reduced voltage and input.",
    remedy="Take the reduced ratings of the data sheet, or another type.",
)  # fmt: skip
def frequency_allowed(carrier_frequency: Hertz, frequency_rated: Hertz) -> Judgement:
    """Carrier at most the frequency to which full ratings hold."""
    return at_most(carrier_frequency, frequency_rated)


@check(
    "output possible", of=TubeStage, source="classc-identities", margin=0.0, each_carrier=True,
    applies=lambda stage: stage.row == "rf" and stage.kind in {"rf power", "cathode driven"},
    why="More output than the input can make means that a meter, or what it is said to measure, is wrong.",
    remedy="Check the wattmeter against another, and where the plate meter sits in the circuit.",
)  # fmt: skip
def output_possible(output_power: Watt, most_output: Watt) -> Judgement:
    """Output at most 95 per cent of the plate input, which no pulse of plate current can exceed."""
    return at_most(output_power, most_output)
