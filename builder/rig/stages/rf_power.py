"""The grid-driven final of a transmitter."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from builder.physics import amplifier, class_c, modulation
from builder.rig.fields import AnyPart, Capacitor, Coil, NetworkId
from builder.rig.operating import CARRIER_ONLY, class_c_items
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
    """Part that balances the feedback capacitance."""
    protected_by: AnyPart | None = None
    """Relay or clamp that saves the tubes when the drive fails."""
    origins_of_kind: ClassVar = origins(
        *RADIO_FORMULAS,
        formula(amplifier.drive_needed),
        ("drive_available", Via("driven by", "output_power")),
        ("carrier_frequency", Via("carrier", "frequency")),
        ("carrier_power", Via("", "output_power")),
        formula(amplifier.plate_dissipation, "plate_heat", output_power="tube_output"),
    )
    modulated_origins: ClassVar = origins(
        ("modulation_depth", Via("rig", "modulation_depth")),
        ("positive_peak", Via("rig", "modulation_positive_peak")),
        formula(modulation.modulating_impedance),
        formula(modulation.audio_power_needed),
        formula(modulation.crest_plate_voltage),
        formula(modulation.plate_dissipation_modulated),
        formula(class_c.screen_heat_modulated),
        formula(modulation.crest_factor),
    )

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Those of every final; those of a plate-modulated one where a modulator is named."""
        usual = super().origins()
        if self.tubes.service.startswith("class C"):
            dropping = self.screen_from_plate and self.screen is not None and self.screen.through is not None
            usual = {**usual, **origins(*class_c_items(self.tubes.type, dropping=dropping))}
        if not self.plate.modulated_by:
            return {**usual, **origins(*CARRIER_ONLY)}
        return {**usual, **self.modulated_origins, **origins(("modulated_current", Via("", "line_current")))}
