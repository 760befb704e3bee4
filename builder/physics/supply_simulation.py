"""What a supply does, exact between the switchings of its rectifier: at rest, when switched on, with speech, and off.

Loads are currents that do not depend on the voltage, as tube stages draw them, or resistances, or both.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from math import inf, isfinite, pi
from typing import Any

import numpy as np

from .supply_circuit import SupplyCircuit
from .supply_network import HALF_CYCLE
from .supply_record import Measured, Seen
from .supply_walk import Course, Machine
from .units import Ampere, Ohm, Ratio, Second, Volt, Watt, require

POINTS = 257
"""Points of the waveforms over one mains period."""
PHASES = 4
"""Moments of switching on that are tried for the worst one, over one half cycle."""
SETTLED = 1e-5
"""Last step of Newton's method, relative to peak voltage and usual current; what is left is about its square."""
NEWTON_ROUNDS, PLAIN_PERIODS, ATTEMPTS = 25, 40, 6
LEAST_SHARE = 1e-6
"""Share of its charge that the first capacitor loses in each half cycle at no load, for want of a perfect insulator."""
SETTLING = 0.5
"""Time over which the chokes ring out at switch-off, followed in steps of a half cycle."""
DISCHARGE_SPANS = 8
OVERLOAD = "the supply cannot carry this load"
_WINDINGS = {"full wave": (2, 0.5**0.5, 2), "bridge": (2, 1.0, 1), "half wave": (1, 1.0, 1), "doubler": (2, 1.0, 1)}
"""Legs in turn, effective current of a winding over that of all legs together, and windings of the secondary."""


@dataclass(frozen=True)
class Steady:
    """A supply at rest under a load; every field is an array over the loads where regulation gives it.

    Args:
        voltage: mean, at the load.
        ripple_peak_to_peak: at the load.
        ripple: effective over mean.
        rectifier_peak: highest current of a leg.
        rectifier_mean: of a leg.
        rectifier_effective: of a leg.
        source_effective: in the winding; of a centre-tapped one in each half.
        source_power: mean, out of the ideal source behind the resistance of the transformer.
        volt_amperes: of the whole secondary.
        capacitor_ripple: effective current of each capacitor; a doubler's two count as one.
        capacitor_peak: highest voltage of each.
        choke_least: lowest current of each choke; of the one at the input zero below critical inductance.
        choke_peak: highest.
        glow_least: lowest current of the glow tubes; zero without them.
        glow_peak: highest.
        time: of the waveforms, over one mains period from a zero of the line.
        output_voltage: at the load.
        source_current: through whichever leg conducts.
    """

    voltage: Volt
    ripple_peak_to_peak: Volt
    ripple: Ratio
    rectifier_peak: Ampere
    rectifier_mean: Ampere
    rectifier_effective: Ampere
    source_effective: Ampere
    source_power: Watt
    volt_amperes: Watt
    capacitor_ripple: Any
    capacitor_peak: Any
    choke_least: Any
    choke_peak: Any
    glow_least: Ampere
    glow_peak: Ampere
    time: Any
    output_voltage: Any
    source_current: Any


@dataclass(frozen=True)
class Transient:
    """A supply that is not at rest. Times lie closer round the switchings of the rectifier.

    Args:
        time: from the start; shape (points,).
        output: voltage at the load.
        source_current: through whichever leg conducts.
        voltages: of each capacitor, shape (capacitors, points); a doubler's two come first.
        choke_currents: of each choke, shape (chokes, points).
        phase: of the line at the start, an angle from its zero.
        surge: highest of the source current.
        output_peak: highest of the output.
        output_least: lowest of it.
        voltage_peaks: highest of each capacitor.
        choke_peaks: highest of each choke.
    """

    time: Any
    output: Any
    source_current: Any
    voltages: Any
    choke_currents: Any
    phase: float
    surge: Ampere
    output_peak: Volt
    output_least: Volt
    voltage_peaks: Any
    choke_peaks: Any


def steady_state(circuit: SupplyCircuit, current: Ampere = 0.0, load: Ohm = inf) -> Steady:
    """A supply at rest under one load; ideal transformer behind its resistance.

    Args:
        circuit: the supply.
        current: that the load draws whatever the voltage.
        load: resistance beside it.

    Raises:
        ValueError: a negative load, or one that the supply cannot carry.

    Source: elementary, periodic solution of the linear equations between switchings
    """
    require(0 <= current < inf and load > 0, "a load is a current from zero up and a resistance above zero")
    machine = Machine(circuit, 1 / load)
    own = _settled(machine, current, _first_guess(circuit, current, 1 / load))
    require(own is not None, OVERLOAD)
    return _steady(machine, own, current)


