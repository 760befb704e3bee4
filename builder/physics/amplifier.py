"""Powers and potentials of an amplifier stage, from what its meters show."""

from __future__ import annotations

from .units import Ampere, Count, Hertz, Ohm, Ratio, Volt, Watt, require

LARGEST_PULSE_RATIO = 1.9
"""Fundamental over mean plate current of a class C pulse; columns of data sheets lie between 1.68 and 1.85."""


def dc_input(plate_voltage: Volt, plate_current: Ampere) -> Watt:
    """Power drawn from the plate supply. Any class of operation, meters reading mean values.

    Args:
        plate_voltage: from plate to cathode; scalar or array.
        plate_current: of all tubes of the stage together; broadcasts with plate_voltage.

    Source: elementary, product of mean voltage and mean current
    """
    return plate_voltage * plate_current


def efficiency(output_power: Watt, dc_input: Watt) -> Ratio:
    """Share of the plate input that reaches the load, network loss included.

    Args:
        output_power: at the load; scalar or array.
        dc_input: drawn from the plate supply, above zero.

    Raises:
        ValueError: no input.

    Source: elementary, definition
    """
    require(dc_input > 0, "the stage draws no plate input")
    return output_power / dc_input


def plate_dissipation(dc_input: Watt, output_power: Watt) -> Watt:
    """Most heat that the plates can be losing: loss in the output network counts as heat of the plates.

    Args:
        dc_input: drawn from the plate supply; scalar or array.
        output_power: at the load, unmodulated.

    Raises:
        ValueError: more comes out than goes in.

    Source: elementary, conservation of energy
    """
    require(output_power <= dc_input, "output cannot exceed plate input")
    return dc_input - output_power


def plate_dissipation_with_drive(dc_input: Watt, drive_power: Watt, output_power: Watt) -> Watt:
    """Most heat in the plates of a cathode-driven stage, whose drive is fed through to the output.

    Args:
        dc_input: drawn from the plate supply; scalar or array.
        drive_power: into the cathode; the part that heats the grids is counted to the plates here.
        output_power: at the load.

    Raises:
        ValueError: more comes out than goes in.

    Source: elementary, conservation of energy
    """
    require(output_power <= dc_input + drive_power, "output cannot exceed plate input and drive together")
    return dc_input + drive_power - output_power


def per_tube(total: Watt, tubes_count: Count) -> Watt:
    """Equal share of one tube.

    Args:
        total: of the stage; scalar or array.
        tubes_count: tubes that share it, at least one.

    Raises:
        ValueError: no tubes.

    Source: common-practice, equal sharing is assumed unless cathodes are metered one by one
    """
    require(tubes_count >= 1, "there must be at least one tube")
    return total / tubes_count


def electrode_input(electrode_voltage: Volt, electrode_current: Ampere) -> Watt:
    """Direct-current power into a grid or screen; for a screen all of it becomes heat there.

    Args:
        electrode_voltage: from electrode to cathode; scalar or array.
        electrode_current: mean.

    Source: elementary, product of mean voltage and mean current
    """
    return electrode_voltage * electrode_current


def grid_leak_bias(grid_leak: Ohm, grid_current: Ampere) -> Volt:
    """Bias that rectified grid current makes in a grid leak; negative.

    Args:
        grid_leak: resistance from grid to the bias source or ground.
        grid_current: mean, of all tubes that share the leak.

    Source: rca-tt5, grid-bias considerations (section not verified)
    """
    return -grid_leak * grid_current


def cathode_bias(cathode_resistance: Ohm, cathode_current: Ampere) -> Volt:
    """Bias made by cathode current in a cathode resistor; negative at the grid.

    Args:
        cathode_resistance: shared by the tubes whose current is given.
        cathode_current: plate, screen and grid current together.

    Source: rca-rc30, cathode-bias considerations (section not verified)
    """
    return -cathode_resistance * cathode_current


def dropped_voltage(source_voltage: Volt, series_resistance: Ohm, series_current: Ampere) -> Volt:
    """What is left behind a dropping resistor.

    Args:
        source_voltage: in front of it.
        series_resistance: of the dropper.
        series_current: through it.

    Source: elementary, Ohm's law
    """
    return source_voltage - series_resistance * series_current


def resistor_power(resistance: Ohm, resistor_current: Ampere) -> Watt:
    """Heat in a resistor that carries a steady current.

    Args:
        resistance: of the part.
        resistor_current: through it, effective value.

    Source: elementary, Joule heating
    """
    return resistance * resistor_current**2


def most_output(dc_input: Watt) -> Watt:
    """Most fundamental power that a plate-current pulse can deliver from a given input.

    Args:
        dc_input: drawn from the plate supply; scalar or array.

    Source: classc-identities, output is at most half the pulse ratio times the input, at full plate swing
    """
    return LARGEST_PULSE_RATIO / 2 * dc_input


def drive_needed(drive_power_typical: Watt, tubes_count: Count) -> Watt:
    """Driver output that the stage asks for: published grid drive doubled for losses in the coupling circuit.

    Args:
        drive_power_typical: of the published column, one tube, without circuit loss.
        tubes_count: tubes driven.

    Source: common-practice, twice the published grid driving power
    """
    return 2 * drive_power_typical * tubes_count


def frequency_error(carrier_frequency: Hertz, frequency_tolerance: Ratio) -> Hertz:
    """Largest departure of an oscillator from its marked frequency.

    Args:
        carrier_frequency: marked; scalar or array.
        frequency_tolerance: as a ratio, 50 parts per million is 50e-6; adjustment, temperature and ageing together.

    Source: elementary, definition of a relative tolerance
    """
    return carrier_frequency * frequency_tolerance
