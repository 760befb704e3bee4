"""A linear stage with two equal tones, from what it does with one: the envelope is then a rectified sine."""

from __future__ import annotations

from math import pi

from .units import Ampere, Count, Volt, Watt, require


def two_tone_current(plate_current: Ampere, plate_idle: Ampere) -> Ampere:
    """Mean plate current with two tones whose crests are as high as the single tone.

    Args:
        plate_current: with a single tone, at least the idling current; scalar or array.
        plate_idle: without signal.

    Raises:
        ValueError: the stage draws less with signal than without.

    Source: elementary, mean of a rectified sine, plate current in proportion to the envelope
    """
    require(plate_current >= plate_idle, "the stage draws less with signal than without")
    return plate_idle + (plate_current - plate_idle) * 2 / pi


def two_tone_power(output_power: Watt) -> Watt:
    """Mean output with two tones whose crests are as high as the single tone.

    Args:
        output_power: with a single tone; scalar or array.

    Source: elementary, mean square of a sine
    """
    return output_power / 2


def two_tone_dissipation(
    plate_voltage: Volt, two_tone_current: Ampere, drive_power: Watt, output_power: Watt, tubes_count: Count
) -> Watt:
    """Heat in each plate with two tones; what the drive feeds through is part of the output.

    Args:
        plate_voltage: with a single tone.
        two_tone_current: mean, of all tubes.
        drive_power: with a single tone; half of it on the mean of two tones.
        output_power: with a single tone; likewise.
        tubes_count: tubes that share it.

    Source: elementary, conservation of energy
    """
    return (plate_voltage * two_tone_current + drive_power / 2 - output_power / 2) / tubes_count
