"""The modulator strong enough and rightly matched, and the modulated stage safe at the crest."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, agrees, at_least, at_most
from builder.rig.stages.modulator import Modulator
from builder.rig.stages.rf_power import RfPower

if TYPE_CHECKING:
    from builder.physics.units import Ampere, Ohm, Ratio, Volt, Watt

MATCH = 0.20
"""How far the reflected load may be from the published one; source: common-practice."""
BLOCKING = 1.5
"""Voltage rating of a blocking capacitor over the direct voltage at the crest; source: common-practice."""
DEEPEST = 1.0
"""Downward modulation at which the carrier is cut off; source: cfr, 73.1570(b)(1)."""


def _modulates(stage: Any) -> bool:
    return stage.modulates is not None


def _modulated(stage: Any) -> bool:
    return stage.plate.modulated_by is not None


@check(
    "audio power", of=Modulator, source="fcc381", margin=0.10, applies=_modulates,
    why="With too little audio the rig is never fully modulated, or is distorted when it seems to be.",
    remedy="Raise the modulator's output, or lower the input of the modulated stage.",
)  # fmt: skip
def audio_power_suffices(audio_power_available: Watt, audio_power_needed: Watt) -> Judgement:
    """Sine output of the modulator at least half the square of the depth times the modulated input."""
    return at_least(audio_power_available, audio_power_needed)


@check(
    "modulator load", of=Modulator, source="common-practice", margin=0.05, applies=_modulates,
    why="A pair that sees the wrong load gives less power, more distortion and hotter plates.",
    remedy="Change the tap of the modulation transformer, or the voltage and current of the modulated stage.",
)  # fmt: skip
def modulator_is_matched(reflected_load: Ohm, plate_to_plate_load_typical: Ohm) -> Judgement:
    """Reflected plate-to-plate load within 20 per cent of the published one."""
    return agrees(reflected_load, plate_to_plate_load_typical, MATCH)


@check(
    "modulation transformer current", of=Modulator, source="terman-re, core saturation (page not verified)",
    margin=0.10,
    applies=_modulates,
    why="Direct current beyond the rating saturates the core: low notes distort and the peaks flatten.",
    remedy="Use a reactor and blocking capacitor, or a larger transformer.",
)  # fmt: skip
def transformer_carries_the_current(modulated_current: Ampere, transformer_current: Ampere) -> Judgement:
    """Plate and screen current of the modulated stage at most what the secondary may carry."""
    return at_most(modulated_current, transformer_current)


@check(
    "depth of modulation", of=RfPower, source="cfr, 73.1570(b)(1)", margin=0.02, applies=_modulated,
    why="Beyond 100 per cent downward the carrier is cut off and splashes over the neighbours.",
    remedy="Lower the audio gain; watch the scope, not the voice.",
)  # fmt: skip
def carrier_is_never_cut_off(modulation_depth: Ratio) -> Judgement:
    """Downward modulation at most 100 per cent."""
    return at_most(modulation_depth, DEEPEST)


@check(
    "blocking capacitor", of=RfPower, source="common-practice", margin=0.10, applies=_modulated, person=True,
    why="If the blocking capacitor fails, the full plate voltage stands on the antenna.",
    remedy="Fit a transmitting capacitor of higher rating, and a safety choke across the output.",
)  # fmt: skip
def blocking_capacitor_holds(crest_plate_voltage: Volt, output_blocking_voltage_rating: Volt) -> Judgement:
    """Plate voltage at the modulation crest at most two thirds of the rating."""
    return at_most(crest_plate_voltage, output_blocking_voltage_rating / BLOCKING)
