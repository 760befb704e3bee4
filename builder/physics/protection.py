"""Cords, and what limits the current of a flashover and the voltage of a lifted return."""

from __future__ import annotations

from math import pi

import numpy as np

from .units import Ampere, Count, Metre, Ohm, Ratio, Volt

COPPER = 1.7241e-8
"""Resistivity of annealed copper at 20 degrees in ohm metres; IEC 60028 (from memory)."""


def gauge_diameter(gauge: Count) -> Metre:
    """Diameter of a solid wire of the American gauge.

    Args:
        gauge: number; zero and below for the largest.

    Source: awg
    """
    diameter: float = 0.127e-3 * 92 ** ((36 - gauge) / 39)
    return diameter


def cord_resistance(cord_length: Metre, conductor: Metre) -> Ohm:
    """Resistance of a cord, out and back, at 20 degrees.

    Args:
        cord_length: one way.
        conductor: diameter of a solid wire of the same section.

    Source: awg
    """
    return 8 * COPPER * cord_length / (pi * conductor**2)


def cord_drop(cord_current: Ampere, cord_resistance: Ohm, mains_voltage: Volt) -> Ratio:
    """Share of the line voltage that is lost in the cord.

    Args:
        cord_current: effective.
        cord_resistance: out and back.
        mains_voltage: nominal, effective.

    Source: elementary, Ohm's law
    """
    return cord_current * cord_resistance / mains_voltage


def fault_current(no_load_voltage: Volt, glitch_resistor: Ohm) -> Ampere:
    """Current of a flashover from a full filter, which the glitch resistor alone limits.

    Args:
        no_load_voltage: peak, mains high.
        glitch_resistor: between filter and tube.

    Source: elementary, Ohm's law
    """
    return no_load_voltage / glitch_resistor


def clamped_rise(supply_current: Ampere, return_resistor: Ohm, clamp_voltage: Volt) -> Volt:
    """Voltage of a lifted B minus against the chassis when its meter opens, diodes across the resistor.

    Args:
        supply_current: that comes back.
        return_resistor: from B minus to chassis.
        clamp_voltage: forward drop of the diodes.

    Source: elementary, the smaller of the two drops
    """
    return np.minimum(supply_current * return_resistor, clamp_voltage)  # type: ignore[no-any-return]


def open_rise(supply_current: Ampere, return_resistor: Ohm) -> Volt:
    """Voltage of a lifted B minus against the chassis when its meter opens, with the resistor alone.

    Args:
        supply_current: that comes back.
        return_resistor: from B minus to chassis.

    Source: elementary, Ohm's law
    """
    return supply_current * return_resistor
