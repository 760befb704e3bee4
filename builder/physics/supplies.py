"""Rectifiers, filters, bleeders and what is stored in them."""

from __future__ import annotations

from math import inf, pi

import numpy as np

from .units import Ampere, Count, Farad, Henry, Hertz, Joule, Ohm, Ratio, Second, Volt, Watt, require

MEAN_OF_RECTIFIED_SINE = 2 * 2**0.5 / pi
"""Mean over effective value of a full-wave rectified sine; elementary."""
SECOND_HARMONIC_SHARE = 2**0.5 / 3
"""Effective value of the second harmonic over the mean of a full-wave rectified sine; elementary Fourier series."""
LEAST_FILTER_PRODUCT = 4
"""Squared ratio of ripple frequency to resonance below which the divider formula is refused; common practice."""
SECONDARY_FACTOR = {
    "centre tap, choke": 2**-0.5,
    "bridge, choke": 1.0,
    "centre tap, capacitor": 0.8,
    "bridge, capacitor": 1.8,
    "half wave, capacitor": 2.6,
}
"""Effective current of each half or of the whole secondary over direct current; terman43 (choke), petra (capacitor)."""


def choke_input_voltage(
    driving_voltage: Volt, rectifier_drop: Volt, supply_current: Ampere, series_resistance: Ohm
) -> Volt:
    """Output of a full-wave supply with choke input, above critical inductance.

    Args:
        driving_voltage: effective, from centre tap to one end, or the whole secondary of a bridge or half-wave circuit.
        rectifier_drop: in the path of the current.
        supply_current: through the choke.
        series_resistance: chokes and transformer.

    Source: crow, the choke-input filter
    """
    return MEAN_OF_RECTIFIED_SINE * driving_voltage - rectifier_drop - supply_current * series_resistance


def bled_voltage(unbled_voltage: Volt, series_resistance: Ohm, bleeder: Ohm) -> Volt:
    """Output of a supply when the bleeder draws its share through the same resistance as the load.

    Args:
        unbled_voltage: what the stages alone would leave.
        series_resistance: chokes and transformer.
        bleeder: resistance; endless where there is none.

    Source: elementary, voltage divider
    """
    return unbled_voltage / (1 + series_resistance / bleeder)


def no_load_voltage(driving_voltage: Volt, mains_high: Ratio) -> Volt:
    """Highest voltage that an unloaded filter charges to, whatever its input: the peak at high mains.

    Args:
        driving_voltage: effective, from centre tap to one end, or the whole secondary.
        mains_high: highest over nominal line voltage, such as 1.1.

    Source: cap-choke-question, filter capacitors see the peak when the bleeder opens
    """
    return 2**0.5 * mains_high * driving_voltage


def inverse_voltage_centre_tap(driving_voltage: Volt, mains_high: Ratio) -> Volt:
    """Inverse voltage across the resting rectifier of a centre-tapped full-wave circuit.

    Args:
        driving_voltage: effective, from centre tap to one end.
        mains_high: highest over nominal line voltage.

    Source: terman43, power-supply systems (page not verified)
    """
    return 2 * 2**0.5 * mains_high * driving_voltage


def inverse_voltage_bridge(driving_voltage: Volt, mains_high: Ratio) -> Volt:
    """Inverse voltage across each leg of a bridge.

    Args:
        driving_voltage: effective, whole secondary.
        mains_high: highest over nominal line voltage.

    Source: terman43, power-supply systems (page not verified)
    """
    return 2**0.5 * mains_high * driving_voltage


def rectifier_current(supply_current: Ampere, legs_in_turn: Count) -> Ampere:
    """Mean current of one leg of a rectifier.

    Args:
        supply_current: drawn from the filter; scalar or array.
        legs_in_turn: legs, or pairs of legs, that carry it in turn: two in full-wave circuits, one in half-wave ones.

    Source: terman43, power-supply systems (page not verified)
    """
    return supply_current / legs_in_turn


def secondary_current(supply_current: Ampere, secondary_factor: Ratio) -> Ampere:
    """Effective current in the secondary, or in each half of it.

    Args:
        supply_current: drawn from the filter.
        secondary_factor: effective over direct current for the circuit in use.

    Source: terman43 (choke input) and petra (capacitor input)
    """
    return secondary_factor * supply_current


