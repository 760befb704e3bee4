"""Parts round the rectifier and the filter: windings, strings, step-start, glow regulators, waiting times."""

from __future__ import annotations

from .units import Ampere, Count, Farad, Hertz, Joule, Ohm, Ratio, Second, Volt, VoltAmpere, Watt, require


def resistance_from_regulation(
    driving_voltage: Volt, transformer_regulation: Ratio, transformer_current: Ampere
) -> Ohm:
    """Resistance of a transformer, seen from the conducting part of the secondary, by its regulation.

    Args:
        driving_voltage: effective, of the conducting part, without load.
        transformer_regulation: fall of voltage at rated current over the voltage without load.
        transformer_current: rated direct current in this circuit, above zero.

    Raises:
        ValueError: the rating is no current.

    Source: elementary, Ohm's law
    """
    require(transformer_current > 0, "the transformer must be rated for a current")
    return transformer_regulation * driving_voltage / transformer_current


def winding_resistance(
    transformer_resistance: Ohm, transformer_primary_resistance: Ohm, driving_voltage: Volt, mains_voltage: Volt
) -> Ohm:
    """Resistance of both windings, seen from the conducting part of the secondary.

    Args:
        transformer_resistance: of the conducting part of the secondary.
        transformer_primary_resistance: of the primary.
        driving_voltage: effective, of the conducting part.
        mains_voltage: effective, of the primary, above zero.

    Raises:
        ValueError: the line has no voltage.

    Source: elementary, impedances go with the square of the turns
    """
    require(mains_voltage > 0, "the line must have a voltage")
    return transformer_resistance + (driving_voltage / mains_voltage) ** 2 * transformer_primary_resistance


def resistances(first: Ohm, second: Ohm) -> Ohm:
    """Resistances in series.

    Args:
        first: one of them.
        second: the other.

    Source: elementary, resistances in series add
    """
    return first + second


def set_voltage(secondary: Volt, secondary_parts: Count, line_setting: Ratio) -> Volt:
    """Effective voltage that works on the filter at one time, behind a variable transformer in the line.

    Args:
        secondary: whole winding at nominal line voltage, effective.
        secondary_parts: two where a centre tap divides it, otherwise one.
        line_setting: output over input of the variable transformer; one where there is none.

    Source: elementary, a centre tap halves the winding
    """
    return secondary / secondary_parts * line_setting


def doubled_voltage(driving_voltage: Volt, mains_high: Ratio) -> Volt:
    """Highest voltage of an unloaded doubler: both halves of the wave, one on top of the other.

    Args:
        driving_voltage: effective, whole secondary.
        mains_high: highest over nominal line voltage, such as 1.1.

    Source: elementary, two peaks in series
    """
    return 2 * 2**0.5 * mains_high * driving_voltage


def regulation(light_load_voltage: Volt, simulated_voltage: Volt) -> Ratio:
    """Rise of voltage from the heaviest to the lightest load over the voltage at the heaviest.

    Args:
        light_load_voltage: at the least current.
        simulated_voltage: at the full current, above zero.

    Raises:
        ValueError: the supply gives no voltage.

    Source: elementary, definition of regulation
    """
    require(simulated_voltage > 0, "the supply gives no voltage under load")
    return (light_load_voltage - simulated_voltage) / simulated_voltage


def winding_volt_amperes(secondary_current: Ampere, driving_voltage: Volt, secondary_parts: Count) -> VoltAmpere:
    """Apparent power of the secondary: effective current times voltage, both halves together.

    Args:
        secondary_current: effective, in each half or in the whole.
        driving_voltage: effective, of that half or of the whole.
        secondary_parts: two where a centre tap divides it, otherwise one.

    Source: elementary, definition of apparent power
    """
    return secondary_current * driving_voltage * secondary_parts


def ripple_frequency(mains_frequency: Hertz, pulses: Count) -> Hertz:
    """Frequency of the ripple.

    Args:
        mains_frequency: of the line.
        pulses: of charge in each cycle of the line.

    Source: elementary, counting
    """
    return mains_frequency * pulses


def longest_discharge(discharge_time: Second, bleeder_tolerance: Ratio, capacitor_tolerance: Ratio) -> Second:
    """Time to a harmless voltage with the bleeder as high and the capacitors as large as they may be.

    Args:
        discharge_time: with both as marked.
        bleeder_tolerance: how far the bleeder may be high.
        capacitor_tolerance: how far the capacitors may be high.

    Source: elementary, the time constant is their product
    """
    return discharge_time * (1 + bleeder_tolerance) * (1 + capacitor_tolerance)


PULSE_SECONDS = 10.0
"""Seconds of its rated power that a wirewound resistor takes in one pulse; common-practice."""


def pulse_energy(power_rating: Watt) -> Joule:
    """Heat that a wirewound resistor takes in one pulse, where its maker does not say: ten seconds of its rating.

    Args:
        power_rating: continuous.

    Source: common-practice
    """
    return PULSE_SECONDS * power_rating


