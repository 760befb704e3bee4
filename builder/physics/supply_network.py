"""The equations of a supply between two switchings, and the matrices that carry it from one to the next.

Between two switchings every part is linear. The state is carried by the exponential of its matrix, so that steps of any
length are exact; a table of powers for three sizes of step finds a switching to a 262144th of a half cycle.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from math import pi
from typing import Any, NamedTuple

import numpy as np

from .supply_circuit import Regulator, SupplyCircuit

STEPS = 64
"""Steps in each level of the walk towards a switching: half a cycle, a 64th of it, and a 64th of that."""
SIZES = (STEPS**2, STEPS, 1)
HALF_CYCLE = STEPS**3
"""Half a mains cycle in ticks, the smallest steps."""
OFF = -1
"""In place of a piece of the rectifier's curve: it does not conduct."""
SEEN = ("output", "drawn", "source", "filtered", "glow")
"""What every supply shows, before its chokes and capacitors."""
_TERMS = 8


class Mode(NamedTuple):
    """A state of everything that switches.

    Args:
        diode: piece of its curve on which the rectifier conducts; OFF where it does not.
        lit: whether the glow tubes draw current.
        bins: piece of each choke's curve, by section.
    """

    diode: int
    lit: bool
    bins: tuple[int, ...]


class Guard(NamedTuple):
    """A sum of the state that becomes positive where another mode takes over.

    Args:
        row: over the state.
        mode: that takes over.
        sharp: the moment must be found to a tick; elsewhere one curve goes on into the next and a coarse step will do.
    """

    row: Any
    mode: Mode
    sharp: bool = False