def regulation(circuit: SupplyCircuit, currents: Ampere) -> Steady:
    """A supply at rest under many loads, each a current that does not depend on the voltage.

    Args:
        circuit: the supply.
        currents: of the loads; array.

    Raises:
        ValueError: a negative load, or one that the supply cannot carry.

    Source: elementary, periodic solution of the linear equations between switchings
    """
    sinks = np.asarray(currents, float)
    require(sinks.ndim == 1 and len(sinks) > 0, "regulation is found for a row of loads")
    require((sinks >= 0) & np.isfinite(sinks), "a load is a current from zero up")
    machine, found = Machine(circuit), []
    settled: list[Any] = []
    for sink in sinks:
        own = _settled(machine, sink, _next_guess(circuit, sinks, settled))
        require(own is not None, OVERLOAD)
        settled.append(own)
        found.append(_steady(machine, own, sink))
    columns: dict[str, Any] = {
        part.name: np.array([getattr(one, part.name) for one in found]) for part in fields(Steady)
    }
    return Steady(**columns)


def switch_on(
    circuit: SupplyCircuit, load: Ohm, duration: Second,
    phase: Ratio | None = None, step_resistance: Ohm = 0.0, step_time: Second = 0.0,
) -> Transient:  # fmt: skip
    """A supply that is switched on with everything discharged, into a load that draws as the output rises.

    Args:
        circuit: the supply.
        load: resistance; endless for none.
        duration: that is followed.
        phase: angle of the line from its zero at the moment of switching; the worst one where none is given.
        step_resistance: of a step start, as seen from the secondary, added to that of the source.
        step_time: after which it is bridged.

    Raises:
        ValueError: a load that is no resistance, or a time that does not pass.

    Source: elementary, linear equations between switchings from zero
    """
    require(load > 0 and step_resistance >= 0 and step_time >= 0, "resistances and times are zero or more")
    require(0 < duration < inf, "a transient lasts a time above zero")
    first = replace(circuit, source_resistance=circuit.source_resistance + step_resistance)
    machines = Machine(first if step_time else circuit, 1 / load), Machine(circuit, 1 / load)
    start = _worst_phase(machines[0]) if phase is None else phase
    course = Course.at_rest(machines[0], start)
    course.go(machines[0], min(step_time, duration))
    course.go(machines[1], duration - min(step_time, duration))
    return _transient(course, start)


def load_step(circuit: SupplyCircuit, times: Second, currents: Ampere, duration: Second) -> Transient:
    """A supply under a load that changes in steps, as with speech, from its steady state under the first one.

    Args:
        circuit: the supply.
        times: at which each current begins, the first of them zero; array.
        currents: that the load draws whatever the voltage; array of the same length.
        duration: that is followed.

    Raises:
        ValueError: steps that are not in order, a negative load, or one that the supply cannot carry.

    Source: elementary, linear equations between switchings
    """
    begin, sinks = np.asarray(times, float), np.asarray(currents, float)
    require(begin.ndim == 1 and begin.shape == sinks.shape and len(begin) > 0, "each step has a time and a current")
    require(begin[0] == 0 and (np.diff(begin) >= 0).all(), "the steps of a load are in order and begin at zero")
    require((sinks >= 0) & np.isfinite(sinks), "a load is a current from zero up")
    require(begin[-1] < duration < inf, "a transient lasts beyond its last step")
    machine = Machine(circuit)
    own = _settled(machine, sinks[0], _first_guess(circuit, sinks[0], 0.0))
    require(own is not None, OVERLOAD)
    course = Course(machine.state(own, sinks[0]), machine)
    for sink, spent in zip(sinks, np.diff([*begin, duration]), strict=True):
        course.state[-1] = sink
        course.go(machine, spent)
    return _transient(course, 0.0)


