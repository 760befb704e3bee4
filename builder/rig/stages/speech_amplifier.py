"""Voltage amplifiers of the audio chain."""

from __future__ import annotations

from typing import ClassVar

from builder.physics import amplifier
from builder.rig.fields import Capacitor, Resistor, Text
from builder.rig.stage import PLATE_FORMULAS, TubeStage
from builder.rig.thing import Via, formula, origins


class SpeechAmplifier(TubeStage, kind="speech amplifier"):
    """A resistance-coupled voltage amplifier or a phase splitter."""

    row: ClassVar[str] = "audio"
    ripple_tolerated: ClassVar[tuple[float, float]] = (0.005, 0.005)
    """Behind the decoupling that each stage has of its own; common-practice."""
    circuit: Text
    input: Text | None = None
    load: Resistor | None = None
    gain_control: Resistor | None = None
    coupling: Capacitor | None = None
    cathode_load: Resistor | None = None
    origins_of_kind: ClassVar = origins(
        *PLATE_FORMULAS,
        ("plate_dissipation", Via("", "dc_input")),
        ("idle_current", Via("", "plate_current")),
        formula(amplifier.cathode_bias, cathode_resistance="cathode_resistor", cathode_current="plate_current"),
    )