@dataclass(frozen=True)
class Layout:
    """Where things stand in the state and among the unknowns of the network.

    The state is flux linkages and capacitor voltages, then sine and cosine of the mains, one, and the steady current of
    the load. A doubler has a second capacitor voltage behind the first.
    """

    circuit: SupplyCircuit

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Of the state that is not given from outside."""
        found = []
        for number, section in enumerate(self.circuit.sections):
            found += [f"flux {number}"] * section.has_choke + [f"volt {number}"] * (section.capacitance > 0)
        if self.circuit.rectifier == "doubler":
            found.insert(1, "volt other")
        return tuple(found)

    @cached_property
    def width(self) -> int:
        """Of the whole state."""
        return len(self.names) + 4

    @cached_property
    def place(self) -> dict[str, int]:
        """Where each part of the state stands."""
        return {name: place for place, name in enumerate((*self.names, "sine", "cosine", "one", "sink"))}

    def of(self, **share: float) -> Any:
        """A row over the state."""
        row = np.zeros(self.width)
        for name, value in share.items():
            row[self.place[name]] = value
        return row

    def at(self, name: str) -> Any:
        """The row that picks one part of the state."""
        return self.of(**{name: 1.0})

    @cached_property
    def capacitors(self) -> tuple[str, ...]:
        """Names of the capacitor voltages."""
        return tuple(name for name in self.names if name.startswith("volt"))

    @cached_property
    def chokes(self) -> tuple[int, ...]:
        """Sections with a choke."""
        return tuple(number for number, section in enumerate(self.circuit.sections) if section.has_choke)

    @cached_property
    def swap(self) -> Any:
        """Order of the state after a half cycle."""
        order = list(range(self.width))
        if self.circuit.rectifier == "doubler":
            order[0], order[1] = 1, 0
        return np.array(order)


class Equations(NamedTuple):
    """What one mode does: the rate of the state, what is seen of it, and where it ends."""

    rate: Any
    output: Any
    drawn: Any
    source: Any
    filtered: Any
    glow: Any
    chokes: Any
    capacitors: Any
    guards: tuple[Guard, ...]


@dataclass
class _Network:
    """The resistive network between states, sources and load, as linear equations of its currents and voltages."""

    layout: Layout
    mode: Mode
    conductance: float
    left: Any = field(init=False)
    right: Any = field(init=False)
    filled: int = 0

    def __post_init__(self) -> None:
        self.count = len(self.layout.circuit.sections)
        size = 3 * self.count + 2 * bool(self.layout.circuit.regulator)
        self.left, self.right = np.zeros((size, size)), np.zeros((size, self.layout.width))

    def current(self, number: int) -> int:
        """Unknown: current through the series element of a section."""
        return number

    def voltage(self, number: int) -> int:
        """Unknown: voltage behind it."""
        return self.count + number

    def charging(self, number: int) -> int:
        """Unknown: current into its capacitor, for a doubler into the one that is being charged."""
        return 2 * self.count + number

    @property
    def glow(self) -> int:
        """Unknown: current of the glow tubes; their voltage follows."""
        return 3 * self.count

    def equation(self, left: dict[int, float], right: Any = 0.0) -> None:
        """Add one."""
        for place, value in left.items():
            self.left[self.filled, place] += value
        self.right[self.filled] = right
        self.filled += 1

    def solved(self) -> Any:
        """Every unknown as a row over the state."""
        self._entrance()
        for number in range(1, self.count):
            self._series(number)
        for number in range(self.count):
            self._node(number)
            self._capacitor(number)
        if self.layout.circuit.regulator:
            self._regulator(self.layout.circuit.regulator)
        return np.linalg.solve(self.left, self.right)

    def driving(self) -> Any:
        """Voltage behind the constant part of the rectifier's drop."""
        circuit, piece = self.layout.circuit, max(self.mode.diode, 0)
        chord = circuit.diode.value[piece] - circuit.diode.slope[piece] * circuit.diode.start[piece]
        return self.layout.of(sine=circuit.peak_voltage, one=-circuit.drop - (chord if self.mode.diode != OFF else 0))

    def resistance(self) -> Any:
        """In series with the source in this mode."""
        return self.layout.circuit.charging_resistance + self.layout.circuit.diode.slope[max(self.mode.diode, 0)]

    def _entrance(self) -> None:
        circuit = self.layout.circuit
        if self.mode.diode == OFF:
            self.equation({self.current(0): 1.0})
        elif circuit.choke_input:
            self.equation({self.current(0): 1.0}, self.choke_current(0))
        elif circuit.rectifier == "doubler":
            inner = circuit.sections[0].capacitor_resistance
            left = {self.current(0): self.resistance(), self.charging(0): inner}
            self.equation(left, self.driving() - self.layout.at("volt 0"))
        else:
            self.equation({self.voltage(0): 1.0, self.current(0): self.resistance()}, self.driving())

    def choke_current(self, number: int) -> Any:
        """Current of a choke from its flux linkage, on its piece of the curve."""
        pieces, piece = self.layout.circuit.sections[number].pieces, self.mode.bins[number]
        share = 1 / pieces.slope[piece]
        row = share * self.layout.at(f"flux {number}")
        return row + self.layout.of(one=pieces.value[piece] - pieces.start[piece] * share)

    def _series(self, number: int) -> None:
        section = self.layout.circuit.sections[number]
        if section.has_choke:
            self.equation({self.current(number): 1.0}, self.choke_current(number))
            return
        ends = {self.voltage(number - 1): 1.0, self.voltage(number): -1.0}
        self.equation({**ends, self.current(number): -section.resistance})

    def _node(self, number: int) -> None:
        circuit = self.layout.circuit
        left = {self.current(number): 1.0, self.charging(number): -1.0}
        if number + 1 < self.count:
            self.equation({**left, self.current(number + 1): -1.0})
            return
        last, right = -1 / circuit.bleeder, 0.0
        if circuit.regulator:
            last -= 1 / circuit.regulator.series_resistance
            left[self.glow + 1] = 1 / circuit.regulator.series_resistance
        else:
            last, right = last - self.conductance, self.layout.at("sink")
        self.equation({**left, self.voltage(number): last}, right)

    def _capacitor(self, number: int) -> None:
        section = self.layout.circuit.sections[number]
        if not section.capacitance:
            self.equation({self.charging(number): 1.0})
            return
        left = {self.voltage(number): 1.0, self.charging(number): -section.capacitor_resistance}
        right = self.layout.at(f"volt {number}")
        if number == 0 and self.layout.circuit.rectifier == "doubler":
            left[self.charging(0)] *= 2
            left[self.current(0)] = section.capacitor_resistance
            right = right + self.layout.at("volt other")
        self.equation(left, right)

    def _regulator(self, regulator: Regulator) -> None:
        through = 1 / regulator.series_resistance
        node = {self.voltage(self.count - 1): through, self.glow: -1.0, self.glow + 1: -through - self.conductance}
        self.equation(node, self.layout.at("sink"))
        if self.mode.lit:
            held = {self.glow + 1: 1.0, self.glow: -regulator.dynamic_resistance}
            self.equation(held, self.layout.of(one=regulator.voltage))
        else:
            self.equation({self.glow: 1.0})


