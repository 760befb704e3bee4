"""Amplitude modulation: powers, crests, the modulator's load and the room that an emission takes."""

from __future__ import annotations

from .units import Ampere, Hertz, Ohm, Ratio, Volt, Watt, require


def modulated_current(plate_current: Ampere, screen_current: Ampere) -> Ampere:
    """Current that the modulator sees when plate and screen are fed through it.

    Args:
        plate_current: of the modulated stage, unmodulated.
        screen_current: fed from the modulated line.

    Source: arrl, radiotelephony chapter (page not verified)
    """
    return plate_current + screen_current


def modulating_impedance(plate_voltage: Volt, modulated_current: Ampere) -> Ohm:
    """Resistance that a plate-modulated stage offers to its modulator.

    Args:
        plate_voltage: unmodulated; scalar or array.
        modulated_current: plate current, and screen current where the modulated line feeds it.

    Raises:
        ValueError: no current.

    Source: arrl, radiotelephony chapter (page not verified)
    """
    require(modulated_current > 0, "the modulated stage draws no current")
    return plate_voltage / modulated_current


def audio_power_needed(modulation_depth: Ratio, plate_voltage: Volt, modulated_current: Ampere) -> Watt:
    """Sine power that plate modulation of a given depth takes; the efficiency of the modulated stage does not enter.

    Args:
        modulation_depth: 1 for 100 per cent; scalar or array.
        plate_voltage: unmodulated.
        modulated_current: plate current, and screen current where the modulated line feeds it.

    Source: fcc381, question 6A381
    """
    return modulation_depth**2 / 2 * plate_voltage * modulated_current


def peak_envelope_power(carrier_power: Watt, positive_peak: Ratio) -> Watt:
    """Mean power over one radio-frequency cycle at the highest crest of the envelope.

    Args:
        carrier_power: unmodulated; scalar or array.
        positive_peak: upward modulation, 1 for 100 per cent.

    Source: terman-re, amplitude modulation (page not verified); definition p97-3, 97.3(b)(9)
    """
    return carrier_power * (1 + positive_peak) ** 2


def mean_power(carrier_power: Watt, modulation_depth: Ratio) -> Watt:
    """Mean power under sine modulation.

    Args:
        carrier_power: unmodulated; scalar or array.
        modulation_depth: 1 for 100 per cent.

    Source: kennedy, ex. 3.2 (p. 38)
    """
    return carrier_power * (1 + modulation_depth**2 / 2)


def sideband_share(modulation_depth: Ratio) -> Ratio:
    """Share of the mean power that is in both sidebands under sine modulation.

    Args:
        modulation_depth: 1 for 100 per cent; scalar or array.

    Source: tbc-163, ex. 3.4 (p. 163)
    """
    return modulation_depth**2 / (2 + modulation_depth**2)


def antenna_current_rise(modulation_depth: Ratio) -> Ratio:
    """Antenna current under sine modulation over that of the bare carrier.

    Args:
        modulation_depth: 1 for 100 per cent; scalar or array.

    Source: fcc378, question 6A378
    """
    rise: float = (1 + modulation_depth**2 / 2) ** 0.5
    return rise


def depth_from_current(current_rise: Ratio) -> Ratio:
    """Depth of sine modulation from the rise of antenna current.

    Args:
        current_rise: modulated over unmodulated current, 1 or more.

    Raises:
        ValueError: the current falls.

    Source: kennedy, ex. 3.3 (p. 39)
    """
    require(current_rise >= 1, "antenna current falls under modulation")
    depth: float = (2 * (current_rise**2 - 1)) ** 0.5
    return depth


def depth_from_envelope(envelope_crest: Volt, envelope_trough: Volt) -> Ratio:
    """Depth of modulation from the greatest and least height of the envelope.

    Args:
        envelope_crest: greatest height, any unit that both share.
        envelope_trough: least height, same kind of reading.

    Source: tbc-285, ex. 1 (p. 285)
    """
    return (envelope_crest - envelope_trough) / (envelope_crest + envelope_trough)


def crest_factor(positive_peak: Ratio) -> Ratio:
    """Height of the envelope at the crest of modulation over that of the carrier.

    Args:
        positive_peak: upward modulation.

    Source: elementary, definition of the depth of modulation
    """
    return 1 + positive_peak


def crest_plate_voltage(plate_voltage: Volt, positive_peak: Ratio) -> Volt:
    """Plate potential at the crest of upward modulation, radio frequency not counted.

    Args:
        plate_voltage: unmodulated; scalar or array.
        positive_peak: upward modulation, 1 for 100 per cent.

    Source: neets12, p. 1-54
    """
    return plate_voltage * (1 + positive_peak)


def plate_dissipation_modulated(plate_dissipation_per_tube: Watt, modulation_depth: Ratio) -> Watt:
    """Heat in one plate averaged over sine modulation, at constant efficiency.

    Args:
        plate_dissipation_per_tube: at carrier; scalar or array.
        modulation_depth: 1 for 100 per cent.

    Source: kennedy, ex. 3.2 (p. 38): mean power rises by half the square of the depth, input and output alike
    """
    return plate_dissipation_per_tube * (1 + modulation_depth**2 / 2)


def reflected_load(modulating_impedance: Ohm, turns_ratio: Ratio) -> Ohm:
    """Plate-to-plate load that the modulators see.

    Args:
        modulating_impedance: of the modulated stage, across the secondary.
        turns_ratio: whole primary to secondary.

    Source: elementary, impedances of an ideal transformer are as the square of its turns
    """
    return modulating_impedance * turns_ratio**2


def class_b_load(output_power: Watt, plate_current: Ampere) -> Ohm:
    """Plate-to-plate load that ideal class B theory implies for a pair.

    Args:
        output_power: of the pair, sine at full signal.
        plate_current: of the pair, mean at full signal.

    Raises:
        ValueError: no current.

    Source: terman-re, class B amplifiers (page not verified)
    """
    require(plate_current > 0, "the pair draws no plate current")
    peak_current = 3.141592653589793 / 2 * plate_current
    return 8 * output_power / peak_current**2


def necessary_bandwidth(audio_bandwidth: Hertz) -> Hertz:
    """Width of a double-sideband emission.

    Args:
        audio_bandwidth: highest audio frequency sent.

    Source: p2-202, 2.202(g), double sideband: twice the highest modulating frequency
    """
    return 2 * audio_bandwidth


def emission_low(carrier_frequency: Hertz, lower_sideband: Hertz, frequency_error: Hertz) -> Hertz:
    """Lowest frequency of the emission when the oscillator is as low as its tolerance allows.

    Args:
        carrier_frequency: marked; scalar or array.
        lower_sideband: width below the carrier.
        frequency_error: tolerance of the oscillator.

    Source: p97-307, 97.307(b): modulation products stay inside the segment
    """
    return carrier_frequency - lower_sideband - frequency_error


def emission_high(carrier_frequency: Hertz, upper_sideband: Hertz, frequency_error: Hertz) -> Hertz:
    """Highest frequency of the emission when the oscillator is as high as its tolerance allows.

    Args:
        carrier_frequency: marked; scalar or array.
        upper_sideband: width above the carrier.
        frequency_error: tolerance of the oscillator.

    Source: p97-307, 97.307(b): modulation products stay inside the segment
    """
    return carrier_frequency + upper_sideband + frequency_error
