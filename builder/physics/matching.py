"""Settings of networks as built, for a match and for loads that are off."""

from __future__ import annotations

from math import isfinite, pi
from typing import Annotated, Any, NamedTuple

import numpy as np

from .units import Count, Farad, Henry, Hertz, Ohm, Ratio, Unit, require

CIRCLE_POINTS = 72
"""Loads tried on a circle of equal standing-wave ratio, five degrees apart."""


class Settings(NamedTuple):
    """Capacitances at the two ends of a pi network; not a number where the coil cannot match."""

    tuning: Any
    load: Any


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

    Source: elementary, the exact match of every load on the circle
    """
    resistance, reactance = behind_output_coil(
        carrier_frequency, coil_q, output_coil, *mismatched_loads(antenna_load, standing_wave_ratio, CIRCLE_POINTS)
    )
    tuning, load = pi_settings(carrier_frequency, tank_coil, coil_q, plate_load, resistance, reactance)
    return ends_of_settings(tuning, load)


def ends_of_settings(tuning: Farad, load: Farad) -> Annotated[CircleSettings, Unit("F", "capacitance")]:
    """Least and most of many settings.

    Args:
        tuning: at the plate end, shape (points,).
        load: at the load end, shape (points,).

    Raises:
        ValueError: there is no setting for some of the loads.

    Source: elementary, least and most
    """
    require(np.isfinite(tuning + load), "the network cannot match every load of this standing-wave ratio")
    found = (np.min(tuning), np.max(tuning), np.min(load), np.max(load))
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

    Source: elementary, a quadratic for the Q at the load end
    """
    load = behind_output_coil(carrier_frequency, coil_q, output_coil, antenna_load, 0.0)
    return settings_for_load(carrier_frequency, tank_coil, coil_q, plate_load, *load)


def settings_for_load(
    carrier_frequency: Hertz,
    tank_coil: Henry,
    coil_q: Ratio,
    plate_load: Ohm,
    load_resistance: Ohm,
    load_reactance: Ohm,
) -> Annotated[Settings, Unit("F", "capacitance")]:
    """Both capacitances of a pi network as built that match any load, such as a filter, to the tube.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        coil_q: unloaded.
        plate_load: wanted by the tube.
        load_resistance: in series form, an output coil counted in.
        load_reactance: in series form, positive for a coil.

    Raises:
        ValueError: the coil is too large to match at this frequency.

    Source: elementary, a quadratic for the Q at the load end
    """
    found = pi_settings(carrier_frequency, tank_coil, coil_q, plate_load, load_resistance, load_reactance)
    require(isfinite(found.tuning), "the coil is too large to match at this frequency")
    return Settings(float(found.tuning), float(found.load))


def link_settings(  # noqa: PLR0913, PLR0917 - a tank, its link and a load
    carrier_frequency: Hertz,
    tank_coil: Henry,
    link_coil: Henry,
    coupling: Ratio,
    coil_q: Ratio,
    plate_load: Ohm,
    antenna_resistance: Ohm,
    antenna_reactance: Ohm,
) -> Annotated[Settings, Unit("F", "capacitance")]:
    """Capacitance across a tank, and in series with its link, that match loads to the tube; exact, coil loss included.

    Args:
        carrier_frequency: at which; scalar or array, all arguments broadcast.
        tank_coil: inductance in use.
        link_coil: inductance.
        coupling: of the two coils, 0 to 1.
        coil_q: unloaded, of both coils.
        plate_load: wanted by the tube.
        antenna_resistance: of the load behind the capacitor of the link, in series form.
        antenna_reactance: of that load, in series form, positive for a coil.

    Returns:
        Across the tank (tube included) and in series with the link; of two solutions the larger series capacitor if
        the first load has it, and the same solution for all others; not a number where a load has none.

    Source: elementary, a quadratic for the reactance of the link circuit
    """
    angular = 2 * pi * np.asarray(carrier_frequency, dtype=float)
    whole = antenna_resistance + angular * link_coil / coil_q
    higher, lower = _link_reactances(angular, tank_coil, link_coil, coupling, coil_q, plate_load, whole)
    most = angular * link_coil + antenna_reactance
    reactance = higher if np.ravel(higher < most)[0] else lower
    reactance = np.where(reactance < most, reactance, np.nan)
    mutual = (angular * coupling) ** 2 * tank_coil * link_coil
    reflected = mutual / (whole**2 + reactance**2)
    resistance = reflected * whole + angular * tank_coil / coil_q
    branch = angular * tank_coil - reflected * reactance
    return Settings(branch / (angular * (resistance**2 + branch**2)), 1 / (angular * (most - reactance)))


