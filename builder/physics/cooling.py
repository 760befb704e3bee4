"""Air that carries heat away: how much of it, how warm it becomes, and how long the warming takes."""

from __future__ import annotations

import numpy as np

from .units import (
    Ampere,
    Celsius,
    Count,
    CubicMetrePerSecond,
    Joule,
    Kelvin,
    Metre,
    Ratio,
    Second,
    Volt,
    Watt,
    require,
)  # fmt: skip

AIR_HEAT = 1005.0
"""Specific heat of air at constant pressure, joule per kilogram and degree; source: imd2."""
AIR_DENSITY = 1.2
"""Of air at sea level and room temperature, kilogram per cubic metre; gives the constant of rotron."""
SCALE_HEIGHT = 8580.0
"""Metres of altitude over which air at room temperature thins to 37 per cent; gas law and weight, elementary."""


def airflow_needed(heat: Watt, temperature_rise: Kelvin, altitude_factor: Ratio) -> CubicMetrePerSecond:
    """Volume of air in a time that carries off heat with a given rise, all of the air taking part.

    A tube maker's own figure for a socket and chimney goes before this: it keeps seals cool, not only the air.

    Args:
        heat: carried off by the air; scalar or array.
        temperature_rise: of the air between inlet and outlet, above zero.
        altitude_factor: 1 at sea level.

    Raises:
        ValueError: no rise is allowed.

    Source: rotron, airflow for a temperature rise, with the mass flow of imd2
    """
    require(temperature_rise > 0, "the air must be allowed to become warmer")
    return altitude_factor * heat / (AIR_DENSITY * AIR_HEAT * temperature_rise)


def air_temperature_rise(heat: Watt, airflow: CubicMetrePerSecond, altitude_factor: Ratio) -> Kelvin:
    """How much warmer air leaves than it came, all of it taking part.

    Args:
        heat: carried off by the air; scalar or array.
        airflow: volume in a time, above zero.
        altitude_factor: 1 at sea level.

    Raises:
        ValueError: no air moves.

    Source: rotron, airflow for a temperature rise, solved for the rise
    """
    require(airflow > 0, "there is no airflow")
    return altitude_factor * heat / (AIR_DENSITY * AIR_HEAT * airflow)


def outlet_temperature(inlet_temperature: Celsius, air_temperature_rise: Kelvin) -> Celsius:
    """Temperature of the air where it leaves.

    Args:
        inlet_temperature: where it enters.
        air_temperature_rise: on the way.

    Source: elementary, definition
    """
    return inlet_temperature + air_temperature_rise


def altitude_factor(altitude: Metre) -> Ratio:
    """Volume flow needed at an altitude over that at sea level, for the same mass of air.

    Args:
        altitude: above sea level, up to where people live; scalar or array.

    Raises:
        ValueError: above 5000, where the rule was not tried, or far below the sea.

    Source: basic, air thins with altitude, about 1.2 at 1500 m (from memory)
    """
    require((altitude >= -500) & (altitude <= 5000), "the altitude lies between -500 m and 5000 m")
    return np.exp(altitude / SCALE_HEIGHT)  # type: ignore[no-any-return]


def thermal_time(heat_capacity: Joule, final_rise: Kelvin, heat: Watt) -> Second:
    """Time constant of warming: heat stored in the parts over heat carried off, for each degree.

    Args:
        heat_capacity: of everything that warms up together, for one degree.
        final_rise: over the surroundings, at last.
        heat: put in all the time, above zero.

    Raises:
        ValueError: no heat.

    Source: elementary, first-order warming
    """
    require(heat > 0, "nothing is heated")
    return heat_capacity * final_rise / heat


def rise_after(final_rise: Kelvin, time: Second, thermal_time: Second) -> Kelvin:
    """Rise over the surroundings some time after switching on, from cold.

    Args:
        final_rise: at last.
        time: after switching on; scalar or array.
        thermal_time: time constant, above zero.

    Raises:
        ValueError: no time constant.

    Source: elementary, first-order warming
    """
    require(thermal_time > 0, "the time constant must be above zero")
    return final_rise * (1 - np.exp(-time / thermal_time))  # type: ignore[no-any-return]


def warm_up_time(thermal_time: Second, share_left: Ratio) -> Second:
    """Time from cold until only a share of the final rise is still to come.

    Args:
        thermal_time: time constant.
        share_left: above zero, at most 1.

    Raises:
        ValueError: a share outside that range.

    Source: elementary, first-order warming
    """
    require((share_left > 0) & (share_left <= 1), "the share left lies between zero and one")
    return -thermal_time * np.log(share_left)  # type: ignore[no-any-return]


def heaters_current(heater_current_nominal: Ampere, tubes_count: Count) -> Ampere:
    """Current of the heaters of equal tubes in parallel.

    Args:
        heater_current_nominal: of one tube, from its data.
        tubes_count: how many.

    Source: elementary, currents of equal parts in parallel add
    """
    return heater_current_nominal * tubes_count


def heaters_power(heater_voltage_nominal: Volt, heaters_current: Ampere) -> Watt:
    """Power that the heaters of a stage turn into heat at their nominal voltage.

    Args:
        heater_voltage_nominal: across each of them.
        heaters_current: of all together.

    Source: elementary, Joule's law
    """
    return heater_voltage_nominal * heaters_current


def drive_heat(drive_power_typical: Watt, tubes_count: Count) -> Watt:
    """Most heat in the control grids of a driven stage: all of the published drive, though leak or bias take part.

    Args:
        drive_power_typical: of the published column, one tube.
        tubes_count: how many are driven.

    Source: elementary, conservation of energy
    """
    return drive_power_typical * tubes_count


def grids_heat(screen_input: Watt, drive_heat: Watt) -> Watt:
    """Heat of all grids of a stage with screens.

    Args:
        screen_input: of all tubes together.
        drive_heat: of the control grids.

    Source: elementary, conservation of energy
    """
    return screen_input + drive_heat


def stage_heat(plate_dissipation: Watt, heaters_power: Watt, grids_heat: Watt) -> Watt:
    """Heat of a stage in carrier without modulation; air carries it off, and the glass radiates part of it.

    Args:
        plate_dissipation: of all tubes together.
        heaters_power: of all tubes together.
        grids_heat: of control grids and screens.

    Source: elementary, conservation of energy
    """
    return plate_dissipation + heaters_power + grids_heat


def cathode_driven_heat(plate_dissipation: Watt, heaters_power: Watt) -> Watt:
    """Heat of a stage whose drive is fed through; what heats the grids is in its plate dissipation.

    Args:
        plate_dissipation: input and drive less output, all tubes together.
        heaters_power: of all tubes together.

    Source: elementary, conservation of energy
    """
    return plate_dissipation + heaters_power


def at_high_line(heater_voltage: Volt, mains_high: Ratio) -> Volt:
    """Heater voltage when the line is at its highest, if it was read with the line at its nominal voltage.

    Args:
        heater_voltage: at the pins.
        mains_high: highest line voltage over nominal.

    Source: elementary, a transformer keeps its ratio
    """
    return heater_voltage * mains_high
