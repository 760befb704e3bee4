"""A low-pass filter as built, from its own parts: loss, what it shows to the network, what its parts bear."""

from __future__ import annotations

from typing import Annotated, Any, NamedTuple

import numpy as np

from .ladder import FilterParts, Ladder
from .matching import (
    CIRCLE_POINTS,
    behind_output_coil,
    ends_of_settings,
    link_settings,
    mismatched_loads,
    pi_settings,
)
from .units import Ampere, Count, Decibel, Farad, Henry, Hertz, Ohm, Ratio, Unit, Volt, Watt, one_by_one, require

MOST_ELEMENTS = 9
"""Parts of the longest filter; beyond them the loss of the coils outweighs what they add; source: common-practice."""


class Capacitors(NamedTuple):
    """One number for each shunt capacitor of a filter, zero where there is none."""

    first: float
    second: float
    third: float
    fourth: float
    fifth: float


class Coils(NamedTuple):
    """One number for each series coil of a filter, zero where there is none."""

    first: float
    second: float
    third: float
    fourth: float


class Strain(NamedTuple):
    """Peak voltage on each capacitor and effective current in each coil, zero where there is none."""

    first_voltage: Volt
    second_voltage: Volt
    third_voltage: Volt
    fourth_voltage: Volt
    fifth_voltage: Volt
    first_current: Ampere
    second_current: Ampere
    third_current: Ampere
    fourth_current: Ampere


class Circle(NamedTuple):
    """Settings for all loads of one standing-wave ratio, and the resistance that strains the load capacitor most."""

    tuning_least: Farad
    tuning_most: Farad
    load_least: Farad
    load_most: Farad
    load_resistance: Ohm


class Input(NamedTuple):
    """What a filter shows to the network."""

    resistance: float
    reactance: float


def filter_design_capacitors(
    filter_elements: Count, filter_ripple: Decibel, filter_edge: Hertz, antenna_load: Ohm
) -> Annotated[Capacitors, Unit("F", "capacitance")]:
    """Shunt capacitors of a Chebyshev filter, or of a half-wave filter where there is no ripple.

    Args:
        filter_elements: capacitors and coils together, at most nine.
        filter_ripple: of a Chebyshev filter; zero for a half-wave filter.
        filter_edge: where a Chebyshev filter has its edge, or for which a half-wave filter is made.
        antenna_load: resistance of the line.

    Raises:
        ValueError: too many elements.

    Source: elementary, prototypes scaled to the line
    """
    require(filter_elements <= MOST_ELEMENTS, "a filter has at most nine elements")
    values = _design(filter_elements, filter_ripple, filter_edge, antenna_load)[::2]
    return Capacitors(*values, *(0.0,) * (5 - len(values)))


def filter_design_coils(
    filter_elements: Count, filter_ripple: Decibel, filter_edge: Hertz, antenna_load: Ohm
) -> Annotated[Coils, Unit("H", "inductance")]:
    """Series coils of a Chebyshev filter, or of a half-wave filter where there is no ripple.

    Args:
        filter_elements: capacitors and coils together, at most nine.
        filter_ripple: of a Chebyshev filter; zero for a half-wave filter.
        filter_edge: where a Chebyshev filter has its edge, or for which a half-wave filter is made.
        antenna_load: resistance of the line.

    Raises:
        ValueError: too many elements.

    Source: elementary, prototypes scaled to the line
    """
    require(filter_elements <= MOST_ELEMENTS, "a filter has at most nine elements")
    values = _design(filter_elements, filter_ripple, filter_edge, antenna_load)[1::2]
    return Coils(*values, *(0.0,) * (4 - len(values)))


def _design(filter_elements: Count, filter_ripple: Decibel, filter_edge: Hertz, antenna_load: Ohm) -> list[float]:
    found = Ladder.low_pass_filter(filter_elements, filter_ripple, filter_edge, antenna_load)
    return [float(element.value) for element in found.elements]


@one_by_one
def filter_departure(
    low_pass: FilterParts,
    filter_elements: Count,
    filter_ripple: Decibel,
    filter_edge: Hertz,
    antenna_load: Ohm,
) -> Ratio:
    """Farthest that a part of a filter is from its design, as a share of the design.

    Args:
        low_pass: the filter.
        filter_elements: of the design.
        filter_ripple: of a Chebyshev filter; zero for a half-wave filter.
        filter_edge: where a Chebyshev filter has its edge, or for which a half-wave filter is made.
        antenna_load: resistance of the line.

    Raises:
        ValueError: the design has other parts than the filter.

    Source: elementary, part over design less one
    """
    design = (filter_elements, filter_ripple, filter_edge, antenna_load)
    wanted = np.array([*filter_design_capacitors(*design), *filter_design_coils(*design)])
    built = np.array(low_pass)
    require(bool(np.all((built > 0) == (wanted > 0))), "the design has other parts than the filter")
    there = wanted > 0
    return float(np.max(np.abs(built[there] / wanted[there] - 1)))