def discharge(
    circuit: SupplyCircuit, start_voltages: Volt, bleeder: Ohm, duration: Second, choke_currents: Ampere | None = None
) -> Transient:
    """A supply after it is switched off, with no load but its bleeder; the rectifier still closes the way of a choke.

    Args:
        circuit: the supply.
        start_voltages: of each capacitor, from the rectifier to the load; a doubler's two come first.
        bleeder: that remains; endless where it has failed.
        duration: that is followed.
        choke_currents: of each choke at the start; none where they are not given.

    Raises:
        ValueError: other than one voltage for each capacitor and one current for each choke, or no bleeder at all.

    Source: elementary, linear equations without a source
    """
    require(bleeder > 0, "a bleeder of no resistance is a short circuit")
    require(0 < duration < inf, "a transient lasts a time above zero")
    machine = Machine(replace(circuit, driving_voltage=0.0, bleeder=bleeder))
    volts, flowing = np.atleast_1d(start_voltages), np.atleast_1d(choke_currents if choke_currents is not None else [])
    require(len(volts) == len(machine.layout.capacitors), "each capacitor has a voltage to begin with")
    require(len(flowing) in {0, len(machine.layout.chokes)}, "each choke has a current to begin with")
    course = Course(machine.state(_own(machine, volts, flowing), 0.0), machine, resting=True)
    course.state[machine.size : machine.size + 2] = 0.0
    ringing = min(SETTLING, duration)
    course.go(machine, ringing)
    if duration > ringing:
        later = Machine(machine.circuit, tick=(duration - ringing) / DISCHARGE_SPANS / HALF_CYCLE)
        course.go(later, duration - ringing)
    return _transient(course, 0.0)


def _own(machine: Machine, volts: Any, flowing: Any) -> Any:
    """The state that is not given from outside, from voltages and currents."""
    own = np.zeros(machine.size)
    own[[machine.layout.place[name] for name in machine.layout.capacitors]] = volts
    for number, current in zip(machine.layout.chokes, flowing, strict=False):
        pieces = machine.circuit.sections[number].pieces
        piece = int(np.searchsorted(pieces.value[1:], current))
        own[machine.layout.place[f"flux {number}"]] = pieces.start[piece] + pieces.slope[piece] * (
            current - pieces.value[piece]
        )
    return own


def _first_guess(circuit: SupplyCircuit, sink: float, conductance: float) -> Any:
    """Something near the steady state, rather below than above it."""
    open_circuit = (2 / pi if circuit.choke_input else 0.9) * circuit.peak_voltage
    volt = max(open_circuit - circuit.drop - sink * circuit.charging_resistance, circuit.peak_voltage / 4)
    current = sink + volt * (conductance + 1 / circuit.bleeder)
    if circuit.regulator:
        current += max(volt - circuit.regulator.voltage, 0) / circuit.regulator.series_resistance
    if not current:
        volt = (1 - LEAST_SHARE) * (circuit.peak_voltage - circuit.drop)
    machine = Machine(circuit)
    return _own(machine, volt, [current] * len(machine.layout.chokes))


def _settled(machine: Machine, sink: float, guess: Any) -> Any:
    """State at a zero of the line that comes back after a period, by Newton's method; None where there is none."""
    scale = _scale(machine, sink)
    sink = max(sink, _leakage(machine))
    own = guess.copy()
    for _attempt in range(ATTEMPTS):
        for _round in range(NEWTON_ROUNDS):
            end, matrix = machine.period(own, sink)
            step = _newton(matrix, end - own)
            own = _possible(machine, own + step, end)
            if (np.abs(step) < SETTLED * scale).all():
                return own if _bears(machine, own, sink) else None
        for _period in range(PLAIN_PERIODS):
            own, _matrix = machine.period(own, sink)
    return None


def _next_guess(circuit: SupplyCircuit, sinks: Any, settled: list[Any]) -> Any:
    """In line with the last two loads, if there are so many."""
    done = len(settled)
    if done < 2 or sinks[done - 1] == sinks[done - 2]:
        return settled[-1] if done else _first_guess(circuit, sinks[0], 0.0)
    share = (sinks[done] - sinks[done - 1]) / (sinks[done - 1] - sinks[done - 2])
    return np.maximum(settled[-1] + share * (settled[-1] - settled[-2]), 0.0)


def _scale(machine: Machine, sink: float) -> Any:
    """What counts as large for each part of the state."""
    circuit, layout = machine.circuit, machine.layout
    usual = max(sink, circuit.peak_voltage * machine.conductance, circuit.peak_voltage / circuit.bleeder, 1e-3)
    scale = np.full(machine.size, circuit.peak_voltage)
    for number in layout.chokes:
        scale[layout.place[f"flux {number}"]] = circuit.sections[number].pieces.slope.max() * usual
    return scale


def _leakage(machine: Machine) -> Ampere:
    """Current of an unloaded supply, without which it would keep any voltage above the peak."""
    circuit = machine.circuit
    if machine.conductance or isfinite(circuit.bleeder):
        return 0.0
    return LEAST_SHARE * 2 * circuit.mains_frequency * circuit.sections[0].capacitance * circuit.peak_voltage


