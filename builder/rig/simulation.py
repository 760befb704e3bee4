"""The circuit of a supply as the simulation sees it: what the filter's steps are, and which values come out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from math import inf, isfinite
from typing import Any, NamedTuple, cast

from builder.physics import supply_simulation as simulation
from builder.physics.supply_circuit import Rectifier, Section, SupplyCircuit, Swing
from builder.physics.units import Ampere, Farad, Henry, Hertz, Ohm, Ratio, Volt, one_by_one
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


class SupplyValues(NamedTuple):
    """Values of a supply that make up its circuit.

    Args:
        driving_voltage: effective, of the part of the secondary that conducts.
        mains_frequency: of the line.
        winding_resistance: seen from there.
        rectifier_drop: in the path of the current.
        rectifier_drop_current: at which a vacuum rectifier has that drop; zero where it does not change.
        first_choke: at its full current; zero for a part that is not there, as for all of the filter.
        first_series_resistance: of that choke, or a resistor in its place.
        first_capacitor: behind it.
        second_choke: of the second section.
        second_series_resistance: of the second section.
        second_capacitor: of the second section.
        third_choke: of the third section.
        third_series_resistance: of the third section.
        third_capacitor: of the third section.
        choke_current_rating: full current of a swinging choke.
        swinging_inductance: of the first choke at light load; zero where it does not swing.
        swinging_current: at which it has that.
        passive_load: resistance across the output that is always there.
    """

    driving_voltage: Volt
    mains_frequency: Hertz
    winding_resistance: Ohm
    rectifier_drop: Volt
    rectifier_drop_current: Ampere
    first_choke: Henry
    first_series_resistance: Ohm
    first_capacitor: Farad
    second_choke: Henry
    second_series_resistance: Ohm
    second_capacitor: Farad
    third_choke: Henry
    third_series_resistance: Ohm
    third_capacitor: Farad
    choke_current_rating: Ampere
    swinging_inductance: Henry
    swinging_current: Ampere
    passive_load: Ohm

    def circuit(self, rectifier: str) -> SupplyCircuit:
        """The supply for the simulation.

        Args:
            rectifier: circuit, as the rig file names it.
        """
        drop, at = self.rectifier_drop, self.rectifier_drop_current
        perveance = at / drop**1.5 if at and drop else 0.0
        return SupplyCircuit(
            cast(Rectifier, rectifier), self.driving_voltage, self.mains_frequency, self.winding_resistance,
            0.0 if perveance else drop, self._sections(rectifier), perveance=perveance, bleeder=self.passive_load,
        )  # fmt: skip

    def _sections(self, rectifier: str) -> tuple[Section, ...]:
        first = self._fields.index("first_choke")
        rows = [self[at : at + 3] for at in range(first, first + 3 * len(PLACES), 3)]
        made = [Section(choke, series, shunt) for choke, series, shunt in rows if choke or series or shunt]
        if rectifier == "doubler" and made:
            made[0] = replace(made[0], capacitance=2 * made[0].capacitance)
        if self.swinging_inductance and made:
            light, current = self.swinging_inductance, self.swinging_current
            made[0] = replace(made[0], swing=Swing(light, current, self.first_choke, self.choke_current_rating))
        return tuple(made)


RESULTS = {
    "voltage": "simulated_voltage", "ripple": "simulated_ripple", "rectifier_peak": "rectifier_peak_current",
    "rectifier_effective": "rectifier_effective_current", "winding": "simulated_secondary_current",
    "capacitor": "capacitor_ripple_current",
}  # fmt: skip
AT_LIGHT_LOAD = {"voltage": "light_load_voltage"}
AT_START = {"surge": "start_surge", "peak": "start_peak_voltage"}


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
    @one_by_one
    def steady(supply: SupplyValues, constant_load: Ampere) -> Operation:
        """What the circuit settles to under its load.

        Args:
            supply: the circuit.
            constant_load: current beside its passive load.

        Source: elementary, the circuit's own differential equations; ngspice agrees in the tests
        """
        return operation(supply.circuit(rectifier), constant_load)

    return steady


def _start(rectifier: str) -> Callable[..., Start]:
    @one_by_one
    def start(supply: SupplyValues, mains_high: Ratio) -> Start:
        """What happens when the circuit is switched on at the worst moment, the line high, only the bleeder drawing.

        Args:
            supply: the circuit.
            mains_high: highest over nominal line voltage.

        Source: elementary, the circuit's own differential equations; ngspice agrees in the tests
        """
        high = supply._replace(driving_voltage=supply.driving_voltage * mains_high)
        return switched_on(high.circuit(rectifier))

    return start


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