def _equations(layout: Layout, mode: Mode, conductance: float) -> Equations:
    network = _Network(layout, mode, conductance)
    found = network.solved()
    regulated = layout.circuit.regulator is not None
    filtered = found[network.voltage(network.count - 1)]
    drawn = found[network.current(0)]
    charging = [_charging(network, found, name) for name in layout.capacitors]
    return Equations(
        rate=_rate(network, found, charging),
        output=found[network.glow + 1] if regulated else filtered,
        drawn=drawn,
        source=layout.of(sine=layout.circuit.peak_voltage),
        filtered=filtered,
        glow=found[network.glow] if regulated else 0 * drawn,
        chokes=found[[network.current(number) for number in layout.chokes]],
        capacitors=np.array(charging),
        guards=(*_rectifier_guards(network, found), *_glow_guards(network, found), *_choke_guards(network)),
    )


def _charging(network: _Network, found: Any, name: str) -> Any:
    if name == "volt other":
        return found[network.charging(0)] - found[network.current(0)]
    return found[network.charging(int(name.split()[1]))]


def _rate(network: _Network, found: Any, charging: list[Any]) -> Any:
    layout, circuit = network.layout, network.layout.circuit
    rate = np.zeros((layout.width, layout.width))
    for number in layout.chokes:
        rate[layout.place[f"flux {number}"]] = _choke_voltage(network, found, number)
    for name, current in zip(layout.capacitors, charging, strict=True):
        section = circuit.sections[0 if name == "volt other" else int(name.split()[1])]
        rate[layout.place[name]] = current / section.capacitance
    angular = 2 * pi * circuit.mains_frequency
    rate[layout.place["sine"]] = layout.of(cosine=angular)
    rate[layout.place["cosine"]] = layout.of(sine=-angular)
    return rate


def _choke_voltage(network: _Network, found: Any, number: int) -> Any:
    behind, current = found[network.voltage(number)], found[network.current(number)]
    if number:
        resistance = network.layout.circuit.sections[number].resistance
        return found[network.voltage(number - 1)] - behind - resistance * current
    if network.mode.diode == OFF:
        return 0 * current
    return network.driving() - behind - network.resistance() * current


def _rectifier_guards(network: _Network, found: Any) -> list[Guard]:
    layout, mode, pieces = network.layout, network.mode, network.layout.circuit.diode
    if mode.diode == OFF:
        across = network.driving() - _before_rectifier(network, found)
        return [Guard(across, mode._replace(diode=0), sharp=True)]
    drawn = found[network.current(0)]
    below = layout.of(one=pieces.start[mode.diode]) - drawn
    guards = [Guard(below, mode._replace(diode=mode.diode - 1), sharp=mode.diode == 0)]
    if mode.diode + 1 < len(pieces.start):
        above = drawn - layout.of(one=pieces.start[mode.diode + 1])
        guards.append(Guard(above, mode._replace(diode=mode.diode + 1)))
    return guards