def load_resistance(output_voltage: Volt, supply_current: Ampere) -> Ohm:
    """What the filter sees as its load; endless where nothing is drawn.

    Args:
        output_voltage: of the supply.
        supply_current: drawn, bleeder included.

    Source: elementary, Ohm's law
    """
    return output_voltage / supply_current if supply_current > 0 else inf


def critical_inductance(load_resistance: Ohm, mains_frequency: Hertz) -> Henry:
    """Least input choke that keeps the current flowing through the whole cycle, full wave.

    Args:
        load_resistance: at the lightest load, bleeder included.
        mains_frequency: of the line.

    Source: wpripple, as a function of series choke
    """
    return load_resistance / (6 * pi * mains_frequency)


def choke_ripple_current(peak_voltage: Volt, mains_frequency: Hertz, input_choke: Henry) -> Ampere:
    """Peak of the second-harmonic current in the input choke.

    Args:
        peak_voltage: of the rectified sine.
        mains_frequency: of the line.
        input_choke: inductance.

    Source: bridge, sec. 10
    """
    return 4 * peak_voltage / (3 * pi) / (4 * pi * mains_frequency * input_choke)


def filter_ripple(mains_frequency: Hertz, first_choke: Henry, first_capacitor: Farad) -> Ratio:
    """Effective ripple over direct voltage behind one LC section above critical inductance, full wave.

    Args:
        mains_frequency: of the line.
        first_choke: inductance at the load.
        first_capacitor: behind it.

    Raises:
        ValueError: the section resonates too near the ripple.

    Source: kishore, LC-filter design example; the exact divider keeps the 1 that the book leaves out
    """
    angular = 4 * pi * mains_frequency
    product = angular**2 * first_choke * first_capacitor
    require(product > LEAST_FILTER_PRODUCT, "the section must resonate below half the ripple frequency")
    return SECOND_HARMONIC_SHARE / (product - 1)


def two_section_ripple(
    mains_frequency: Hertz, first_choke: Henry, first_capacitor: Farad, second_choke: Henry, second_capacitor: Farad
) -> Ratio:
    """Effective ripple over direct voltage behind two LC sections, the first above critical inductance, full wave.

    Args:
        mains_frequency: of the line.
        first_choke: inductance at the load.
        first_capacitor: behind it.
        second_choke: of the second section.
        second_capacitor: behind it.

    Raises:
        ValueError: a section resonates too near the ripple.

    Source: rdh4-31, product of the sections (page not verified)
    """
    angular = 4 * pi * mains_frequency
    first = angular**2 * first_choke * first_capacitor
    second = angular**2 * second_choke * second_capacitor
    require(first > LEAST_FILTER_PRODUCT, "the first section must resonate below half the ripple frequency")
    require(second > LEAST_FILTER_PRODUCT, "the second section must resonate below half the ripple frequency")
    return SECOND_HARMONIC_SHARE / ((first - 1) * (second - 1))


def capacitor_ripple(supply_current: Ampere, mains_frequency: Hertz, capacitance: Farad, output_voltage: Volt) -> Ratio:
    """Effective ripple over direct voltage with capacitor input, full wave: an upper bound, conduction time neglected.

    Args:
        supply_current: drawn, bleeder included.
        mains_frequency: of the line.
        capacitance: of the input capacitor.
        output_voltage: mean.

    Source: wpripple, voltage ripple (saw-tooth)
    """
    return supply_current / (4 * 3**0.5 * mains_frequency * capacitance * output_voltage)


def bleeder_power(output_voltage: Volt, bleeder: Ohm) -> Watt:
    """Heat in the bleeder.

    Args:
        output_voltage: across it.
        bleeder: resistance.

    Source: elementary, Joule heating
    """
    return output_voltage**2 / bleeder


def bleeder_current(output_voltage: Volt, bleeder: Ohm) -> Ampere:
    """Current that the bleeder takes.

    Args:
        output_voltage: across it.
        bleeder: resistance.

    Source: elementary, Ohm's law
    """
    return output_voltage / bleeder


