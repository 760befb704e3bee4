"""How far output networks weaken the harmonics of a tube: the whole ladder, solved.

That alone compares equal currents from the tube, a cautious bound. Where the pulse of plate current is known, its own
second and third harmonic are smaller than its fundamental, and by so much they lie lower at the antenna.
"""

from __future__ import annotations

from typing import Annotated, NamedTuple

import numpy as np

from .ladder import FilterParts, Ladder
from .units import Count, Decibel, Farad, Henry, Hertz, Ohm, Ratio, Unit, one_by_one

LEAST_SHARE = 1e-4
"""Smallest share of a harmonic that is reckoned with, 80 decibels down."""
MOST_TOLD = 80.0
"""Level beyond which strays and leakage of a real cabinet rule, so that no more is claimed; source: common-practice."""


class Harmonics(NamedTuple):
    """Levels by which harmonics are weakened against the carrier for equal currents from the tube."""

    second: float
    third: float
    fourth: float
    fifth: float
    sixth: float
    seventh: float
    eighth: float
    ninth: float
    tenth: float


def pi_harmonic_attenuation(
    harmonic: Count,
    tuning_capacitance: Farad,
    tank_coil: Henry,
    load_capacitor: Farad,
    antenna_load: Ohm,
    carrier_frequency: Hertz,
) -> Decibel:
    """Level by which a pi network weakens a harmonic against the carrier, equal currents from the tube.

    Args:
        harmonic: 2 for the second.
        tuning_capacitance: tube and capacitor together.
        tank_coil: inductance, loss neglected.
        load_capacitor: as set.
        antenna_load: resistance, the same at the harmonic.
        carrier_frequency: of the fundamental.

    Source: arrl-network, harmonic output falls as loaded Q rises
    """
    frequency = carrier_frequency * np.array([1.0, harmonic])
    ladder = Ladder.pi(tuning_capacitance, tank_coil, load_capacitor)
    (first, other) = np.abs(ladder.driven(frequency, antenna_load, 1.0).voltage[-1])
    return float(20 * np.log10(first / other))


@one_by_one
def pi_harmonics(  # noqa: PLR0913, PLR0917 - a whole network and its filter
    tuning_capacitance: Farad,
    tank_coil: Henry,
    load_capacitor: Farad,
    output_coil: Henry,
    coil_q: Ratio,
    antenna_load: Ohm,
    carrier_frequency: Hertz,
    low_pass: FilterParts,
) -> Annotated[Harmonics, Unit("dB", "level")]:
    """Weakening of the harmonics by a pi, pi-L or L network and the filter behind it, told up to 80.

    Args:
        tuning_capacitance: across the plate end, tube and strays included.
        tank_coil: inductance in use.
        load_capacitor: as set; zero in an L network.
        output_coil: of a pi-L network; zero without.
        coil_q: unloaded, of both coils, the same at all frequencies.
        antenna_load: resistance, the same at the harmonics.
        carrier_frequency: of the fundamental.
        low_pass: the filter.

    Source: elementary, chain matrices of two-ports
    """
    network = Ladder.output_network(tuning_capacitance, tank_coil, load_capacitor, output_coil, coil_q)
    behind = low_pass.ladder()
    whole = network.followed_by(behind)
    return _told(whole, carrier_frequency, antenna_load)


@one_by_one
def link_harmonics(  # noqa: PLR0913, PLR0917 - a whole network and its filter
    tuning_capacitance: Farad,
    tank_coil: Henry,
    link_coil: Henry,
    link_capacitor: Farad,
    coupling: Ratio,
    coil_q: Ratio,
    antenna_load: Ohm,
    carrier_frequency: Hertz,
    low_pass: FilterParts,
) -> Annotated[Harmonics, Unit("dB", "level")]:
    """Weakening of the harmonics by a tank with a link and the filter behind it, told up to 80.

    Args:
        tuning_capacitance: across the tank, tube and strays included.
        tank_coil: inductance.
        link_coil: inductance.
        link_capacitor: in series with the link; zero without.
        coupling: of the two coils, 0 to 1.
        coil_q: unloaded, of both coils, the same at all frequencies.
        antenna_load: resistance, the same at the harmonics.
        carrier_frequency: of the fundamental.
        low_pass: the filter.

    Source: elementary, chain matrices of two-ports
    """
    network = Ladder.linked_tank(tuning_capacitance, tank_coil, link_coil, coupling, coil_q, link_capacitor)
    behind = low_pass.ladder()
    whole = network.followed_by(behind)
    return _told(whole, carrier_frequency, antenna_load)


def of_the_pulse(equal_currents: Decibel, current_share: Ratio) -> Decibel:
    """Level by which a harmonic lies below the carrier, the harmonic content of the pulse counted in, told up to 80.

    Args:
        equal_currents: by which the network weakens it for equal currents from the tube.
        current_share: harmonic of plate current over its fundamental, of either sign.

    Source: elementary, levels add
    """
    level: float = min(equal_currents - 20 * np.log10(max(abs(current_share), LEAST_SHARE)), MOST_TOLD)
    return level


def _told(network: Ladder, carrier_frequency: Hertz, antenna_load: Ohm) -> Harmonics:
    levels = network.harmonic_attenuation(carrier_frequency, antenna_load)[1:]
    return Harmonics(*(min(float(level), MOST_TOLD) for level in levels))