def _link_reactances(
    angular: Any, tank_coil: Henry, link_coil: Henry, coupling: Ratio, coil_q: Ratio, plate_load: Ohm, whole: Any
) -> tuple[Any, Any]:
    """Both reactances of a link circuit, its resistance being whole, that give the tubes their load."""
    tank, loss = angular * tank_coil, angular * tank_coil / coil_q
    mutual = (angular * coupling) ** 2 * tank_coil * link_coil
    curve = tank**2 + loss**2 - plate_load * loss
    rest = curve * whole**2 + mutual * (mutual + 2 * whole * loss - plate_load * whole)
    inside = (tank * mutual) ** 2 - curve * rest
    root = np.sqrt(np.where((inside >= 0) & (curve > 0), inside, np.nan))
    return (tank * mutual + root) / curve, (tank * mutual - root) / curve


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

    Source: elementary, a quadratic for the reactance of the link circuit
    """
    link = (tank_coil, link_coil, coupling, coil_q, plate_load)
    return link_settings_for_load(carrier_frequency, *link, antenna_load, 0.0)


def link_settings_for_load(  # noqa: PLR0913, PLR0917 - a tank, its link and a load
    carrier_frequency: Hertz,
    tank_coil: Henry,
    link_coil: Henry,
    coupling: Ratio,
    coil_q: Ratio,
    plate_load: Ohm,
    load_resistance: Ohm,
    load_reactance: Ohm,
) -> Annotated[Settings, Unit("F", "capacitance")]:
    """Capacitance across a tank, and in series with its link, that match any load, such as a filter, to the tube.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        link_coil: inductance.
        coupling: of the two coils, 0 to 1.
        coil_q: unloaded, of both coils.
        plate_load: wanted by the tube.
        load_resistance: behind the capacitor of the link, in series form.
        load_reactance: in series form, positive for a coil.

    Returns:
        Across the tank (tube included) and in series with the link; of two solutions the larger series capacitor.

    Raises:
        ValueError: the link is too loosely coupled for this load, or its reactance too small.

    Source: elementary, a quadratic for the reactance of the link circuit
    """
    link = (tank_coil, link_coil, coupling, coil_q, plate_load)
    angular = 2 * pi * carrier_frequency
    found = _link_reactances(angular, *link, load_resistance + angular * link_coil / coil_q)
    require(np.isfinite(found[0]), "the link is too loosely coupled to load the tubes as they ask")
    settings = link_settings(carrier_frequency, *link, load_resistance, load_reactance)
    require(isfinite(settings.load), "the link has too little reactance for a capacitor to tune out")
    return Settings(float(settings.tuning), float(settings.load))


def link_settings_on_circle(  # noqa: PLR0913, PLR0917 - a tank, its link and a load
    carrier_frequency: Hertz,
    tank_coil: Henry,
    link_coil: Henry,
    coupling: Ratio,
    coil_q: Ratio,
    plate_load: Ohm,
    antenna_load: Ohm,
    standing_wave_ratio: Ratio,
) -> Annotated[CircleSettings, Unit("F", "capacitance")]:
    """Range of both capacitances of a tank and its tuned link for every load of one standing-wave ratio.

    Args:
        carrier_frequency: at which.
        tank_coil: inductance in use.
        link_coil: inductance.
        coupling: of the two coils, 0 to 1.
        coil_q: unloaded, of both coils.
        plate_load: wanted by the tube.
        antenna_load: at the middle of the circle.
        standing_wave_ratio: 1 or more.

    Source: elementary, the exact match of every load on the circle
    """
    resistance, reactance = mismatched_loads(antenna_load, standing_wave_ratio, CIRCLE_POINTS)
    loads: Any = np.append(antenna_load, resistance + 1j * reactance)
    link = (tank_coil, link_coil, coupling, coil_q, plate_load)
    found = link_settings(carrier_frequency, *link, loads.real, loads.imag)
    return ends_of_settings(found.tuning[1:], found.load[1:])


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