def discharge_time(bleeder: Ohm, capacitance: Farad, start_voltage: Volt, safe_voltage: Volt) -> Second:
    """Time for the bleeder alone to bring the filter to a harmless voltage.

    Args:
        bleeder: resistance that stays connected.
        capacitance: all of it, at the bleeder.
        start_voltage: at switch-off.
        safe_voltage: regarded as harmless, above zero.

    Source: elementary, exponential discharge; no time where the start is harmless already
    """
    time: float = bleeder * capacitance * np.log(np.maximum(start_voltage / safe_voltage, 1))
    return time


def decay(time: Second, bleeder: Ohm, capacitance: Farad, start_voltage: Volt) -> Volt:
    """Voltage left at a time after switch-off, bleeder alone.

    Args:
        time: after switch-off; scalar or array.
        bleeder: resistance that stays connected.
        capacitance: all of it.
        start_voltage: at switch-off.

    Source: elementary, exponential discharge
    """
    return start_voltage * np.exp(-time / (bleeder * capacitance))  # type: ignore[no-any-return]


def stored_energy(capacitance: Farad, start_voltage: Volt) -> Joule:
    """Energy in a charged capacitor.

    Args:
        capacitance: all of it.
        start_voltage: across it.

    Source: elementary, energy of a capacitor
    """
    return capacitance * start_voltage**2 / 2


def string_capacitance(unit_capacitance: Farad, string_count: Count) -> Farad:
    """Capacitance of equal capacitors in series.

    Args:
        unit_capacitance: of each.
        string_count: how many.

    Source: elementary, capacitors in series
    """
    return unit_capacitance / string_count


def share_of_string(total_voltage: Volt, string_count: Count) -> Volt:
    """Voltage on each of equal parts in series with equal sharing resistors.

    Args:
        total_voltage: across the string.
        string_count: how many.

    Source: arrl, equalising resistors (page not verified)
    """
    return total_voltage / string_count


def mains_current(delivered_power: Watt, mains_voltage: Volt, power_factor: Ratio, supply_efficiency: Ratio) -> Ampere:
    """Effective line current.

    Args:
        delivered_power: of the supply; heaters on transformers of their own are not in it.
        mains_voltage: nominal.
        power_factor: about 0.9 for choke input, 0.65 for capacitor input.
        supply_efficiency: delivered over drawn power.

    Source: elementary, definition of power factor
    """
    return delivered_power / (supply_efficiency * power_factor * mains_voltage)


def driving_voltage(secondary: Volt, secondary_parts: Count) -> Volt:
    """Effective voltage that works on the filter at one time.

    Args:
        secondary: whole winding, effective.
        secondary_parts: two where a centre tap divides it, otherwise one.

    Source: elementary, a centre tap halves the winding
    """
    return secondary / secondary_parts


def inverse_voltage_half_wave(driving_voltage: Volt, mains_high: Ratio) -> Volt:
    """Inverse voltage across a half-wave rectifier that feeds a capacitor.

    Args:
        driving_voltage: effective, whole secondary.
        mains_high: highest over nominal line voltage.

    Source: terman43, power-supply systems (page not verified)
    """
    return 2 * 2**0.5 * mains_high * driving_voltage


def sum_of_currents(first: Ampere, second: Ampere) -> Ampere:
    """Two currents from one node.

    Args:
        first: of one branch.
        second: of the other.

    Source: elementary, Kirchhoff's current law
    """
    return first + second


def product(first: Volt, second: Count) -> Volt:
    """Voltage across equal parts in series.

    Args:
        first: across one part.
        second: how many.

    Source: elementary, voltages in series add
    """
    return first * second


def half_wave_ripple(supply_current: Ampere, mains_frequency: Hertz, capacitance: Farad, output_voltage: Volt) -> Ratio:
    """Effective ripple over direct voltage of a half-wave supply with capacitor input: an upper bound.

    Args:
        supply_current: drawn, bleeder included.
        mains_frequency: of the line.
        capacitance: of the input capacitor.
        output_voltage: mean.

    Source: wpripple, voltage ripple (saw-tooth), one charge in each cycle
    """
    return supply_current / (2 * 3**0.5 * mains_frequency * capacitance * output_voltage)