def step_start_surge(mains_voltage: Volt, step_start: Ohm) -> Ampere:
    """Highest line current at switch-on through a step-start resistor.

    Args:
        mains_voltage: effective.
        step_start: resistance, above zero.

    Raises:
        ValueError: there is no resistance.

    Source: elementary, Ohm's law at the crest of the line
    """
    require(step_start > 0, "a step-start resistor has a resistance")
    return 2**0.5 * mains_voltage / step_start


def step_start_constant(
    step_start: Ohm, filter_capacitance: Farad, driving_voltage: Volt, mains_voltage: Volt
) -> Second:
    """Time constant with which the filter charges through a step-start resistor in the primary.

    Args:
        step_start: resistance.
        filter_capacitance: behind the rectifier.
        driving_voltage: effective, of the secondary, above zero.
        mains_voltage: effective, of the primary.

    Raises:
        ValueError: the line has no voltage.

    Source: elementary, impedances go with the square of the turns
    """
    require(mains_voltage > 0, "the line must have a voltage")
    return step_start * (driving_voltage / mains_voltage) ** 2 * filter_capacitance


def largest_equaliser(capacitor_voltage_rating: Volt, total_voltage: Volt, string_count: Count, leakage: Ampere) -> Ohm:
    """Largest resistor across each capacitor of a string that keeps the worst one inside its rating.

    Args:
        capacitor_voltage_rating: of each capacitor.
        total_voltage: across the string.
        string_count: how many, two at least.
        leakage: by which one capacitor may leak less than the others.

    Raises:
        ValueError: fewer than two, no leakage, or the string stands no more than is across it.

    Source: arrl, equalising resistors (page not verified)
    """
    require(string_count > 1, "a string has two capacitors at least")
    require(leakage > 0, "every electrolytic capacitor leaks")
    spare = string_count * capacitor_voltage_rating - total_voltage
    require(spare > 0, "the string stands no more than is across it")
    return spare / ((string_count - 1) * leakage)


def leakage_allowed(capacitance: Farad, capacitor_voltage_rating: Volt) -> Ampere:
    """Leakage that a maker allows for an electrolytic capacitor: three thousandths of microfarads times volts, in uA.

    Args:
        capacitance: of each.
        capacitor_voltage_rating: of each.

    Source: common-practice, 0.003 C V
    """
    return 3e-3 * capacitance * capacitor_voltage_rating


def regulator_current(supply_voltage: Volt, regulated_voltage: Volt, series_resistor: Ohm, load: Ampere) -> Ampere:
    """Current in a glow tube behind a resistor: what the load does not take.

    Args:
        supply_voltage: before the resistor.
        regulated_voltage: across the tube, or the string of tubes.
        series_resistor: above zero.
        load: taken from the regulated line.

    Raises:
        ValueError: there is no resistor.

    Source: vr90, VR90-40 regulator circuit (elementary; the page shows its equations as pictures)
    """
    require(series_resistor > 0, "a glow tube needs a resistor before it")
    return (supply_voltage - regulated_voltage) / series_resistor - load


def regulator_heat(supply_voltage: Volt, regulated_voltage: Volt, series_resistor: Ohm) -> Watt:
    """Heat in the resistor before a glow tube.

    Args:
        supply_voltage: before the resistor.
        regulated_voltage: behind it.
        series_resistor: above zero.

    Raises:
        ValueError: there is no resistor.

    Source: elementary, Joule heating
    """
    require(series_resistor > 0, "a glow tube needs a resistor before it")
    return (supply_voltage - regulated_voltage) ** 2 / series_resistor


def raised(supply_voltage: Volt, mains_high: Ratio) -> Volt:
    """A voltage when the line is high.

    Args:
        supply_voltage: at the nominal line.
        mains_high: highest over nominal line voltage.

    Source: elementary, proportion
    """
    return supply_voltage * mains_high


def lowered(supply_voltage: Volt, mains_high: Ratio) -> Volt:
    """A voltage when the line is as much low as it may be high.

    Args:
        supply_voltage: at the nominal line.
        mains_high: highest over nominal line voltage.

    Source: elementary, proportion
    """
    return supply_voltage * (2 - mains_high)


def light_load(least_current: Ampere, bleeder_current: Ampere) -> Ampere:
    """What the stages draw when they draw least.

    Args:
        least_current: drawn from the filter, bleeder included.
        bleeder_current: share of the bleeder.

    Source: elementary, Kirchhoff's current law; never below nothing
    """
    return max(least_current - bleeder_current, 0.0)


def passive_load(bleeder: Ohm, series_resistor: Ohm) -> Ohm:
    """Resistance that a supply sees of its bleeder and of the resistor before a glow tube.

    Args:
        bleeder: resistance, endless where there is none.
        series_resistor: above zero.

    Source: elementary, conductances add
    """
    return 1 / (1 / bleeder + 1 / series_resistor)


def constant_load(load_current: Ampere, regulated_voltage: Volt, series_resistor: Ohm, glow_load: Ampere) -> Ampere:
    """Current beside the passive load, where a glow tube holds the far end of its resistor at one voltage.

    Args:
        load_current: of the stages.
        regulated_voltage: across the glow tube.
        series_resistor: before it, above zero.
        glow_load: what the stages take of that from the regulated line; it flows through the resistor already.

    Source: elementary, Thevenin's theorem
    """
    return load_current - regulated_voltage / series_resistor - glow_load
