"""The grid-driven final of a transmitter."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from builder.physics import amplifier, modulation
from builder.rig.fields import Capacitor, Coil, NetworkId
from builder.rig.stage import RADIO_FORMULAS, Output, TubeStage
from builder.rig.thing import Origin, Via, formula, origins


class FinalOutput(Output):
    """Output of a final: through which network, and the parts that keep the plate voltage off it."""

    network: NetworkId | None = None
    blocking: Capacitor | None = None
    choke: Coil | None = None
    safety_choke: Coil | None = None


class RfPower(TubeStage, kind="rf power"):
    """A final amplifier, grid-driven; plate-modulated where a modulator is named."""

    output: FinalOutput = FinalOutput.model_construct()
    neutralised_by: Capacitor | None = None
    origins_of_kind: ClassVar = origins(
        *RADIO_FORMULAS,
        formula(amplifier.drive_needed),
        ("drive_available", Via("driven by", "output_power")),
        ("carrier_frequency", Via("carrier", "frequency")),
        ("carrier_power", Via("", "output_power")),
    )
    modulated_origins: ClassVar = origins(
        ("modulation_depth", Via("rig", "modulation_depth")),
        ("positive_peak", Via("rig", "modulation_positive_peak")),
        formula(modulation.modulating_impedance),
        formula(modulation.audio_power_needed),
        formula(modulation.crest_plate_voltage),
        formula(modulation.plate_dissipation_modulated),
    )

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Those of every final; those of a plate-modulated one where a modulator is named."""
        usual = super().origins()
        if not self.plate.modulated_by:
            return usual
        return {**usual, **self.modulated_origins, **origins(("modulated_current", Via("", "line_current")))}