@one_by_one
def filter_loss(
    low_pass: FilterParts,
    filter_coil_q: Ratio,
    antenna_load: Ohm,
    carrier_frequency: Hertz,
) -> Decibel:
    """Power that goes into a filter over power that comes out of it: what its coils turn into heat.

    Args:
        low_pass: the filter.
        filter_coil_q: unloaded, of its coils.
        antenna_load: resistance at its output.
        carrier_frequency: at which.

    Source: elementary, chain matrices of two-ports
    """
    whole = low_pass.ladder(filter_coil_q)
    return float(-10 * np.log10(whole.efficiency(carrier_frequency, antenna_load)[0]))


@one_by_one
def filter_input(
    low_pass: FilterParts,
    filter_coil_q: Ratio,
    antenna_load: Ohm,
    carrier_frequency: Hertz,
) -> Annotated[Input, Unit("ohm", "resistance")]:
    """Resistance and reactance, in series, that a filter shows to the network before it.

    Args:
        low_pass: the filter.
        filter_coil_q: unloaded, of its coils.
        antenna_load: resistance at its output.
        carrier_frequency: at which.

    Source: elementary, chain matrices of two-ports
    """
    whole = low_pass.ladder(filter_coil_q)
    seen = complex(whole.input_impedance(carrier_frequency, antenna_load)[0])
    return Input(seen.real, seen.imag)


def filter_swr(filter_resistance: Ohm, filter_reactance: Ohm, antenna_load: Ohm) -> Ratio:
    """Standing-wave ratio of what a filter shows, on a line of the resistance that it is made for.

    Args:
        filter_resistance: of its input, in series form.
        filter_reactance: of its input, in series form.
        antenna_load: resistance of the line, above zero.

    Source: elementary, reflection coefficient and standing-wave ratio
    """
    far = ((filter_resistance + antenna_load) ** 2 + filter_reactance**2) ** 0.5
    near = ((filter_resistance - antenna_load) ** 2 + filter_reactance**2) ** 0.5
    ratio: float = (far + near) / (far - near)
    return ratio


@one_by_one
def filter_strain(
    low_pass: FilterParts,
    filter_coil_q: Ratio,
    antenna_load: Ohm,
    carrier_frequency: Hertz,
    output_power: Watt,
    crest_factor: Ratio,
    standing_wave_ratio: Ratio,
) -> Strain:
    """Highest voltage and current of each part of a filter at the crest, the power in the load being the same.

    Args:
        low_pass: the filter.
        filter_coil_q: unloaded, of its coils.
        antenna_load: resistance of the line.
        carrier_frequency: at which.
        output_power: of the carrier, into the load.
        crest_factor: crest of the envelope over its mean height.
        standing_wave_ratio: of the loads among which the worst is looked for; 1 for a matched line.

    Source: elementary, chain matrices of two-ports
    """
    whole = low_pass.ladder(filter_coil_q)
    voltages, currents = _worst(whole, antenna_load, carrier_frequency, output_power, standing_wave_ratio)
    kinds = np.array([element.kind for element in whole.elements])
    on_capacitors = iter(crest_factor * voltages[kinds == "shunt capacitor"])
    in_coils = iter(crest_factor * currents[kinds == "series coil"] / 2**0.5)
    return Strain(
        *(float(next(on_capacitors)) if size else 0.0 for size in low_pass.capacitors),
        *(float(next(in_coils)) if size else 0.0 for size in low_pass.coils),
    )


