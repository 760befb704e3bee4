"""Settings of pi and pi-L networks as built: for a match, for loads that are off, and the range that can be tuned."""

from __future__ import annotations

from math import inf, isfinite, pi
from typing import Annotated, Any, NamedTuple

import numpy as np

from .units import Count, Farad, Henry, Hertz, Ohm, Ratio, Unit, require

CIRCLE_POINTS = 72
"""Loads tried on a circle of equal standing-wave ratio, five degrees apart."""
GRID_POINTS = 4001
"""Frequencies tried when the range of a tank is looked for; 0.17 per cent apart, interpolated between."""
GRID_SPAN = 1e-3
"""Lowest frequency tried over the highest at which the coil can still match."""


class Settings(NamedTuple):
    """Capacitances at the two ends of a pi network; not a number where the coil cannot match."""

    tuning: Any
    load: Any


class TuningRange(NamedTuple):
    """Lowest and highest frequency at which the capacitors can be set for a match; equal where there is none."""

    lowest: float
    highest: float


class CircleSettings(NamedTuple):
    """Least and most capacitance at both ends of a network for all loads of one standing-wave ratio."""

    tuning_least: float
    tuning_most: float
    load_least: float
    load_most: float


def mismatched_loads(
    antenna_load: Ohm, standing_wave_ratio: Ratio, points: Count
) -> Annotated[Any, Unit("ohm", "resistance")]:
    """Loads all round a circle of equal standing-wave ratio: resistances and reactances, shape (2, points).

    Args:
        antenna_load: at the middle of the circle.
        standing_wave_ratio: 1 or more.
        points: how many, the first being the highest resistance.

    Raises:
        ValueError: a ratio below one.

    Source: bird, problem 44.16, reflection coefficient and standing-wave ratio
    """
    require(standing_wave_ratio >= 1, "a standing-wave ratio is one or more")
    size = (standing_wave_ratio - 1) / (standing_wave_ratio + 1)
    reflection = size * np.exp(2j * pi * np.arange(int(points)) / int(points))
    load = antenna_load * (1 + reflection) / (1 - reflection)
    return np.array([load.real, load.imag])


def pi_settings(
    carrier_frequency: Hertz,
    tank_coil: Henry,
    coil_q: Ratio,
    plate_load: Ohm,
    antenna_resistance: Ohm,
    antenna_reactance: Ohm,
) -> Annotated[Settings, Unit("F", "capacitance")]:
    """Both capacitances of a pi network as built that match a load to the tube; exact, coil loss included.

    Args:
        carrier_frequency: at which; scalar or array, all arguments broadcast.
        tank_coil: inductance.
        coil_q: unloaded.
        plate_load: wanted by the tube.
        antenna_resistance: of the load, in series form, above zero.
        antenna_reactance: of the load, in series form, positive for a coil.

    Returns:
        Across the plate end (tube included) and across the load; not a number where the coil is too large, negative
        where the load brings more capacitance than is wanted.

    Source: elementary, a quadratic for the Q at the load end; the higher root is the low-pass one
    """
    angular = 2 * pi * np.asarray(carrier_frequency, dtype=float)
    reactance, loss = angular * tank_coil, angular * tank_coil / coil_q
    admittance = 1 / (np.asarray(antenna_resistance) + 1j * np.asarray(antenna_reactance))
    parallel = 1 / admittance.real
    square = reactance**2 + loss**2 - plate_load * loss
    rest = square + parallel * (parallel + 2 * loss - plate_load)
    inside = (reactance * parallel) ** 2 - square * rest
    root = np.sqrt(np.where((inside >= 0) & (square > 0), inside, np.nan))
    load_q = (reactance * parallel + root) / square
    resistance = parallel / (1 + load_q**2) + loss
    branch = reactance - parallel * load_q / (1 + load_q**2)
    tuning = branch / (angular * (resistance**2 + branch**2))
    return Settings(tuning, (load_q / parallel - admittance.imag) / angular)


def pi_tuning_setting(
    carrier_frequency: Hertz, tank_coil: Henry, coil_q: Ratio, plate_load: Ohm, antenna_load: Ohm
) -> Farad:
    """Capacitance across the plate end of a pi network as built, tube included, that matches a plain resistance.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        coil_q: unloaded.
        plate_load: wanted by the tube.
        antenna_load: resistance.

    Raises:
        ValueError: the coil is too large to match at this frequency.

    Source: elementary, a quadratic for the Q at the load end
    """
    setting = float(pi_settings(carrier_frequency, tank_coil, coil_q, plate_load, antenna_load, 0.0).tuning)
    require(isfinite(setting), "the coil is too large to match at this frequency")
    return setting


