"""What the tubes are really doing: angle, swing, drive, currents against the model, and loss of drive."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, agrees, at_least, at_most, between
from builder.reference.fits import fit
from builder.rig.stage import TubeStage
from builder.rig.stages.cathode_driven import CathodeDriven
from builder.rig.stages.modulator import Modulator
from builder.rig.stages.rf_power import RfPower

if TYPE_CHECKING:
    from builder.physics.units import Count, Ohm, Ratio, Volt, Watt

FACTOR = 2.0
"""Measured over expected electrode current beyond which something is wrong; source: classc-identities, check P10."""
FULL_SWING = 0.98
"""Largest plate swing over plate voltage that a tube can make; source: classc-identities, check P5."""
LEAST_SWING = 0.6
"""Smallest plate swing over plate voltage of a well loaded stage; common-practice."""
AM_LINEAR = 0.5
"""Carrier of a linear stage over its rated dissipation; source: efficiency-practice."""
THEORY = 0.25
"""How far a published or reflected load may be from class B theory; source: classc-identities, identities of pairs."""
GRID_RATED = "grid dissipation"


def _class_c(stage: Any) -> bool:
    return stage.kind in {"rf power", "rf driver"} and stage.tubes.service.startswith("class C")


def _screened_class_c(stage: Any) -> bool:
    return _class_c(stage) and bool(stage.screen_grid) and stage.screen is not None


def _screened_and_fitted(stage: Any) -> bool:
    return _screened_class_c(stage) and fit(stage.tubes.type) is not None


def _fitted(stage: Any) -> bool:
    return _class_c(stage) and fit(stage.tubes.type) is not None


def _grid_modelled(stage: Any) -> bool:
    return _fitted(stage) or (stage.kind == "cathode driven" and fit(stage.tubes.type) is not None)


def _unprotected(stage: Any) -> bool:
    return _class_c(stage) and stage.kind == "rf power" and stage.protected_by is None


def _modulated_screen(stage: Any) -> bool:
    return stage.plate.modulated_by is not None and bool(stage.screen_from_plate)


def _published(stage: Any) -> bool:
    return stage.column is not None and stage.kind == "rf power"


def _grid_rated(stage: Any) -> bool:
    return _class_c(stage) and stage.rating is not None and stage.rating.text(GRID_RATED) is not None


@check(
    "conduction angle", of=RfPower, source="classc-identities, check P8", margin=0.0, applies=_fitted,
    each_carrier=True,
    why="Too long a pulse wastes plate power; too short a one asks for drive and emission that the tube may not have.",
    remedy="Change the bias: more negative shortens the pulse.",
)  # fmt: skip
def angle_suits_the_service(half_angle: Ratio, angle_low: Ratio, angle_high: Ratio) -> Judgement:
    """Half of the conduction angle within the range of published columns for the service."""
    return between(half_angle, angle_low, angle_high)


@check(
    "plate swing", of=TubeStage, source="classc-identities, check P5", margin=0.0, each_carrier=True,
    applies=lambda stage: stage.kind in {"rf power", "cathode driven"},
    why="A swing beyond the plate voltage cannot be: a meter is wrong. A small one heats the plates for nothing.",
    remedy="Beyond: check wattmeter and plate meters. Small: load less heavily, so that the plates see a higher load.",
)  # fmt: skip
def swing_is_possible(swing_share: Ratio) -> Judgement:
    """Plate swing between 60 and 98 per cent of the plate voltage."""
    return between(swing_share, LEAST_SWING, FULL_SWING)


@check(
    "grid current against the model", of=TubeStage, source="classc-identities, check P10", margin=0.0,
    applies=_grid_modelled,
    why="Far from what the tube should draw: wrong loading or screen voltage, a soft tube, or a meter that is off.",
    remedy="Check screen voltage and loading first, then the grid meter's shunt, then another tube.",
)  # fmt: skip
def grid_current_is_plausible(grid_current_ratio: Ratio) -> Judgement:
    """Grid current between half and twice what the fitted tube would draw."""
    return between(grid_current_ratio, 1 / FACTOR, FACTOR)


@check(
    "screen current against the model", of=TubeStage, source="classc-identities, check P10", margin=0.0,
    applies=_screened_and_fitted,
    why="Screen current tells of loading sooner than any other meter: too much means that the plate swings too far.",
    remedy="Load more heavily if it is high, less if it is low; then suspect tube and meter.",
)  # fmt: skip
def screen_current_is_plausible(screen_current_ratio: Ratio) -> Judgement:
    """Screen current between half and twice what the fitted tube would draw."""
    return between(screen_current_ratio, 1 / FACTOR, FACTOR)


@check(
    "drive power against the driver", of=RfPower, source="classc-identities, check P9", margin=0.25,
    applies=lambda stage: _class_c(stage) and stage.driven_by is not None,
    why="What the grids take, and as much again in the coupling, must come from the stage before.",
    remedy="Raise the driver's plate voltage, tighten the coupling, or lower the bias.",
)  # fmt: skip
def driver_covers_the_grids(drive_available: Watt, grid_drive_power: Watt) -> Judgement:
    """Output of the stage before at least twice what the grids take, reckoned from drive and grid current."""
    return at_least(drive_available, 2 * grid_drive_power)


@check(
    "grid dissipation", of=TubeStage, source="eimac-manual, ratings", margin=0.10, applies=_grid_rated,
    why="A grid that is too hot emits by itself; the tube runs away and is lost.",
    remedy="Less drive, or less bias and less drive together.",
)  # fmt: skip
def grid_keeps_cool(grid_heat: Watt, grid_dissipation_rated: Watt) -> Judgement:
    """Driving power less what the bias takes up, for each tube, at most the rating."""
    return at_most(grid_heat, grid_dissipation_rated)


@check(
    "loss of drive", of=RfPower, source="classc-identities, check P12", margin=0.10, applies=_unprotected,
    why="With grid-leak bias alone a stage that loses its drive loses its bias, and its plates glow within seconds.",
    remedy="Protective fixed bias, a cathode resistor, a clamp, or a relay that the grid current must hold.",
)  # fmt: skip
def stage_survives_without_drive(undriven_dissipation: Watt, plate_dissipation_rated: Watt) -> Judgement:
    """Heat in each plate without drive at most the rating, where nothing is recorded that would switch it off."""
    return at_most(undriven_dissipation, plate_dissipation_rated)


@check(
    "peak emission", of=TubeStage, source="classc-identities, check P15", margin=0.10, applies=_fitted,
    why="A cathode asked for more than it can emit flattens the crests and is stripped of its coating.",
    remedy="Lower plate current, or share the work between more tubes.",
)  # fmt: skip
def cathode_can_emit(emission_share: Ratio, emission_limit: Ratio) -> Judgement:
    """Peak plate current at the crest, for each watt of heating, at most the usual figure for the cathode."""
    return at_most(emission_share, emission_limit)


@check(
    "screen dissipation under modulation", of=RfPower, source="classc-identities, check P3", margin=0.10,
    applies=_modulated_screen,
    why="A screen that is modulated with the plate is heated by the sidebands too.",
    remedy="A higher screen resistor, or less depth for long tones.",
)  # fmt: skip
def screen_keeps_cool_under_modulation(screen_heat_modulated: Watt, screen_input_rated: Watt) -> Judgement:
    """Screen dissipation averaged over sine modulation at most one and a half times the rating at the carrier."""
    return at_most(screen_heat_modulated, 1.5 * screen_input_rated)


@check(
    "efficiency against the data sheet", of=TubeStage, source="classc-identities, efficiency of columns", margin=0.0,
    applies=_published, each_carrier=True,
    why="Far below the published efficiency the power goes into the plates; far above it a meter is wrong.",
    remedy="Below: tune, load and drive again. Above: compare the wattmeter and the plate meters.",
)  # fmt: skip
def efficiency_is_usual(efficiency: Ratio, efficiency_typical: Ratio) -> Judgement:
    """Efficiency at the load within a fifth of that of the published column."""
    return agrees(efficiency, efficiency_typical, 0.20)


@check(
    "idle dissipation", of=Modulator, source="rca-tt5, ratings", margin=0.10,
    applies=lambda stage: stage.plate.idle is not None,
    why="Between words a modulator does nothing but heat its plates.",
    remedy="More bias.",
)  # fmt: skip
def modulator_idles_cool(idle_dissipation: Watt, plate_dissipation_rated: Watt) -> Judgement:
    """Heat in each plate without signal at most the rating."""
    return at_most(idle_dissipation, plate_dissipation_rated)


@check(
    "idle dissipation of the linear", of=CathodeDriven, source="eimac-3-500z, ratings", margin=0.10,
    applies=lambda stage: stage.plate.idle is not None,
    why="A linear that idles hot has no room left for the signal.",
    remedy="More bias, or cut it off while listening.",
)  # fmt: skip
def linear_idles_cool(idle_dissipation: Watt, plate_dissipation_rated: Watt) -> Judgement:
    """Heat in each plate without signal at most the rating."""
    return at_most(idle_dissipation, plate_dissipation_rated)


@check(
    "dissipation with two tones", of=CathodeDriven, source="eimac-3-500z, ratings", margin=0.10, each_carrier=True,
    applies=lambda stage: stage.plate.idle is not None,
    why="Two tones keep a linear near the drive at which its plates are hottest; so does clipped speech.",
    remedy="Load more heavily, lower the drive, or blow more air.",
)  # fmt: skip
def linear_keeps_cool_with_two_tones(two_tone_dissipation: Watt, plate_dissipation_rated: Watt) -> Judgement:
    """Heat in each plate with two tones of the same crest at most the rating."""
    return at_most(two_tone_dissipation, plate_dissipation_rated)


@check(
    "class B theory", of=Modulator, source="terman-re, class B amplifiers (page not verified)", margin=0.0,
    applies=lambda stage: stage.modulates is not None,
    why="Output and current that do not fit the load mean a meter error, or another load than thought.",
    remedy="Measure output, plate current at full tone, and the ratio of the transformer.",
)  # fmt: skip
def pair_fits_theory(theory_load: Ohm, reflected_load: Ohm) -> Judgement:
    """Load that output and current imply within a quarter of the load that is reflected."""
    return agrees(theory_load, reflected_load, THEORY)


@check(
    "carrier in a linear stage", of=CathodeDriven, source="efficiency-practice", margin=0.10,
    applies=lambda stage: stage.carries_am,
    why="A linear stage turns a third of its input into carrier; the rest heats the plates all the time.",
    remedy="Carrier at most half of the rated dissipation of all tubes.",
)  # fmt: skip
def carrier_fits_the_linear(output_power: Watt, plate_dissipation_rated: Watt, tubes_count: Count) -> Judgement:
    """Carrier of an amplitude-modulated signal at most half the rated dissipation of all tubes together."""
    return at_most(output_power, AM_LINEAR * plate_dissipation_rated * tubes_count)


@check(
    "screen above the plate", of=TubeStage, source="common-practice", margin=0.0, applies=_screened_and_fitted,
    why="Where the plate swings below the screen, the current goes to the screen and burns it.",
    remedy="Load more heavily, or lower the screen voltage.",
)  # fmt: skip
def plate_stays_above_the_screen(least_plate_voltage: Volt, screen_voltage: Volt) -> Judgement:
    """Least plate voltage within a cycle at least a third of the screen voltage."""
    return at_least(least_plate_voltage, screen_voltage / 3)


@check(
    "screen cannot run alone", of=RfPower, source="common-practice", margin=0.0, applies=_screened_class_c,
    why="A screen that is on while the plate is off takes the whole cathode current and is gone in an instant.",
    remedy="Feed the screen from the plate line through a resistor, or interlock the screen supply with the plate.",
)  # fmt: skip
def screen_falls_with_the_plate(screen_safe: Count) -> Judgement:
    """The screen is fed from the plate line, or an interlock of its supply is recorded."""
    return at_least(screen_safe, 1.0)