@one_by_one
def pi_circle_behind_filter(  # noqa: PLR0913, PLR0917 - a whole network and its filter
    low_pass: FilterParts,
    filter_coil_q: Ratio,
    carrier_frequency: Hertz,
    tank_coil: Henry,
    coil_q: Ratio,
    plate_load: Ohm,
    output_coil: Henry,
    antenna_load: Ohm,
    standing_wave_ratio: Ratio,
) -> Circle:
    """Settings of a pi or pi-L network for every load of one standing-wave ratio behind its filter.

    Args:
        low_pass: the filter.
        filter_coil_q: unloaded, of its coils.
        carrier_frequency: at which.
        tank_coil: inductance in use.
        coil_q: unloaded, of tank coil and output coil.
        plate_load: wanted by the tube.
        output_coil: of a pi-L network; zero without.
        antenna_load: at the middle of the circle.
        standing_wave_ratio: 1 or more.

    Returns:
        The settings, and the highest resistance across the load capacitor that power at the antenna would go into,
        loss behind the capacitor counted in.

    Source: elementary, the exact match of every load on the circle
    """
    whole = low_pass.ladder(filter_coil_q)
    seen, through = _circle(whole, antenna_load, carrier_frequency, standing_wave_ratio)
    resistance, reactance = behind_output_coil(carrier_frequency, coil_q, output_coil, seen.real[1:], seen.imag[1:])
    settings = pi_settings(carrier_frequency, tank_coil, coil_q, plate_load, resistance, reactance)
    across = (resistance**2 + reactance**2) / (seen.real * through)[1:]
    return Circle(*ends_of_settings(*settings), float(np.max(across)))


@one_by_one
def link_circle_behind_filter(  # noqa: PLR0913, PLR0917 - a whole network and its filter
    low_pass: FilterParts,
    filter_coil_q: Ratio,
    carrier_frequency: Hertz,
    tank_coil: Henry,
    link_coil: Henry,
    coupling: Ratio,
    coil_q: Ratio,
    plate_load: Ohm,
    antenna_load: Ohm,
    standing_wave_ratio: Ratio,
) -> Circle:
    """Settings of a tank and its tuned link for every load of one standing-wave ratio behind its filter.

    Args:
        low_pass: the filter.
        filter_coil_q: unloaded, of its coils.
        carrier_frequency: at which.
        tank_coil: inductance in use.
        link_coil: inductance.
        coupling: of the two coils, 0 to 1.
        coil_q: unloaded, of tank coil and link.
        plate_load: wanted by the tube.
        antenna_load: at the middle of the circle.
        standing_wave_ratio: 1 or more.

    Returns:
        The settings, and the lowest resistance in series with the link that power at the antenna would go into,
        loss in the filter counted in.

    Source: elementary, the exact match of every load on the circle
    """
    whole = low_pass.ladder(filter_coil_q)
    seen, through = _circle(whole, antenna_load, carrier_frequency, standing_wave_ratio)
    link = (tank_coil, link_coil, coupling, coil_q, plate_load)
    settings = link_settings(carrier_frequency, *link, seen.real, seen.imag)
    ends = ends_of_settings(settings.tuning[1:], settings.load[1:])
    return Circle(*ends, float(np.min((seen.real * through)[1:])))


def _circle(
    network: Ladder, antenna_load: Ohm, carrier_frequency: Hertz, standing_wave_ratio: Ratio
) -> tuple[Any, Any]:
    """What a filter shows for the load at the middle of the circle, then for all round it, and the share it passes."""
    resistance, reactance = mismatched_loads(antenna_load, standing_wave_ratio, CIRCLE_POINTS)
    loads = np.append(antenna_load, resistance + 1j * reactance)
    frequency = np.full(loads.size, carrier_frequency)
    return network.input_impedance(frequency, loads), network.efficiency(frequency, loads)


def filter_voltage(
    first_voltage: Volt, second_voltage: Volt, third_voltage: Volt, fourth_voltage: Volt, fifth_voltage: Volt
) -> Volt:
    """Highest of the voltages on the capacitors of a filter.

    Args:
        first_voltage: peak, on the first capacitor.
        second_voltage: on the second; zero where there is none, as for all others.
        third_voltage: on the third.
        fourth_voltage: on the fourth.
        fifth_voltage: on the fifth.

    Source: elementary, the highest of five
    """
    return max(first_voltage, second_voltage, third_voltage, fourth_voltage, fifth_voltage)


def _worst(
    network: Ladder, antenna_load: Ohm, carrier_frequency: Hertz, output_power: Watt, standing_wave_ratio: Ratio
) -> tuple[Any, Any]:
    """Highest peak voltage and current of each element round the circle, shape (n_elements,) each."""
    resistance, reactance = mismatched_loads(antenna_load, standing_wave_ratio, CIRCLE_POINTS)
    found = network.driven(np.full(CIRCLE_POINTS, carrier_frequency), resistance + 1j * reactance, 1.0)
    scale = (output_power / found.output_power) ** 0.5
    return np.max(np.abs(found.branch_voltage) * scale, axis=1), np.max(np.abs(found.branch_current) * scale, axis=1)
