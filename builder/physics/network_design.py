"""Networks by the handbooks: what a tube wants to see, and the parts that give it; prototypes of low-pass filters."""

from __future__ import annotations

from math import log, pi
from typing import Annotated, Any

import numpy as np

from .units import Ampere, Count, Decibel, Farad, Henry, Hertz, Ohm, Ratio, Unit, Volt, Watt, require

RIPPLE_SCALE = 40 / log(10)
"""Level that the prototype formula divides the ripple by, 17.372 as it is printed; source: matthaei."""


# What the tube wants.


def load_from_supply(plate_voltage: Volt, plate_current: Ampere, load_constant: Ratio) -> Ohm:
    """Plate load that suits the meters of a stage at full swing.

    Args:
        plate_voltage: mean.
        plate_current: mean, above zero.
        load_constant: about 1.3 in class A, 1.5 in AB, 1.57 in B, 2 in C.

    Raises:
        ValueError: no plate current.

    Source: measures, section on tank Q and anode load resistance
    """
    require(plate_current > 0, "the stage draws no plate current")
    return plate_voltage / (load_constant * plate_current)


def load_from_power(plate_swing: Volt, output_power: Watt) -> Ohm:
    """Plate load that takes a power at a given swing.

    Args:
        plate_swing: peak of the radio-frequency plate voltage.
        output_power: from the tubes, above zero.

    Raises:
        ValueError: no power.

    Source: terman43-rf, sec. 5 (page not verified)
    """
    require(output_power > 0, "there is no output")
    return plate_swing**2 / (2 * output_power)


# Designs.


def end_capacitance(end_load: Ohm, end_q: Ratio, carrier_frequency: Hertz) -> Farad:
    """Shunt capacitor that gives one end of a network its Q; of a parallel tank the tank capacitor.

    Args:
        end_load: resistance at that end, such as the plate load.
        end_q: resistance over reactance there.
        carrier_frequency: of the design; scalar or array.

    Source: arrl-pi-old, XC1 = R1/Q
    """
    return end_q / (2 * pi * carrier_frequency * end_load)


def pi_load_q(plate_load: Ohm, antenna_load: Ohm, loaded_q: Ratio) -> Ratio:
    """Q at the load end of a pi network that is designed from the Q at its plate end.

    Args:
        plate_load: wanted.
        antenna_load: resistance of the line.
        loaded_q: plate load over reactance of the tuning capacitance.

    Raises:
        ValueError: the Q is too low for the step in resistance.

    Source: arrl-pi-old, reactance of the load capacitor
    """
    square = (loaded_q**2 + 1) * antenna_load / plate_load - 1
    require(square > 0, "the Q is too low for the step in resistance")
    found: float = square**0.5
    return found


def pi_coil(plate_load: Ohm, plate_q: Ratio, load_q: Ratio, carrier_frequency: Hertz) -> Henry:
    """Coil of a pi network from the Q at both ends.

    Args:
        plate_load: wanted.
        plate_q: at the plate end.
        load_q: at the load end.
        carrier_frequency: of the design.

    Source: arrl-pi-1995, reactance of the coil
    """
    return plate_load / (1 + plate_q**2) * (plate_q + load_q) / (2 * pi * carrier_frequency)


def virtual_resistance(plate_load: Ohm, antenna_load: Ohm, total_q: Ratio) -> Ohm:
    """Resistance in the middle of a pi network whose Q at both ends add up to a wanted one.

    Args:
        plate_load: wanted.
        antenna_load: resistance of the line.
        total_q: sum of the Q at both ends.

    Raises:
        ValueError: the Q is too low for the step in resistance.

    Source: arrl-pi-1995, Rv with sqrt(R1/Rv - 1) + sqrt(R2/Rv - 1) = Q
    """
    square = (plate_load + antenna_load) ** 2 - (plate_load - antenna_load) ** 2 * (1 + 4 / total_q**2)
    least = abs(plate_load - antenna_load) / np.minimum(plate_load, antenna_load)
    require(total_q**2 > least, "the Q is too low for the step in resistance")
    found: float = (plate_load + antenna_load + square**0.5) / (total_q**2 + 4)
    return found


def section_q(high_load: Ohm, low_load: Ohm) -> Ratio:
    """Q of an L section between two resistances; of one end of a pi network with the virtual resistance as the lower.

    Args:
        high_load: at the shunt capacitor.
        low_load: at the series coil, at most the other.

    Raises:
        ValueError: the resistances are the wrong way round.

    Source: tbc-2210, ex. 5.21
    """
    require(high_load >= low_load, "the shunt capacitor stands at the higher resistance")
    found: float = (high_load / low_load - 1) ** 0.5
    return found


def section_coil(low_load: Ohm, section_q: Ratio, carrier_frequency: Hertz) -> Henry:
    """Series coil of an L section.

    Args:
        low_load: at its far end.
        section_q: of the section.
        carrier_frequency: of the design.

    Source: tbc-2210, ex. 5.21
    """
    return section_q * low_load / (2 * pi * carrier_frequency)


def pi_l_load_capacitor(load_capacitance: Farad, section_capacitance: Farad) -> Farad:
    """Middle capacitor of a pi-L network: that of the pi and that of the L together.

    Args:
        load_capacitance: of the pi section into the intermediate load.
        section_capacitance: of the L section from it.

    Source: pi-l-handbooks, 1/XC2total = 1/XC2 + 1/XCL
    """
    return load_capacitance + section_capacitance


def tank_inductance(plate_load: Ohm, loaded_q: Ratio, carrier_frequency: Hertz) -> Henry:
    """Coil of a parallel tank.

    Args:
        plate_load: across it.
        loaded_q: wanted.
        carrier_frequency: of the design.

    Source: tank-definition, inductance of the tank
    """
    return plate_load / (2 * pi * carrier_frequency * loaded_q)


def tank_loss(loaded_q: Ratio, coil_q: Ratio) -> Ratio:
    """Share of the power that is lost in the coil of a tank.

    Args:
        loaded_q: of the tank at work.
        coil_q: unloaded.

    Source: arrl-network, loss fraction
    """
    return loaded_q / coil_q


def chebyshev_prototype(elements_count: Count, ripple: Decibel) -> Annotated[Any, Unit("", "ratio")]:
    """Element values of a low-pass prototype of equal ripple, edge at the ripple, shape (elements_count,).

    Args:
        elements_count: odd, so that both ends are equal.
        ripple: in the pass band, above zero.

    Raises:
        ValueError: an even count, or no ripple.

    Source: cheby-table, formula of matthaei, sec. 4.05
    """
    count = int(elements_count)
    require(count % 2 == 1 and ripple > 0, "the count must be odd and the ripple above zero")
    width = np.sinh(-np.log(np.tanh(ripple / RIPPLE_SCALE)) / (2 * count))
    steps = np.arange(1, count + 1)
    heights = np.sin((2 * steps - 1) * pi / (2 * count))
    poles = width**2 + np.sin(steps * pi / count) ** 2
    values = [2 * heights[0] / width]
    for at in range(1, count):
        values.append(4 * heights[at - 1] * heights[at] / (poles[at - 1] * values[-1]))
    return np.array(values)


def butterworth_prototype(elements_count: Count) -> Annotated[Any, Unit("", "ratio")]:
    """Element values of a maximally flat low-pass prototype, edge at half power, shape (elements_count,).

    Args:
        elements_count: one or more.

    Source: butter-table
    """
    count = int(elements_count)
    return 2 * np.sin((2 * np.arange(1, count + 1) - 1) * pi / (2 * count))