def _bears(machine: Machine, own: Any, sink: float) -> bool:
    """Whether a load does not draw more than can come: nothing is left the wrong way round."""
    volts = own[[machine.layout.place[name] for name in machine.layout.capacitors]]
    output = machine.walk(machine.mode_of(own)).seen[0] @ machine.state(own, sink)
    return bool(min(output, *volts) >= -SETTLED * machine.circuit.peak_voltage)


def _newton(matrix: Any, change: Any) -> Any:
    try:
        return np.linalg.solve(np.eye(len(matrix)) - matrix, change)
    except np.linalg.LinAlgError:
        return change


def _possible(machine: Machine, own: Any, end: Any) -> Any:
    """A guess within what a supply can do; where it is not, the plain iteration goes on."""
    places = [machine.layout.place[name] for name in machine.layout.capacitors]
    inside = (own[places] >= 0).all() and (own[places] <= 3 * machine.circuit.peak_voltage).all()
    if not inside or not np.isfinite(own).all():
        return end
    if machine.choke_input:
        own[0] = max(own[0], 0.0)
    return own


def _steady(machine: Machine, own: Any, sink: float) -> Steady:
    course = Course(machine.state(own, max(sink, _leakage(machine))), machine)
    course.go(machine, machine.period_ticks * machine.tick)
    seen, measured = Seen(course), Measured(course)
    mean, least, most = measured.mean, measured.least, measured.most
    effective = np.sqrt(np.maximum(measured.square, 0.0))
    legs, of_all, windings = _WINDINGS[machine.circuit.rectifier]
    return Steady(
        voltage=float(mean[0]),
        ripple_peak_to_peak=float(most[0] - least[0]),
        ripple=float(np.sqrt(max(measured.square[0] - mean[0] ** 2, 0.0)) / mean[0]),
        rectifier_peak=float(most[1]),
        rectifier_mean=float(mean[1] / legs),
        rectifier_effective=float(effective[1] / legs**0.5),
        source_effective=float(effective[1] * of_all),
        source_power=measured.power,
        volt_amperes=float(effective[1] * of_all * machine.circuit.driving_voltage * windings),
        capacitor_ripple=_as_one(seen, effective[seen.charging], lambda both: (both @ both / 2) ** 0.5),
        capacitor_peak=_as_one(seen, most[seen.volts], max),
        choke_least=_choke_least(machine, least[seen.chokes]),
        choke_peak=most[seen.chokes],
        glow_least=float(max(least[4], 0.0)),
        glow_peak=float(most[4]),
        **_waveforms(machine, seen),
    )


def _waveforms(machine: Machine, seen: Seen) -> dict[str, Any]:
    period = np.linspace(0, 1 / machine.circuit.mains_frequency, POINTS)
    within = period % (machine.period_ticks * machine.tick * (1 + 1e-12))
    output, current = (np.interp(within, seen.time, seen.values[:, column]) for column in (0, 1))
    return {"time": period, "output_voltage": output, "source_current": current}


def _choke_least(machine: Machine, least: Any) -> Any:
    """Behind the rectifier no current flows back; further on it may, where the filter rings."""
    return np.maximum(least, [0.0] + [-inf] * (len(least) - 1)) if machine.choke_input else least


def _as_one(seen: Seen, each: Any, together: Any) -> Any:
    """The two halves of a doubler count as one."""
    return np.array([together(each[:2]), *each[2:]]) if seen.doubler else each


def _worst_phase(machine: Machine) -> float:
    """Angle of the line at which the surge is highest; with capacitor input the crest, where it can be no higher."""
    if not machine.circuit.choke_input:
        return pi / 2
    first, surges = machine.circuit.sections[0], {}
    quarter = pi / 2 * (first.pieces.slope.max() * first.capacitance) ** 0.5
    for phase in np.arange(PHASES) * pi / PHASES:
        course = Course.at_rest(machine, phase)
        course.go(machine, quarter + 0.5 / machine.circuit.mains_frequency)
        surges[float(phase)] = Seen(course).values[:, 1].max()
    return max(surges, key=lambda phase: surges[phase])


def _transient(course: Course, phase: float) -> Transient:
    seen = Seen(course)
    values = seen.values
    return Transient(
        time=seen.time,
        output=values[:, 0],
        source_current=values[:, 1],
        voltages=values[:, seen.volts].T,
        choke_currents=values[:, seen.chokes].T,
        phase=phase,
        surge=float(values[:, 1].max()),
        output_peak=float(values[:, 0].max()),
        output_least=float(values[:, 0].min()),
        voltage_peaks=values[:, seen.volts].max(axis=0),
        choke_peaks=values[:, seen.chokes].max(axis=0),
    )
