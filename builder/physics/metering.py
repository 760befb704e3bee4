"""Movements with shunts and multipliers, and what their accuracy does to a reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .units import Ampere, Count, Ohm, Ratio, Volt, require

if TYPE_CHECKING:
    from typing import Any


def standard_uncertainty(reading: Any, of_reading: Ratio, of_full_scale: Ratio, full_scale: Any) -> Any:
    """Standard uncertainty of one reading, the stated accuracy being the half-width of an even spread.

    Args:
        reading: what the meter showed, in its own unit.
        of_reading: accuracy as a share of the reading.
        of_full_scale: accuracy as a share of full scale.
        full_scale: of the range in use, same unit as the reading; zero where the accuracy does not refer to it.

    Source: gum, 4.3.7
    """
    return (of_reading * abs(reading) + of_full_scale * full_scale) / 3**0.5


def scale_share(reading: Any, full_scale: Any) -> Ratio:
    """Where on its scale a pointer stands.

    Args:
        reading: what the meter shows.
        full_scale: of the range in use, above zero, same unit.

    Raises:
        ValueError: the range is zero.

    Source: cfr-73-1215, 73.1215
    """
    require(full_scale > 0, "the meter has no range")
    share: Ratio = abs(reading) / full_scale
    return share


def decibels(output_power: Any, input_power: Any) -> Any:
    """Ratio of two powers as a level.

    Args:
        output_power: above zero, any unit of power.
        input_power: above zero, same unit.

    Source: elementary, definition
    """
    return 10 * np.log10(output_power / input_power)


def shunt_needed(movement_current: Ampere, movement_resistance: Ohm, full_scale: Ampere) -> Ohm:
    """Shunt that lifts a movement to a range.

    Args:
        movement_current: full scale of the movement alone.
        movement_resistance: of its coil and what stands in series with it.
        full_scale: current that the scale is marked for, above that of the movement.

    Raises:
        ValueError: the range is not above the movement's own.

    Source: grob
    """
    require(full_scale > movement_current, "a shunt only serves a range above that of the movement")
    return movement_resistance * movement_current / (full_scale - movement_current)


def shunted_full_scale(movement_current: Ampere, movement_resistance: Ohm, shunt: Ohm) -> Ampere:
    """Current that brings a shunted movement to full scale.

    Args:
        movement_current: full scale of the movement alone.
        movement_resistance: of its coil and what stands in series with it.
        shunt: across it.

    Source: grob, solved for the current
    """
    return movement_current * (1 + movement_resistance / shunt)


def multiplier_needed(movement_current: Ampere, movement_resistance: Ohm, full_scale: Volt) -> Ohm:
    """Series resistance that makes a voltmeter of a movement.

    Args:
        movement_current: full scale of the movement.
        movement_resistance: of its coil.
        full_scale: voltage that the scale is marked for, above what the movement drops alone.

    Raises:
        ValueError: the movement alone drops as much.

    Source: elementary, Ohm's law
    """
    require(full_scale > movement_current * movement_resistance, "the movement alone drops more than the range")
    return full_scale / movement_current - movement_resistance


def multiplied_full_scale(movement_current: Ampere, movement_resistance: Ohm, multiplier: Ohm) -> Volt:
    """Voltage that brings a movement behind its multiplier to full scale.

    Args:
        movement_current: full scale of the movement.
        movement_resistance: of its coil.
        multiplier: in series with it.

    Source: elementary, Ohm's law
    """
    return movement_current * (multiplier + movement_resistance)


def in_parallel(each: Ohm, count: Count) -> Ohm:
    """Equal resistors side by side.

    Args:
        each: of one.
        count: how many.

    Source: elementary, resistors in parallel
    """
    return each / count


def in_series(each: Ohm, count: Count) -> Ohm:
    """Equal resistors in a string.

    Args:
        each: of one.
        count: how many.

    Source: elementary, resistors in series
    """
    return each * count


def voltage_burden(movement_current: Ampere, movement_resistance: Ohm) -> Volt:
    """What a milliammeter drops at full scale, shunt or not.

    Args:
        movement_current: full scale of the movement.
        movement_resistance: of its coil.

    Source: elementary, Ohm's law
    """
    return movement_current * movement_resistance


def scale_error(marked: Any, built: Any) -> Ratio:
    """How far a meter reads high, as a share of what there is; below zero where it reads low.

    Args:
        marked: full scale as its face says.
        built: what brings it to full scale, above zero, same unit.

    Source: elementary, the reading goes as the marked over the true full scale
    """
    error: Ratio = marked / built - 1
    return error


def shunted_error(
    movement_accuracy: Ratio, movement_resistance: Ohm, movement_tolerance: Ratio, shunt: Ohm, shunt_tolerance: Ratio
) -> Ratio:
    """Limit of error of a shunted movement, its parts being independent, as a share of full scale.

    Args:
        movement_accuracy: class of the movement, share of full scale.
        movement_resistance: of its coil.
        movement_tolerance: how far that resistance may be off.
        shunt: across it.
        shunt_tolerance: how far the shunt may be off.

    Source: gum-propagation
    """
    share = movement_resistance / (movement_resistance + shunt)
    error: Ratio = (movement_accuracy**2 + (share * movement_tolerance) ** 2 + (share * shunt_tolerance) ** 2) ** 0.5
    return error


def multiplied_error(
    movement_accuracy: Ratio, movement_resistance: Ohm, multiplier: Ohm, multiplier_tolerance: Ratio
) -> Ratio:
    """Limit of error of a voltmeter, as a share of full scale; that of its coil's resistance is left out as small.

    Args:
        movement_accuracy: class of the movement, share of full scale.
        movement_resistance: of its coil.
        multiplier: the whole string; resistors from one reel err together.
        multiplier_tolerance: how far each resistor may be off.

    Source: gum-propagation
    """
    share = multiplier / (multiplier + movement_resistance)
    error: Ratio = (movement_accuracy**2 + (share * multiplier_tolerance) ** 2) ** 0.5
    return error


def uncorrected_error(parts_error: Ratio, scale_error: Ratio) -> Ratio:
    """Limit of error where a known error of the scale is not taken off the readings.

    Args:
        parts_error: of the movement and its resistors.
        scale_error: known, either way.

    Source: gum-propagation
    """
    return parts_error + abs(scale_error)


def larger(first: Ratio, second: Ratio) -> Ratio:
    """The larger of two limits of error.

    Args:
        first: of the two.
        second: of the two.

    Source: common-practice
    """
    return np.maximum(first, second)  # type: ignore[no-any-return]
