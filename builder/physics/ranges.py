"""How far networks as built can be tuned, up to where their capacitors meet their stops; loss is neglected."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, pi
from typing import Annotated, Any, NamedTuple

import numpy as np

from .ladder import FilterParts
from .matching import behind_output_coil, link_settings, pi_settings
from .units import Farad, Henry, Hertz, Ohm, Ratio, Unit, one_by_one, require

SPAN = 30.0
"""Frequencies are tried from the carrier over this to the carrier times this."""
GRID_POINTS = 3001
"""Frequencies tried at first, 0.23 per cent apart."""
FINE_POINTS = 65
"""Frequencies tried between two neighbours, again and again, to find an end."""
ROUNDS = 5
"""How often; the last step is far below a millionth."""


class TuningRange(NamedTuple):
    """Lowest and highest frequency that can be tuned."""

    lowest: float
    highest: float


@one_by_one
def pi_range(  # noqa: PLR0913, PLR0917 - a whole network and its filter
    carrier_frequency: Hertz,
    tank_coil: Henry,
    output_coil: Henry,
    plate_load: Ohm,
    antenna_load: Ohm,
    tuning_least: Farad,
    tuning_most: Farad,
    load_least: Farad,
    load_most: Farad,
    low_pass: FilterParts,
) -> Annotated[TuningRange, Unit("Hz", "frequency")]:
    """Frequencies round the carrier at which a pi or pi-L network and its filter match within their capacitors' range.

    Args:
        carrier_frequency: from which the ends are looked for.
        tank_coil: inductance in use.
        output_coil: of a pi-L network; zero without.
        plate_load: wanted by the tube.
        antenna_load: resistance.
        tuning_least: tube, strays and tuning capacitor at its least.
        tuning_most: the same at its most.
        load_least: load capacitor at its least.
        load_most: the same at its most.
        low_pass: the filter.

    Source: elementary, the exact match of every frequency
    """
    whole = low_pass.ladder()

    def fits(frequency: Any) -> Any:
        seen = whole.input_impedance(frequency, antenna_load)
        load = behind_output_coil(frequency, inf, output_coil, seen.real, seen.imag)
        tuning, loading = pi_settings(frequency, tank_coil, inf, plate_load, *load)
        return _within(tuning, tuning_least, tuning_most) & _within(loading, load_least, load_most)

    return _range(fits, carrier_frequency)


@one_by_one
def link_range(  # noqa: PLR0913, PLR0917 - a whole network and its filter
    carrier_frequency: Hertz,
    tank_coil: Henry,
    link_coil: Henry,
    coupling: Ratio,
    plate_load: Ohm,
    antenna_load: Ohm,
    tuning_least: Farad,
    tuning_most: Farad,
    load_least: Farad,
    load_most: Farad,
    low_pass: FilterParts,
) -> Annotated[TuningRange, Unit("Hz", "frequency")]:
    """Frequencies round the carrier at which a tank, its tuned link and its filter match within the capacitors' range.

    Args:
        carrier_frequency: from which the ends are looked for.
        tank_coil: inductance in use.
        link_coil: inductance.
        coupling: of the two coils, 0 to 1.
        plate_load: wanted by the tube.
        antenna_load: resistance.
        tuning_least: tube, strays and tuning capacitor at its least.
        tuning_most: the same at its most.
        load_least: capacitor in series with the link at its least.
        load_most: the same at its most.
        low_pass: the filter.

    Source: elementary, the exact match of every frequency
    """
    whole = low_pass.ladder()
    link = (tank_coil, link_coil, coupling, inf, plate_load)

    def fits(frequency: Any) -> Any:
        here: Any = np.append(carrier_frequency, frequency)
        seen = whole.input_impedance(here, antenna_load)
        tuning, loading = (ends[1:] for ends in link_settings(here, *link, seen.real, seen.imag))
        return _within(tuning, tuning_least, tuning_most) & _within(loading, load_least, load_most)

    return _range(fits, carrier_frequency)


@one_by_one
def fixed_link_range(  # noqa: PLR0913, PLR0917 - a whole network and its filter
    carrier_frequency: Hertz,
    tank_coil: Henry,
    link_coil: Henry,
    coupling: Ratio,
    antenna_load: Ohm,
    tuning_least: Farad,
    tuning_most: Farad,
    low_pass: FilterParts,
) -> Annotated[TuningRange, Unit("Hz", "frequency")]:
    """Frequencies round the carrier at which a tank comes to resonance, its link having no capacitor.

    Args:
        carrier_frequency: from which the ends are looked for.
        tank_coil: inductance in use.
        link_coil: inductance.
        coupling: of the two coils, 0 to 1.
        antenna_load: resistance.
        tuning_least: tube, strays and tuning capacitor at its least.
        tuning_most: the same at its most.
        low_pass: the filter.

    Source: elementary, resonance at every frequency
    """
    whole = low_pass.ladder()

    def branch(frequency: Any) -> Any:
        angular = 2 * pi * frequency
        mutual = (angular * coupling) ** 2 * tank_coil * link_coil
        seen = whole.input_impedance(frequency, antenna_load) + 1j * angular * link_coil
        return 1j * angular * tank_coil + mutual / seen

    return _resonant(branch, carrier_frequency, tuning_least, tuning_most)


@one_by_one
def l_range(
    carrier_frequency: Hertz,
    tank_coil: Henry,
    antenna_load: Ohm,
    tuning_least: Farad,
    tuning_most: Farad,
    low_pass: FilterParts,
) -> Annotated[TuningRange, Unit("Hz", "frequency")]:
    """Frequencies round the carrier at which an L network and its filter come to resonance.

    Args:
        carrier_frequency: from which the ends are looked for.
        tank_coil: inductance in use.
        antenna_load: resistance.
        tuning_least: tube, strays and tuning capacitor at its least.
        tuning_most: the same at its most.
        low_pass: the filter.

    Source: elementary, resonance at every frequency
    """
    whole = low_pass.ladder()

    def branch(frequency: Any) -> Any:
        return 2j * pi * frequency * tank_coil + whole.input_impedance(frequency, antenna_load)

    return _resonant(branch, carrier_frequency, tuning_least, tuning_most)


def _resonant(
    branch: Callable[[Any], Any], carrier_frequency: Hertz, tuning_least: Farad, tuning_most: Farad
) -> TuningRange:
    """Where the capacitance that tunes a coil branch to resonance lies within its ends."""

    def fits(frequency: Any) -> Any:
        needed = -(1 / branch(frequency)).imag / (2 * pi * frequency)
        return _within(needed, tuning_least, tuning_most)

    return _range(fits, carrier_frequency)


def _within(found: Any, least: float, most: float) -> Any:
    """Which of these lie between two ends; what is not a number does not."""
    return (found >= least) & (found <= most)


def _range(fits: Callable[[Any], Any], carrier_frequency: Hertz) -> TuningRange:
    """How far down and up everything fits, from the carrier or from the frequency nearest to it that fits."""
    tried = carrier_frequency * np.geomspace(1 / SPAN, SPAN, GRID_POINTS)
    good = np.flatnonzero(fits(tried))
    require(good.size > 0, "there is no frequency that the capacitors can be set for")
    start = float(tried[good[np.argmin(np.abs(good - GRID_POINTS // 2))]])
    return TuningRange(_end(fits, start, 1 / SPAN), _end(fits, start, SPAN))


def _end(fits: Callable[[Any], Any], start: Hertz, far: Ratio) -> float:
    """Last frequency on the way from a start at which everything fits."""
    inside, outside, points = start, start * far, GRID_POINTS // 2
    for _round in range(ROUNDS + 1):
        tried = np.geomspace(inside, outside, points)
        good = fits(tried)
        good[0] = True
        if good.all():
            return float(tried[-1])
        at = int(np.argmin(good))
        inside, outside, points = float(tried[at - 1]), float(tried[at]), FINE_POINTS
    return inside