def pi_load_setting(
    carrier_frequency: Hertz, tank_coil: Henry, coil_q: Ratio, plate_load: Ohm, antenna_load: Ohm
) -> Farad:
    """Capacitance across the load end of a pi network as built that matches a plain resistance.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        coil_q: unloaded.
        plate_load: wanted by the tube.
        antenna_load: resistance.

    Raises:
        ValueError: the coil is too large to match at this frequency.

    Source: elementary, a quadratic for the Q at the load end
    """
    setting = float(pi_settings(carrier_frequency, tank_coil, coil_q, plate_load, antenna_load, 0.0).load)
    require(isfinite(setting), "the coil is too large to match at this frequency")
    return setting


def pi_tuning_range(
    tank_coil: Henry,
    plate_load: Ohm,
    antenna_load: Ohm,
    tuning_least: Farad,
    tuning_most: Farad,
    load_least: Farad,
    load_most: Farad,
) -> Annotated[TuningRange, Unit("Hz", "frequency")]:
    """Frequencies at which a pi network as built can be matched within the ranges of its capacitors, loss neglected.

    Args:
        tank_coil: inductance in use.
        plate_load: wanted by the tube.
        antenna_load: resistance.
        tuning_least: tube, strays and tuning capacitor at its least.
        tuning_most: the same at its most.
        load_least: load capacitor at its least.
        load_most: the same at its most.

    Source: elementary, both capacitances fall as the frequency rises, so each limit is met once
    """
    highest = (plate_load * antenna_load) ** 0.5 / (2 * pi * tank_coil)
    frequency = highest * np.geomspace(1, GRID_SPAN, GRID_POINTS) * (1 - 1e-12)
    tuning, load = pi_settings(frequency, tank_coil, inf, plate_load, antenna_load, 0.0)
    upper = min(_crossing(tuning_least, tuning, frequency), _crossing(load_least, load, frequency))
    lower = max(_crossing(tuning_most, tuning, frequency), _crossing(load_most, load, frequency))
    met = tuning[0] <= tuning_most and load[0] <= load_most and lower <= upper
    return TuningRange(lower, upper) if met else TuningRange(upper, upper)


def _crossing(limit: Farad, capacitance: Any, frequency: Any) -> float:
    return float(np.exp(np.interp(np.log(max(limit, 1e-18)), np.log(capacitance), np.log(frequency))))


def settings_on_circle(
    carrier_frequency: Hertz,
    tank_coil: Henry,
    coil_q: Ratio,
    plate_load: Ohm,
    antenna_load: Ohm,
    output_coil: Henry,
    standing_wave_ratio: Ratio,
) -> Annotated[CircleSettings, Unit("F", "capacitance")]:
    """Range of both capacitances of a pi or pi-L network for every load of one standing-wave ratio.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        coil_q: unloaded, of both coils.
        plate_load: wanted by the tube.
        antenna_load: at the middle of the circle.
        output_coil: of a pi-L network; zero without.
        standing_wave_ratio: 1 or more.

    Raises:
        ValueError: the coil is too large to match some of these loads.

    Source: elementary, the exact match of every load on the circle
    """
    resistance, reactance = behind_output_coil(
        carrier_frequency, coil_q, output_coil, *mismatched_loads(antenna_load, standing_wave_ratio, CIRCLE_POINTS)
    )
    tuning, load = pi_settings(carrier_frequency, tank_coil, coil_q, plate_load, resistance, reactance)
    require(np.isfinite(tuning + load), "the coil is too large to match every load of this standing-wave ratio")
    found = (tuning.min(), tuning.max(), load.min(), load.max())
    return CircleSettings(*(float(number) for number in found))


def load_end_resistance(
    carrier_frequency: Hertz, coil_q: Ratio, antenna_load: Ohm, output_coil: Henry, standing_wave_ratio: Ratio
) -> Ohm:
    """Highest resistance across the load capacitor of a pi or pi-L network among loads of one standing-wave ratio.

    Args:
        carrier_frequency: at which.
        coil_q: unloaded, of the output coil.
        antenna_load: at the middle of the circle.
        output_coil: of a pi-L network; zero without.
        standing_wave_ratio: 1 or more.

    Source: elementary, a series pair as a parallel pair
    """
    loads = mismatched_loads(antenna_load, standing_wave_ratio, CIRCLE_POINTS)
    resistance, reactance = behind_output_coil(carrier_frequency, coil_q, output_coil, *loads)
    return float(np.max((resistance**2 + reactance**2) / resistance))


