"""Stages between oscillator and final: buffers, multipliers and drivers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from builder.physics import amplifier
from builder.rig.fields import Capacitor, Coil, Text
from builder.rig.operating import CARRIER_ONLY, class_c_items
from builder.rig.stage import RADIO_FORMULAS, TubeStage
from builder.rig.thing import Origin, Via, formula, origins


class RfDriver(TubeStage, kind="rf driver"):
    """A buffer or driver; with a tuned or an untuned plate circuit."""

    plate_circuit: Text
    tune: Capacitor | None = None
    coil: Coil | None = None
    choke: Coil | None = None
    origins_of_kind: ClassVar = origins(
        *RADIO_FORMULAS,
        formula(amplifier.drive_needed),
        ("drive_available", Via("driven by", "output_power")),
        ("carrier_frequency", Via("carrier", "frequency")),
    )

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Those of the kind; in class C also those of the operating point."""
        usual = super().origins()
        if not self.tubes.service.startswith("class C"):
            return usual
        dropping = self.screen_from_plate and self.screen is not None and self.screen.through is not None
        return {**usual, **origins(*class_c_items(self.tubes.type, dropping=dropping), *CARRIER_ONLY)}
