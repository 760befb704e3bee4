"""The operating point of a stage whose plate current comes in pulses, step by step from what its meters show."""

from __future__ import annotations

from .units import Ampere, Count, Ohm, Ratio, Volt, Watt, require

DRIVE_FACTOR = 0.9
"""Grid driving power over peak drive times grid current; published columns lie between 0.88 and 1.01."""


def tube_output(output_power: Watt, tank_efficiency: Ratio) -> Watt:
    """Power that leaves the tubes, before the loss of the network.

    Args:
        output_power: at the load; scalar or array.
        tank_efficiency: share of it that the network lets through, above zero.

    Raises:
        ValueError: nothing gets through.

    Source: classc-identities, inverse problem
    """
    require(tank_efficiency > 0, "the network must let something through")
    return output_power / tank_efficiency


def fundamental_current(fundamental_ratio: Ratio, plate_current: Ampere) -> Ampere:
    """Peak of the radio-frequency component of plate current.

    Args:
        fundamental_ratio: over mean plate current, from the shape of the pulse.
        plate_current: mean; scalar or array.

    Source: terman43-rf, Fourier coefficients of the pulse
    """
    return fundamental_ratio * plate_current


def plate_swing(tube_output: Watt, fundamental_current: Ampere) -> Volt:
    """Peak of the radio-frequency voltage at the plates.

    Args:
        tube_output: power of the fundamental.
        fundamental_current: peak, above zero.

    Raises:
        ValueError: no current.

    Source: classc-identities, inverse problem
    """
    require(fundamental_current > 0, "there is no plate current")
    return 2 * tube_output / fundamental_current


def plate_load(plate_swing: Volt, fundamental_current: Ampere) -> Ohm:
    """Resistance that the network offers to the plates at the carrier.

    Args:
        plate_swing: peak.
        fundamental_current: peak, above zero.

    Raises:
        ValueError: no current.

    Source: classc-identities, inverse problem
    """
    require(fundamental_current > 0, "there is no plate current")
    return plate_swing / fundamental_current


def least_plate_voltage(plate_voltage: Volt, plate_swing: Volt) -> Volt:
    """Lowest plate voltage within a cycle; a small difference of large readings, so that it is only roughly known.

    Args:
        plate_voltage: mean; scalar or array.
        plate_swing: peak.

    Source: classc-identities, inverse problem
    """
    return plate_voltage - plate_swing


def least_voltage_from_cathode(plate_voltage: Volt, plate_swing: Volt, cathode_drive: Volt) -> Volt:
    """Lowest voltage from plate to cathode within a cycle of a cathode-driven stage: both swing the same way.

    Args:
        plate_voltage: mean; scalar or array.
        plate_swing: from plate to ground, peak.
        cathode_drive: from cathode to ground, peak.

    Source: elementary, difference of two voltages in step
    """
    return plate_voltage - plate_swing + cathode_drive


def swing_share(plate_swing: Volt, plate_voltage: Volt) -> Ratio:
    """How much of the plate voltage the plates swing through.

    Args:
        plate_swing: peak.
        plate_voltage: mean, above zero.

    Raises:
        ValueError: no plate voltage.

    Source: classc-identities, columns of data sheets lie near 0.86
    """
    require(plate_voltage > 0, "there is no plate voltage")
    return plate_swing / plate_voltage


def peak_plate_current(plate_current_per_tube: Ampere, mean_share: Ratio) -> Ampere:
    """Crest of the plate-current pulse of one tube.

    Args:
        plate_current_per_tube: mean.
        mean_share: mean over crest of the pulse, above zero.

    Raises:
        ValueError: the pulse has no area.

    Source: terman43-rf, Fourier coefficients of the pulse
    """
    require(mean_share > 0, "the pulse has no area")
    return plate_current_per_tube / mean_share


def grid_drive_power(peak_drive: Volt, grid_current: Ampere) -> Watt:
    """Power that the grids take, loss of the coupling circuit not counted.

    Args:
        peak_drive: radio-frequency grid voltage, peak.
        grid_current: mean, of all tubes.

    Source: rca-tt-columns, driving power is 0.9 of peak drive times grid current
    """
    return DRIVE_FACTOR * peak_drive * grid_current


def feed_through_power(cathode_drive: Volt, fundamental_current: Ampere) -> Watt:
    """Drive that a cathode-driven stage hands on to its load: the plate current flows through the driver as well.

    Args:
        cathode_drive: radio-frequency voltage from cathode to ground, peak.
        fundamental_current: peak of the radio-frequency plate current, of all tubes.

    Source: elementary, mean power of a voltage and a current in step
    """
    return cathode_drive * fundamental_current / 2


def cathode_drive_power(feed_through_power: Watt, grid_drive_power: Watt) -> Watt:
    """Power that a cathode-driven stage takes from its driver, loss of the input circuit not counted.

    Args:
        feed_through_power: handed on to the load.
        grid_drive_power: taken by the grids and their bias.

    Source: elementary, conservation of energy
    """
    return feed_through_power + grid_drive_power


def grid_heat(grid_drive_power: Watt, grid_bias: Volt, grid_current: Ampere, tubes_count: Count) -> Watt:
    """Heat in the grid of one tube: driving power less what the bias source takes up.

    Args:
        grid_drive_power: of all tubes.
        grid_bias: negative.
        grid_current: mean, of all tubes.
        tubes_count: tubes that share it.

    Source: classc-identities, grid dissipation
    """
    return (grid_drive_power + grid_bias * grid_current) / tubes_count


def undriven_dissipation(plate_voltage: Volt, undriven_current: Ampere) -> Watt:
    """Heat in one plate when the drive fails and nothing goes out.

    Args:
        plate_voltage: mean.
        undriven_current: of one tube, at the bias that is left.

    Source: elementary, all of the input becomes heat
    """
    return plate_voltage * undriven_current


def idle_dissipation(plate_voltage: Volt, idle_current: Ampere, tubes_count: Count) -> Watt:
    """Heat in one plate without signal.

    Args:
        plate_voltage: mean.
        idle_current: of all tubes.
        tubes_count: tubes that share it.

    Source: elementary, all of the input becomes heat
    """
    return plate_voltage * idle_current / tubes_count


def emission_share(peak_plate_current: Ampere, crest_factor: Ratio, heater_power: Watt) -> Ratio:
    """Peak cathode current for each watt of heating, at the crest of modulation.

    Args:
        peak_plate_current: of one tube at the carrier.
        crest_factor: of plate current at the crest, 1 without plate modulation.
        heater_power: of one tube, above zero.

    Raises:
        ValueError: the heater is cold.

    Source: classc-identities, peak current for each heater watt of fitted columns
    """
    require(heater_power > 0, "the heater takes no power")
    return peak_plate_current * crest_factor / heater_power


def ratio_of(value: Ampere, expected: Ampere) -> Ratio:
    """A measured value over the one to be expected.

    Args:
        value: as measured.
        expected: above zero.

    Raises:
        ValueError: nothing is expected.

    Source: elementary, definition
    """
    require(expected > 0, "none is to be expected")
    return value / expected


def screen_heat_modulated(screen_input_per_tube: Watt, modulation_depth: Ratio) -> Watt:
    """Heat in one screen averaged over sine modulation when the screen is modulated with the plate.

    Args:
        screen_input_per_tube: at the carrier.
        modulation_depth: 1 for 100 per cent.

    Source: classc-identities, check of screen input under modulation
    """
    return screen_input_per_tube * (1 + modulation_depth**2 / 2)
