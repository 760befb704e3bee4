"""A linear amplifier driven at the cathode, grids at ground."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from builder.physics import amplifier, class_c, linear
from builder.rig.fields import Coil, Current, Model, Power, YesNo
from builder.rig.operating import CARRIER_ONLY, LINEAR_ANGLE, PULSE, cathode_driven_items
from builder.rig.stage import BIAS_FORMULAS, OUTPUT_FORMULAS, PLATE_FORMULAS, Plate, TubeStage
from builder.rig.stages.rf_power import FinalOutput
from builder.rig.thing import Origin, Via, formula, origins


class IdlingPlate(Plate):
    """Plate circuit of a stage that draws current without signal."""

    idle: Current | None = None


class Drive(Model):
    """What the exciter delivers into the cathode."""

    power: Power | None = None


class CathodeDriven(TubeStage, kind="cathode driven"):
    """A grounded-grid linear amplifier."""

    plate: IdlingPlate = IdlingPlate.model_construct()
    output: FinalOutput = FinalOutput.model_construct()
    drive: Drive = Drive.model_construct()
    filament_choke: Coil | None = None
    carries_am: YesNo = False
    """Whether an amplitude-modulated signal is amplified with it."""
    origins_of_kind: ClassVar = origins(
        *PLATE_FORMULAS,
        formula(amplifier.plate_dissipation_with_drive, "plate_dissipation"),
        formula(amplifier.plate_dissipation_with_drive, "plate_heat", output_power="tube_output"),
        *BIAS_FORMULAS,
        *OUTPUT_FORMULAS,
        ("carrier_frequency", Via("carrier", "frequency")),
        ("idle_current", Via("", "plate_idle")),
        formula(class_c.idle_dissipation),
        formula(linear.two_tone_current),
        formula(linear.two_tone_power),
        formula(linear.two_tone_dissipation),
        ("half_angle", LINEAR_ANGLE),
        *PULSE,
        *CARRIER_ONLY,
    )

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Those of every linear stage, and what the model says of a fitted tube."""
        return {**super().origins(), **origins(*cathode_driven_items(self.tubes.type))}
