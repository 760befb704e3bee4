"""A supply on its way from switching to switching."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

from .supply_circuit import SupplyCircuit
from .supply_network import HALF_CYCLE, OFF, SIZES, STEPS, Guard, Layout, Mode, Walk

_COUNT = np.arange(STEPS + 1)


class Piece(NamedTuple):
    """A stretch within one mode.

    Args:
        walk: of the mode.
        start: moment at which it begins.
        tick: of its machine.
        ticks: that it lasts.
        steps: of the largest size that are seen on the way.
        first: state at the start.
        last: state at the end.
        swapped: whether the halves of a doubler have changed places.
    """

    walk: Walk
    start: float
    tick: float
    ticks: int
    steps: int
    first: Any
    last: Any
    swapped: bool

    @property
    def time(self) -> Any:
        """Moments that are seen; the end is the start of the next piece."""
        return self.start + (self.tick * SIZES[0]) * _COUNT[: self.steps + 1]

    @property
    def seen(self) -> Any:
        """What is seen at them, shape (moments, things)."""
        return self.walk.seen_after[: self.steps + 1] @ self.first

    @property
    def closely(self) -> tuple[Any, Any, Any]:
        """Time, what is seen and how fast it changes; the first large step in small ones, for what dies out soon."""
        small = STEPS if self.steps else self.ticks // SIZES[1]
        ticks = (SIZES[1] * np.arange(small + 1), SIZES[0] * np.arange(2, self.steps + 1), [self.ticks])
        large = self.walk.steps[0][2 : self.steps + 1] @ self.first
        states = np.vstack((self.walk.steps[1][: small + 1] @ self.first, large, self.last))
        return self.tick * np.concatenate(ticks), states @ self.walk.seen.T, states @ self.walk.rates.T


class Leg(NamedTuple):
    """A stretch up to the next switching, or to the end of the time that was allowed.

    Args:
        state: at the end.
        matrix: that came along, carried over the stretch; None where none did.
        ticks: that it took.
        steps: of the largest size among them.
        mode: that takes over.
    """

    state: Any
    matrix: Any
    ticks: int
    steps: int
    mode: Mode


class Machine:
    """A circuit with the tables of every mode that it has been in."""

    def __init__(self, circuit: SupplyCircuit, conductance: float = 0.0, tick: float = 0.0) -> None:
        """For a load of this conductance beside the steady current; a tick fits the mains unless it is given."""
        self.circuit, self.conductance = circuit, conductance
        self.tick = tick or 0.5 / circuit.mains_frequency / HALF_CYCLE
        self.layout = Layout(circuit)
        self.size = len(self.layout.names)
        self.choke_input = circuit.choke_input
        self.period_ticks = HALF_CYCLE * circuit.half_cycles
        self._walks: dict[Mode, Walk] = {}

    def walk(self, mode: Mode) -> Walk:
        """Tables of a mode, made at the first visit."""
        if mode not in self._walks:
            self._walks[mode] = Walk.through(self.layout, mode, self.tick, self.conductance)
        return self._walks[mode]

    def mode_of(self, state: Any) -> Mode:
        """A mode to begin with; where it is not quite right the first ticks mend it."""
        bins = [0] * len(self.circuit.sections)
        for number in self.layout.chokes:
            start = self.circuit.sections[number].pieces.start
            bins[number] = int(np.searchsorted(start[1:], state[self.layout.place[f"flux {number}"]]))
        flowing = self.circuit.choke_input and state[0] > 0
        return Mode(0 if flowing else OFF, lit=True, bins=tuple(bins))

    def state(self, own: Any, sink: float, phase: float = 0.0) -> Any:
        """Everything at one moment."""
        return np.concatenate([own, [np.sin(phase), np.cos(phase), 1.0, sink]])

    def leg(self, mode: Mode, state: Any, ticks: int, matrix: Any = None) -> Leg:
        """Walk to the next switching or to the end of the time; where a matrix comes along, it is carried too."""
        walk, used, after, large = self.walk(mode), 0, None, 0
        for level, size in enumerate(SIZES):
            room = min((ticks - used) // size, STEPS)
            if not room or after is not None:
                continue
            steps, guard = _beyond(walk, level, state, room, look_between=mode.diode == OFF)
            if guard is not None and (size == 1 or (level and not guard.sharp)):
                steps, after = steps + 1, guard.mode
            step = walk.steps[level][steps]
            state, used, matrix = step @ state, used + steps * size, None if matrix is None else step @ matrix
            large = large or (steps if not level else 0)
        return self._without_current(Leg(state, matrix, used, large, after or mode))

    def _without_current(self, leg: Leg) -> Leg:
        """A choke at the input whose current has ended has none."""
        if self.choke_input and leg.mode.diode == OFF:
            leg.state[0] = 0.0
            if leg.matrix is not None:
                leg.matrix[0] = 0.0
        return leg

    def turned(self, state: Any) -> Any:
        """A zero of the line: the rectified sine begins anew, the halves of a doubler change places."""
        state = state[self.layout.swap]
        state[self.size : self.size + 2] = (0.0, 1.0)
        return state

    def period(self, own: Any, sink: float) -> tuple[Any, Any]:
        """State after a period from a zero of the line, and its derivative by the state before."""
        state = self.state(own, sink)
        mode, left, matrix = self.mode_of(state), self.period_ticks, np.eye(self.layout.width)
        while left:
            leg = self.leg(mode, state, left, matrix)
            mode, state, left, matrix = leg.mode, leg.state, left - leg.ticks, leg.matrix
        matrix = matrix[self.layout.swap]
        return self.turned(state)[: self.size], matrix[: self.size, : self.size]


def _beyond(walk: Walk, level: int, state: Any, room: int, *, look_between: bool) -> tuple[int, Guard | None]:
    """Steps to the last moment before a guard is passed, and which; all the room where none is."""
    guards = walk.equations.guards
    values = walk.guarded[level][: room * len(guards)] @ state
    first = int((values > 0).argmax())
    if values[first] > 0:
        steps, which = divmod(first, len(guards))
        return steps, guards[which]
    if look_between and not level and room > 1:
        before_top = _between(values[:: len(guards)], float(guards[0].row @ state))
        return (room, None) if before_top is None else (before_top, guards[0])
    return room, None


def _between(values: Any, before: float) -> int | None:
    """A short pulse may lie between two steps: the top of the parabola through the highest three tells."""
    top = int(values.argmax())
    if top + 1 == len(values):
        return None
    left, middle, right = (values[top - 1] if top else before), values[top], values[top + 1]
    slope, bend = (right - left) / 2, left - 2 * middle + right
    if middle < left or bend >= 0 or middle - slope**2 / (2 * bend) <= 0:
        return None
    return top if slope < 0 else top + 1


@dataclass
class Course:
    """A supply under way, with all that it has been through.

    Args:
        state: now.
        machine: that has brought it here.
        resting: no source works, so the line has no zeros that matter.
        at: ticks since the last zero of the line.
        time: since the start.
        pieces: of the way so far.
    """

    state: Any
    machine: Machine
    resting: bool = False
    at: int = 0
    time: float = 0.0
    swapped: bool = False
    pieces: list[Piece] = field(default_factory=list)
    mode: Mode | None = None

    @classmethod
    def at_rest(cls, machine: Machine, phase: float) -> Course:
        """Everything discharged, at an angle of the line."""
        at = round(phase / np.pi * HALF_CYCLE) % machine.period_ticks
        return cls(machine.state(np.zeros(machine.size), 0.0, at * np.pi / HALF_CYCLE), machine, at=at)

    def go(self, machine: Machine, duration: float) -> None:
        """Walk on for a time, with another machine of the same parts if need be."""
        self.mode = self.mode or machine.mode_of(self.state)
        left = round(duration / machine.tick)
        while left:
            room = left if self.resting else min(left, machine.period_ticks - self.at)
            left -= room
            while room:
                room -= self._leg(machine, room)
            if not self.resting and self.at == machine.period_ticks:
                self._turn(machine)

    def _leg(self, machine: Machine, room: int) -> int:
        mode, start = self.mode or machine.mode_of(self.state), self.time
        leg = machine.leg(mode, self.state, room)
        self.at, self.time = self.at + leg.ticks, start + machine.tick * leg.ticks
        walk, swapped = machine.walk(mode), self.swapped
        self.pieces.append(Piece(walk, start, machine.tick, leg.ticks, leg.steps, self.state, leg.state, swapped))
        self.state, self.mode = leg.state, leg.mode
        return leg.ticks

    def _turn(self, machine: Machine) -> None:
        self.state, self.at = machine.turned(self.state), 0
        self.swapped ^= machine.circuit.rectifier == "doubler"
