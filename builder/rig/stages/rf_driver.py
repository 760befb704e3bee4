"""Stages between oscillator and final: buffers, multipliers and drivers."""

from __future__ import annotations

from typing import ClassVar

from builder.physics import amplifier
from builder.rig.fields import Capacitor, Coil, Text
from builder.rig.stage import RADIO_FORMULAS, TubeStage
from builder.rig.thing import Via, formula, origins


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
