"""Air where tubes cannot do without it: enough of it, not too warm, and watched over."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most
from builder.rig.stage import TubeStage

if TYPE_CHECKING:
    from builder.physics.units import Count, CubicMetrePerSecond, Kelvin, Second

AFTER_RUN = 120.0
"""Seconds for which air goes on over large glass tubes after switching off; source: common-practice."""


def _forced(stage: Any) -> bool:
    return bool(stage.needs_air)


def _forced_over_glass(stage: Any) -> bool:
    return _forced(stage) and "external anode" not in stage.tube.kind


@check(
    "air flow", of=TubeStage, source="eimac, chapter on cooling", margin=0.10, applies=_forced,
    why="Seals and sockets that get too little air crack, and the tube is lost in a moment.",
    remedy="A larger blower, a chimney, and no gap through which the air goes round the tube.",
)  # fmt: skip
def air_suffices(cooling_air_per_tube: CubicMetrePerSecond, tube_airflow_nominal: CubicMetrePerSecond) -> Judgement:
    """Air through each socket at least what the maker asks for; at full dissipation and sea level."""
    return at_least(cooling_air_per_tube, tube_airflow_nominal)


@check(
    "air temperature rise", of=TubeStage, source="rotron, airflow for a temperature rise", margin=0.10,
    applies=_forced, each_carrier=True,
    why="Air that leaves too hot has not cooled the far end of the tube, nor what stands in its way.",
    remedy="More air, or less heat by better loading.",
)  # fmt: skip
def air_stays_cool(air_temperature_rise: Kelvin, air_rise_allowed: Kelvin) -> Judgement:
    """Rise between inlet and outlet at most 50 K, all heat counted to the air; the 50 K are common practice."""
    return at_most(air_temperature_rise, air_rise_allowed)


@check(
    "air interlock", of=TubeStage, source="common-practice", margin=0.0, applies=_forced,
    why="A blower that stops is not heard over a receiver; without air the seals last for seconds.",
    remedy="A vane or pressure switch in the air, in series with the coil of the plate contactor.",
)  # fmt: skip
def air_is_watched(air_interlocks: Count) -> Judgement:
    """Where air is forced, a switch in it keeps the plate supply off."""
    return at_least(air_interlocks, 1.0)


@check(
    "air after switching off", of=TubeStage, source="common-practice", margin=0.0, applies=_forced_over_glass,
    why="Plate and filament give off their heat for minutes; without air it all goes into the seals.",
    remedy="A relay that holds the blower, or a line in the procedure that is kept.",
)  # fmt: skip
def air_goes_on(cooling_after_run: Second) -> Judgement:
    """Air over large glass tubes for at least two minutes after plate voltage and filaments are off."""
    return at_least(cooling_after_run, AFTER_RUN)
