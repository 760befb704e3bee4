"""Push-pull audio stages with an output transformer: modulators and their drivers."""

from __future__ import annotations

from typing import ClassVar

from builder.physics import amplifier, class_c, modulation
from builder.rig.fields import AnyPart, Current, Model, Ratio, StageId
from builder.rig.stage import BIAS_FORMULAS, OUTPUT_FORMULAS, PLATE_FORMULAS, SCREEN_FORMULAS, TubeStage
from builder.rig.stages.cathode_driven import IdlingPlate
from builder.rig.thing import Via, formula, origins


class OutputTransformer(Model):
    """Ratio is whole primary to secondary; the current is what the secondary may carry."""

    part: AnyPart
    ratio: Ratio | None = None
    current: Current | None = None


class Modulator(TubeStage, kind="modulator"):
    """A push-pull pair that modulates a final, or drives such a pair."""

    row: ClassVar[str] = "audio"
    ripple_tolerated: ClassVar[tuple[float, float]] = (0.01, 0.01)
    plate: IdlingPlate = IdlingPlate.model_construct()
    transformer: OutputTransformer | None = None
    input_transformer: AnyPart | None = None
    modulates: StageId | None = None
    origins_of_kind: ClassVar = origins(
        *PLATE_FORMULAS,
        formula(amplifier.plate_dissipation),
        *SCREEN_FORMULAS,
        *BIAS_FORMULAS,
        *OUTPUT_FORMULAS,
        ("idle_current", Via("", "plate_idle")),
        formula(class_c.idle_dissipation),
        formula(modulation.class_b_load, "theory_load"),
        ("audio_power_needed", Via("modulates", "audio_power_needed")),
        ("audio_power_available", Via("", "output_power")),
        ("audio_power_available", Via("", "output_power_typical")),
        ("modulating_impedance", Via("modulates", "modulating_impedance")),
        ("modulated_current", Via("modulates", "modulated_current")),
        formula(modulation.reflected_load, turns_ratio="transformer_ratio"),
    )