def settings_for_match(
    carrier_frequency: Hertz, tank_coil: Henry, coil_q: Ratio, plate_load: Ohm, antenna_load: Ohm, output_coil: Henry
) -> Annotated[Settings, Unit("F", "capacitance")]:
    """Both capacitances of a pi or pi-L network as built that match a plain resistance to the tube.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        coil_q: unloaded, of both coils.
        plate_load: wanted by the tube.
        antenna_load: resistance.
        output_coil: of a pi-L network; zero without.

    Raises:
        ValueError: the coil is too large to match at this frequency.

    Source: elementary, a quadratic for the Q at the load end
    """
    load = behind_output_coil(carrier_frequency, coil_q, output_coil, antenna_load, 0.0)
    found = pi_settings(carrier_frequency, tank_coil, coil_q, plate_load, *load)
    require(isfinite(found.tuning), "the coil is too large to match at this frequency")
    return Settings(float(found.tuning), float(found.load))


def link_settings_for_match(
    carrier_frequency: Hertz,
    tank_coil: Henry,
    link_coil: Henry,
    coupling: Ratio,
    coil_q: Ratio,
    plate_load: Ohm,
    antenna_load: Ohm,
) -> Annotated[Settings, Unit("F", "capacitance")]:
    """Capacitance across a tank, and in series with its link, that match a plain resistance to the tube; exact.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        link_coil: inductance.
        coupling: of the two coils, 0 to 1.
        coil_q: unloaded, of both coils.
        plate_load: wanted by the tube.
        antenna_load: resistance behind the capacitor of the link.

    Returns:
        Across the tank (tube included) and in series with the link; of two solutions the larger series capacitor.

    Raises:
        ValueError: the link is too loosely coupled for this load, or its reactance too small.

    Source: elementary, a quadratic for the reactance of the link circuit
    """
    angular = 2 * pi * carrier_frequency
    tank, loss = angular * tank_coil, angular * tank_coil / coil_q
    whole = antenna_load + angular * link_coil / coil_q
    mutual = (angular * coupling) ** 2 * tank_coil * link_coil
    curve = tank**2 + loss**2 - plate_load * loss
    rest = curve * whole**2 + mutual * (mutual + 2 * whole * loss - plate_load * whole)
    inside = (tank * mutual) ** 2 - curve * rest
    require(curve > 0 and inside >= 0, "the link is too loosely coupled to load the tubes as they ask")
    higher, lower = ((tank * mutual + sign * inside**0.5) / curve for sign in (1, -1))
    reactance = higher if higher < angular * link_coil else lower
    require(reactance < angular * link_coil, "the link has too little reactance for a capacitor to tune out")
    reflected = mutual / (whole**2 + reactance**2)
    resistance, branch = reflected * whole + loss, tank - reflected * reactance
    return Settings(branch / (angular * (resistance**2 + branch**2)), 1 / (angular * (angular * link_coil - reactance)))


def link_coupling_for_match(
    carrier_frequency: Hertz,
    tank_coil: Henry,
    link_coil: Henry,
    coil_q: Ratio,
    plate_load: Ohm,
    link_circuit_resistance: Ohm,
    link_reactance: Ohm,
) -> Ratio:
    """Coupling of a tank and its link, as the link stands, that gives the tubes their load at resonance; exact.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        link_coil: inductance.
        coil_q: unloaded, of the tank coil.
        plate_load: wanted by the tube.
        link_circuit_resistance: load and loss in the link circuit.
        link_reactance: whole reactance of the link circuit; zero where it is tuned out.

    Returns:
        Of two solutions the looser one.

    Raises:
        ValueError: no coupling gives this load.

    Source: elementary, a quadratic for the square of the mutual reactance
    """
    angular = 2 * pi * carrier_frequency
    tank, loss = angular * tank_coil, angular * tank_coil / coil_q
    curve = tank**2 + loss**2 - plate_load * loss
    half = (plate_load - 2 * loss) * link_circuit_resistance / 2 + tank * link_reactance
    inside = half**2 - curve * (link_circuit_resistance**2 + link_reactance**2)
    require(curve > 0 and half > 0 and inside >= 0, "no coupling gives the tubes the load that they ask for")
    coupling = ((half - inside**0.5) / (tank_coil * link_coil)) ** 0.5 / angular
    require(coupling <= 1, "the link is too small to give the tubes the load that they ask for")
    return float(coupling)


def behind_output_coil(
    carrier_frequency: Hertz, coil_q: Ratio, output_coil: Henry, antenna_resistance: Ohm, antenna_reactance: Ohm
) -> Annotated[Any, Unit("ohm", "resistance")]:
    """Loads as the load capacitor of a pi-L network sees them: resistance and reactance, shape (2, ...).

    Args:
        carrier_frequency: at which.
        coil_q: unloaded.
        output_coil: inductance; zero without.
        antenna_resistance: scalar or array.
        antenna_reactance: broadcasts.

    Source: elementary, impedances in series
    """
    reactance = 2 * pi * carrier_frequency * output_coil
    return np.array([antenna_resistance + reactance / coil_q, antenna_reactance + reactance])
