"""The circuit of a supply as the simulation sees it: what the filter's steps are, and which values come out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from math import inf, isfinite
from typing import Any, NamedTuple, cast

from builder.physics import supply_simulation as simulation
from builder.physics.supply_circuit import Rectifier, Section, SupplyCircuit, Swing
from builder.quantity import Quantity

from .part import Part
from .thing import Formula, solution

PLACES = ("first", "second", "third")
"""Sections of a filter, in the order in which the current meets them."""


def slots(filter_steps: tuple[Any, ...], parts: Mapping[str, Part]) -> Iterator[tuple[str, Quantity]]:
    """Values of every section, nothing where a section lacks a part; what is not recorded is left out.

    Args:
        filter_steps: as the rig file lists them.
        parts: of the rig.
    """
    made = sections(filter_steps)
    for place, (series, shunts) in zip(PLACES, (*made, *(((None, ()),) * len(PLACES))), strict=False):
        yield from _series(place, series, parts)
        yield from _shunt(place, shunts, parts)


def sections(filter_steps: tuple[Any, ...]) -> tuple[tuple[Any, tuple[Any, ...]], ...]:
    """Steps gathered into sections: a choke or resistor, or neither, and the capacitors behind it."""
    found: list[tuple[Any, tuple[Any, ...]]] = []
    for step in filter_steps:
        if step.capacitor is None:
            found.append((step, ()))
        elif found:
            found[-1] = (found[-1][0], (*found[-1][1], step))
        else:
            found.append((None, (step,)))
    return tuple(found)


def _series(place: str, step: Any, parts: Mapping[str, Part]) -> Iterator[tuple[str, Quantity]]:
    choke = parts[step.choke] if step and step.choke else None
    resistor = parts[step.resistor] if step and step.resistor else None
    resistance = resistor.value if resistor else choke.resistance if choke else Quantity(0.0, "ohm")
    inductance = choke.value if choke else Quantity(0.0, "H")
    if inductance:
        yield f"{place}_choke", inductance
    if resistance:
        yield f"{place}_series_resistance", Quantity(resistance.value, "ohm")


def _shunt(place: str, steps: tuple[Any, ...], parts: Mapping[str, Part]) -> Iterator[tuple[str, Quantity]]:
    units = [(parts[step.capacitor].value, step.string) for step in steps]
    if all(value for value, _string in units):
        total = sum(value.value / string for value, string in units if value)
        yield f"{place}_capacitor", Quantity(total, "F")


class Operation(NamedTuple):
    """What the simulation says of a supply under load."""

    voltage: float
    ripple: float
    rectifier_peak: float
    rectifier_effective: float
    winding: float
    capacitor: float


class Start(NamedTuple):
    """What the simulation says of switching a supply on without load."""

    surge: float
    peak: float


RESULTS = {
    "voltage": "simulated_voltage", "ripple": "simulated_ripple", "rectifier_peak": "rectifier_peak_current",
    "rectifier_effective": "rectifier_effective_current", "winding": "simulated_secondary_current",
    "capacitor": "capacitor_ripple_current",
}  # fmt: skip
AT_LIGHT_LOAD = {"voltage": "light_load_voltage"}
AT_START = {"surge": "start_surge", "peak": "start_peak_voltage"}
NAMES = tuple(f"{place}_{what}" for place in PLACES for what in ("choke", "series_resistance", "capacitor"))
"""Values of the filter, in the order of the functions below."""
SWINGING = ("choke_current_rating", "swinging_inductance", "swinging_current")


@cache
def simulated(rectifier: str) -> tuple[Formula, ...]:
    """Origins of what the simulation of one circuit gives.

    Args:
        rectifier: circuit, as the rig file names it.
    """
    steady, start = _steady(rectifier), _start(rectifier)
    return (
        *solution(steady, RESULTS),
        *solution(steady, AT_LIGHT_LOAD, constant_load="light_load"),
        *solution(start, AT_START),
    )


def _steady(rectifier: str) -> Callable[..., Operation]:
    def steady(  # noqa: PLR0913, PLR0917 - every part of the circuit is a value of its own
        driving_voltage: float, mains_frequency: float, winding_resistance: float, rectifier_drop: float,
        rectifier_drop_current: float, first_choke: float, first_series_resistance: float, first_capacitor: float,
        second_choke: float, second_series_resistance: float, second_capacitor: float, third_choke: float,
        third_series_resistance: float, third_capacitor: float, choke_current_rating: float,
        swinging_inductance: float, swinging_current: float, passive_load: float, constant_load: float,
    ) -> Operation:  # fmt: skip
        """What the circuit settles to under its load.

        Source: elementary, the circuit's own differential equations; ngspice agrees in the tests
        """
        given = (
            first_choke, first_series_resistance, first_capacitor, second_choke, second_series_resistance,
            second_capacitor, third_choke, third_series_resistance, third_capacitor,
        )  # fmt: skip
        swing = (choke_current_rating, swinging_inductance, swinging_current)
        source = (driving_voltage, mains_frequency, winding_resistance, rectifier_drop, rectifier_drop_current)
        return operation(circuit(rectifier, source, given, swing, passive_load), constant_load)

    return steady


def _start(rectifier: str) -> Callable[..., Start]:
    def start(  # noqa: PLR0913, PLR0917 - every part of the circuit is a value of its own
        driving_voltage: float, mains_frequency: float, mains_high: float, winding_resistance: float,
        rectifier_drop: float, rectifier_drop_current: float, first_choke: float, first_series_resistance: float,
        first_capacitor: float, second_choke: float, second_series_resistance: float, second_capacitor: float,
        third_choke: float, third_series_resistance: float, third_capacitor: float, choke_current_rating: float,
        swinging_inductance: float, swinging_current: float, passive_load: float,
    ) -> Start:  # fmt: skip
        """What happens when the circuit is switched on at the worst moment, the line high, only the bleeder drawing.

        Source: elementary, the circuit's own differential equations; ngspice agrees in the tests
        """
        given = (
            first_choke, first_series_resistance, first_capacitor, second_choke, second_series_resistance,
            second_capacitor, third_choke, third_series_resistance, third_capacitor,
        )  # fmt: skip
        swing = (choke_current_rating, swinging_inductance, swinging_current)
        high = driving_voltage * mains_high
        source = (high, mains_frequency, winding_resistance, rectifier_drop, rectifier_drop_current)
        return switched_on(circuit(rectifier, source, given, swing, passive_load))

    return start


def circuit(
    rectifier: str,
    source: tuple[float, ...],
    given: tuple[float, ...],
    swing: tuple[float, float, float],
    passive_load: float,
) -> SupplyCircuit:
    """A supply for the simulation.

    Args:
        rectifier: circuit, as the rig file names it.
        source: voltage, frequency, resistance, drop of the rectifier, current at which a vacuum tube has that drop.
        given: choke, series resistance and capacitor of each section.
        swing: of the first choke: full current, light-load inductance and its current; zero where it does not swing.
        passive_load: resistance across the output that is always there.
    """
    voltage, frequency, resistance, drop, drop_current = source
    perveance = drop_current / drop**1.5 if drop_current and drop else 0.0
    rows = [given[at : at + 3] for at in range(0, len(given), 3)]
    made = [Section(choke, series, capacitor) for choke, series, capacitor in rows if choke or series or capacitor]
    if rectifier == "doubler" and made:
        made[0] = replace(made[0], capacitance=2 * made[0].capacitance)
    full, light, light_current = swing
    if light and made:
        moved = Swing(light, light_current, made[0].choke, full)
        made[0] = replace(made[0], swing=moved)
    constant = 0.0 if perveance else drop
    kind = cast(Rectifier, rectifier)
    return SupplyCircuit(
        kind, voltage, frequency, resistance, constant, tuple(made), perveance=perveance, bleeder=passive_load
    )


def operation(found: SupplyCircuit, current: float) -> Operation:
    """The steady state of a circuit in plain numbers.

    Raises:
        ValueError: the circuit does not settle.
    """
    state = simulation.steady_state(found, current)
    made = Operation(
        float(state.voltage), float(state.ripple), float(state.rectifier_peak), float(state.rectifier_effective),
        float(state.source_effective), float(state.capacitor_ripple[0]),
    )  # fmt: skip
    if not all(isfinite(item) for item in made):
        raise ValueError("the supply does not settle under this load")
    return made


LOOK = 0.4
"""Seconds after switching on that are looked at; the first swing of any filter worth the name is over by then."""


def switched_on(found: SupplyCircuit) -> Start:
    """Highest current and voltage after switching on at the worst moment of the line."""
    run = simulation.switch_on(found, inf, LOOK)
    return Start(float(run.surge), float(max(run.voltage_peaks)))