def _before_rectifier(network: _Network, found: Any) -> Any:
    if network.layout.circuit.rectifier != "doubler":
        return found[network.voltage(0)]
    inner = network.layout.circuit.sections[0].capacitor_resistance
    return network.layout.at("volt 0") + inner * found[network.charging(0)]


def _glow_guards(network: _Network, found: Any) -> list[Guard]:
    regulator, mode = network.layout.circuit.regulator, network.mode
    if regulator is None:
        return []
    if mode.lit:
        return [Guard(-found[network.glow], mode._replace(lit=False))]
    return [Guard(found[network.glow + 1] - network.layout.of(one=regulator.voltage), mode._replace(lit=True))]


def _choke_guards(network: _Network) -> list[Guard]:
    layout, mode, guards = network.layout, network.mode, []
    for number in layout.chokes:
        start, piece = layout.circuit.sections[number].pieces.start, mode.bins[number]
        flux = layout.at(f"flux {number}")
        if piece:
            guards.append(Guard(layout.of(one=start[piece]) - flux, _in_bin(mode, number, piece - 1)))
        if piece + 1 < len(start):
            guards.append(Guard(flux - layout.of(one=start[piece + 1]), _in_bin(mode, number, piece + 1)))
    return guards


def _in_bin(mode: Mode, number: int, piece: int) -> Mode:
    return mode._replace(bins=(*mode.bins[:number], piece, *mode.bins[number + 1 :]))


def _exponential(rate: Any, time: float) -> Any:
    """Exponential of a matrix times a time, less the identity: scaling, a Taylor series, and squaring."""
    product = rate * time
    halvings = max(0, int(np.ceil(np.log2(np.abs(product).sum(axis=1).max() + 1e-300))) + 4)
    product = product / 2.0**halvings
    total, term = product.copy(), product
    for order in range(2, _TERMS + 1):
        term = term @ product / order
        total += term
    for _halving in range(halvings):
        total = 2 * total + total @ total
    return total


@dataclass(frozen=True)
class Walk:
    """What one mode needs to be walked through.

    Args:
        equations: of the mode.
        steps: matrices of 0 to 64 steps, for each size of step.
        guarded: what every guard is after 1 to 64 steps, as rows over the state, for each size of step.
        seen: what is recorded, in the order of SEEN, then chokes, capacitor voltages and capacitor currents, as rows.
        rates: of the same.
        seen_after: the same rows over the state 0 to 64 of the largest steps before.
    """

    equations: Equations
    steps: tuple[Any, ...]
    guarded: tuple[Any, ...]
    seen: Any
    rates: Any
    seen_after: Any

    @classmethod
    def through(cls, layout: Layout, mode: Mode, tick: float, conductance: float) -> Walk:
        """The walk through one mode, in ticks of a time, into a load of a conductance beside the steady current."""
        equations = _equations(layout, mode, conductance)
        change = _exponential(equations.rate, tick)
        steps: list[Any] = []
        for _size in SIZES:
            steps.insert(0, _powers(change))
            change = steps[0][-1] - np.eye(layout.width)
        rows = np.array([guard.row for guard in equations.guards])
        guarded = tuple((rows @ level[1:]).reshape(-1, layout.width) for level in steps)
        seen = _seen(layout, equations)
        return cls(equations, tuple(steps), guarded, seen, seen @ equations.rate, seen @ steps[0])


def _seen(layout: Layout, equations: Equations) -> Any:
    fixed = (equations.output, equations.drawn, equations.source, equations.filtered, equations.glow)
    voltages = [layout.at(name) for name in layout.capacitors]
    return np.vstack([*fixed, *equations.chokes, *voltages, *equations.capacitors])


def _powers(change: Any) -> Any:
    """The matrix of 0 to 64 steps, from the change in one."""
    found = np.empty((STEPS + 1, *change.shape))
    found[0] = np.eye(len(change))
    found[1] = found[0] + change
    done = 1
    while done < STEPS:
        found[done + 1 : 2 * done + 1] = found[done] @ found[1 : done + 1]
        done *= 2
    return found
