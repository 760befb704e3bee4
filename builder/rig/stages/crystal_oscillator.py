"""A stage that makes the carrier with a crystal."""

from __future__ import annotations

from typing import ClassVar

from builder.physics import amplifier
from builder.rig.fields import Capacitor, Coil, Text
from builder.rig.stage import RADIO_FORMULAS, TubeStage
from builder.rig.thing import Via, formula, origins


class CrystalOscillator(TubeStage, kind="crystal oscillator"):
    """A crystal oscillator; the crystals themselves stand with the carriers."""

    circuit: Text
    feedback: Capacitor | None = None
    choke: Coil | None = None
    origins_of_kind: ClassVar = origins(
        *RADIO_FORMULAS,
        ("carrier_frequency", Via("carrier", "frequency")),
        ("frequency_tolerance", Via("carrier", "tolerance")),
        formula(amplifier.frequency_error),
    )
