"""What comes before what, and by how much, when the operator goes through the procedures."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from builder.quantity import Quantity

from . import sequence
from .control import CLOSED, READY, Control, Interlock, moves
from .sequence import HandMove, Intervals, Outcome, Run, Span
from .thing import Told

WHOLE = 1.645
"""Half of a spread over the standard uncertainty that stands for it: times of relays are bounds, so that a verdict has
to hold over the whole of the spread; the same number as in the rule for verdicts."""
NOTHING = "control: what switches and relays close, and when"
"""What is asked for where a rig file has no control section."""
HIGH_VOLTAGE = ("plate", "modulator")
"""Kinds of circuits that put a plate voltage on."""
OXIDE_WARM_UP = 30.0
"""Seconds that an oxide cathode heats where its data do not say; source: eimac (from memory), heaters take 11 to 30."""
ACTIONS = ("switch_on", "transmit", "receive", "switch_off")


@dataclass(frozen=True)
class Tried:
    """What happens when one interlock opens while the rig transmits.

    Args:
        link: the interlock.
        takes: from its opening until the last plate supply is off the line; None where one stays on.
    """

    link: Interlock
    takes: Span | None


@dataclass(frozen=True)
class Timing:
    """Runs of the operator's moves, and the values that follow from them."""

    control: Control
    procedures: Any

    def _moves(self, *names: str) -> tuple[HandMove, ...]:
        return tuple(move for name in names for move in moves(getattr(self.control.actions, name)))

    def _from(self, before: str, *names: str) -> Outcome:
        wiring = self.control.wiring
        start = self.outcomes[before].nominal.end if before else wiring.at_rest()
        return sequence.outcome(wiring, start, self._moves(*names))

    @cached_property
    def outcomes(self) -> Mapping[str, Outcome]:
        """Of every action, each from where the one before it has come to rest."""
        found: dict[str, Outcome] = {}
        state = self.control.wiring.at_rest()
        for name in ACTIONS:
            found[name] = sequence.outcome(self.control.wiring, state, self._moves(name))
            state = found[name].nominal.end
        return found

    @cached_property
    def session(self) -> Outcome:
        """Switched on as the procedure says, and at once on the air."""
        return self._from("", "switch_on", "transmit")

    @cached_property
    def haste(self) -> Outcome:
        """The same by an operator who does not wait for anything."""
        hurried = sequence.hasty(self._moves("switch_on", "transmit"))
        return sequence.outcome(self.control.wiring, self.control.wiring.at_rest(), hurried)

    @cached_property
    def shut_down(self) -> Outcome:
        """From the air straight to cold, as the procedure says."""
        return self._from("transmit", "receive", "switch_off")

    @cached_property
    def tried(self) -> tuple[Tried, ...]:
        """Every interlock, opened while the rig transmits."""
        wiring, start = self.control.wiring, self.outcomes["transmit"].nominal.end
        opened = {
            link.switch: sequence.outcome(wiring, start, (HandMove(link.switch, closed=False),))
            for link in self.control.interlocks
        }
        return tuple(Tried(link, opened[link.switch].span(self._all_off)) for link in self.control.interlocks)

    def _all_off(self, run: Run) -> float | None:
        """When the last of the plate circuits has left the line for good; None where one stays."""
        closed = self._on(run, *HIGH_VOLTAGE, how=CLOSED)
        ends = [end for _start, end in closed]
        return max(ends) if ends and math.isfinite(max(ends)) else None

    def _on(self, run: Run, *kinds: str, how: str = "") -> Intervals:
        """When any circuit of some kinds is on."""
        found: Intervals = ()
        for name in self.control.of_kind(*kinds):
            found = sequence.either(found, run.intervals(f"{name}{how}"))
        return found

    def carrier(self, run: Run) -> Intervals:
        """When there is radio frequency at the output: drive and plate voltage, through every contact on the way."""
        found = sequence.both(self._on(run, "drive"), self._on(run, "plate"))
        for name in self.control.of_kind("input", "cathode"):
            found = sequence.both(found, run.intervals(name))
        return found

    def _settled(self, run: Run, *kinds: str) -> float:
        """When the last contact of some kinds has closed for good; before everything where none moves."""
        starts = [_last_start(run.intervals(name)) for name in self.control.of_kind(*kinds)]
        return max(starts, default=-math.inf)

    def _opens(self, run: Run, *kinds: str) -> float:
        """When the first contact of some kinds opens; never where none does."""
        told = (run.first(name, on=False) for name in self.control.of_kind(*kinds))
        return min((at for at in told if at is not None), default=math.inf)

    @cached_property
    def values(self) -> Mapping[str, Told]:
        """Every value that follows from the control section, or what is lacking for it."""
        return {row.name: self._told(row) for row in VALUES}

    def _told(self, row: Row) -> Told:
        if not self.control.described:
            return Told(None, needs=(NOTHING,))
        lacking = tuple(f"control: {WANTED[want]}" for want in row.wants if not self._has(want))
        if lacking:
            return Told(None, needs=lacking)
        found = row.measure(self)
        if found is None:
            return Told(None, needs=(f"control: {row.otherwise}",))
        return Told(Quantity(found.middle, row.unit, found.half / WHOLE), row.note)

    def _has(self, want: str) -> bool:
        if want in ACTIONS:
            return bool(getattr(self.control.actions, want))
        found = self.control.interlocks if want == "interlocks" else self.control.of_kind(*want.split(" or "))
        return bool(found)

    def _worst(self, measure: Callable[[Run], float]) -> Span:
        """The longest time over all actions."""
        runs = [*self.outcomes.values(), self.session, self.shut_down]
        spans = (outcome.span(measure) or Span() for outcome in runs)
        return max(spans, key=lambda span: span.middle)

    def antenna_lead(self) -> Span | None:
        """From the settling of the antenna contact to the first carrier."""
        return self.outcomes["transmit"].span(
            lambda run: gap(_first_start(self.carrier(run)), self._settled(run, "antenna"))
        )

    def antenna_hold(self) -> Span | None:
        """From the last of the carrier to the opening of the antenna contact."""
        return self.outcomes["receive"].span(lambda run: gap(self._opens(run, "antenna"), _last_end(self.carrier(run))))

    def drive_lead(self) -> Span | None:
        """From the settling of the last changeover contact to the first drive."""
        return self.outcomes["transmit"].span(
            lambda run: gap(_first_start(self._on(run, "drive")), self._settled(run, "antenna", "input"))
        )

    def drive_hold(self) -> Span | None:
        """From the last of the drive to the opening of the first changeover contact."""
        return self.outcomes["receive"].span(
            lambda run: gap(self._opens(run, "antenna", "input"), _last_end(self._on(run, "drive")))
        )

    def heaters_lead(self) -> Span | None:
        """From the heaters to the plate voltage, as the procedure goes."""
        return self.session.span(
            lambda run: gap(
                _first_start(self._on(run, *HIGH_VOLTAGE, how=CLOSED)), _first_start(self._on(run, "heaters"))
            )
        )

    def mercury_lead(self) -> Span | None:
        """From the filaments of the rectifiers to their plate voltage, with an operator in haste."""
        filaments = "rectifier filaments" if self.control.of_kind("rectifier filaments") else "heaters"
        return self.haste.span(
            lambda run: gap(
                _first_start(self._on(run, *HIGH_VOLTAGE, how=CLOSED)), _first_start(self._on(run, filaments))
            )
        )

    def screen_alone(self) -> Span:
        """Longest time with screen voltage and no plate voltage."""
        return self._worst(
            lambda run: sequence.longest(sequence.without(self._on(run, "screen"), self._on(run, "plate")))
        )

    def unbiased(self) -> Span:
        """Longest time with plate voltage while the bias is not there in full."""
        return self._worst(
            lambda run: sequence.longest(
                sequence.without(self._on(run, *HIGH_VOLTAGE), self._on(run, "bias", how=READY))
            )
        )

    def modulator_unloaded(self) -> Span:
        """Longest time with the modulator on and no plate voltage on what it modulates."""
        return self._worst(
            lambda run: sequence.longest(sequence.without(self._on(run, "modulator"), self._on(run, "plate")))
        )

    def without_air(self) -> Span:
        """Longest time with heaters and no air."""
        return self._worst(
            lambda run: sequence.longest(sequence.without(self._on(run, "heaters"), self._on(run, "air")))
        )

    def air_after(self) -> Span | None:
        """How long the air goes on after the last carrier."""
        return self.shut_down.span(lambda run: gap(_last_end(self._on(run, "air")), _last_end(self.carrier(run))))

    def unheated(self) -> Span:
        """Longest time with a plate supply on the line and no heaters."""
        return self._worst(
            lambda run: sequence.longest(
                sequence.without(self._on(run, *HIGH_VOLTAGE, how=CLOSED), self._on(run, "heaters"))
            )
        )

    def receiver_exposed(self) -> Span:
        """Longest time with the receiver connected and a carrier on the air."""
        return self._worst(lambda run: sequence.longest(sequence.both(self._on(run, "receiver"), self.carrier(run))))

    def interlocks_working(self) -> Span | None:
        """Share of the interlocks that take every plate supply off the line."""
        if not self._on(self.outcomes["transmit"].nominal, *HIGH_VOLTAGE, how=CLOSED):
            return None
        return Span(sum(row.takes is not None for row in self.tried) / len(self.tried))

    def interlock_time(self) -> Span | None:
        """From the opening of the slowest interlock that works to the plate supplies off the line."""
        told = [row.takes for row in self.tried if row.takes is not None]
        return max(told, key=lambda span: span.middle + span.half, default=None)

    def restless(self) -> Span:
        """How many actions never come to rest."""
        return Span(float(sum(not outcome.nominal.settles for outcome in self.outcomes.values())))

    def followed(self) -> Span | None:
        """Share of the operator's moves that the written procedures name in the same order."""
        told = [found for action in self.orders for found in action.found]
        return Span(sum(told) / len(told)) if told else None

    @cached_property
    def orders(self) -> tuple[Order, ...]:
        """Moves of each written procedure, and which of them its steps name in the same order."""
        procedures = {"switch_on": ("switch_on",), "transmit": ("transmit", "receive"), "switch_off": ("switch_off",)}
        written = ((name, parts) for name, parts in procedures.items() if getattr(self.procedures, name))
        return tuple(self._order(name, parts) for name, parts in written)

    def _order(self, name: str, parts: tuple[str, ...]) -> Order:
        steps = [step.do for step in getattr(self.procedures, name)]
        names = [move.name for move in self._moves(*parts)]
        return Order(name, tuple(self.control.called(each) for each in names), tuple(self._walk(names, steps)))

    def _walk(self, names: list[str], steps: list[str]) -> Iterator[bool]:
        """For each move whether a step names it, not before the step of the move before it."""
        at = 0
        for name in names:
            words = self.words_for(name)
            here = next((index for index in range(at, len(steps)) if any(word in steps[index] for word in words)), None)
            at = at if here is None else here
            yield here is not None

    def words_for(self, name: str) -> tuple[str, ...]:
        """What a step may call a switch: its designator, or a word of its label."""
        switch = self.control.switches.get(name)
        return (name, *(switch.label.split(" - ") if switch and switch.label else ()))


@dataclass(frozen=True)
class Order:
    """The operator's moves beside a written procedure.

    Args:
        procedure: its name.
        moves: what the switches are called, in the order of the moves.
        found: whether the steps name each of them, in the same order.
    """

    procedure: str
    moves: tuple[str, ...]
    found: tuple[bool, ...]


def gap(later: float | None, earlier: float | None) -> float | None:
    """Time between two moments; None where one is not known, or where neither ever comes."""
    if later is None or earlier is None:
        return None
    found = later - earlier
    return None if math.isnan(found) else found


def _first_start(intervals: Intervals) -> float | None:
    return intervals[0][0] if intervals else None


def _last_start(intervals: Intervals) -> float:
    return intervals[-1][0] if intervals else math.inf


def _last_end(intervals: Intervals) -> float | None:
    return intervals[-1][1] if intervals else None


@dataclass(frozen=True)
class Row:
    """One value: how it is measured, what must be described for it, and what is asked for where it does not come."""

    name: str
    measure: Callable[[Timing], Span | None]
    wants: tuple[str, ...]
    note: str
    unit: str = "s"
    otherwise: str = "moves that bring the carrier on and off again"


WANTED = {
    "antenna": "the antenna contact, a circuit of kind antenna",
    "plate": "what puts the plate voltage on, a circuit of kind plate",
    "drive": "what lets the drive through, a circuit of kind drive",
    "heaters": "what lights the heaters, a circuit of kind heaters",
    "heaters or rectifier filaments": "what lights the rectifiers, a circuit of kind rectifier filaments or heaters",
    "screen": "what puts the screen voltage on, a circuit of kind screen",
    "bias": "what puts the bias on, a circuit of kind bias",
    "modulator": "what turns the modulator on, a circuit of kind modulator",
    "air": "what starts the blower, a circuit of kind air",
    "receiver": "what connects the receiver, a circuit of kind receiver",
    "interlocks": "the interlocks, with what each of them guards",
    "switch_on": "the moves of switching on",
    "transmit": "the moves of going on the air",
    "receive": "the moves of going back to receive",
    "switch_off": "the moves of switching off",
}
"""What is asked for where something is not described."""
ON_AIR = ("antenna", "drive", "plate", "transmit")
OFF_AIR = ("antenna", "drive", "plate", "receive")
VALUES = (
    Row("antenna_lead", Timing.antenna_lead, ON_AIR, "from a run of the moves to transmit"),
    Row("antenna_hold", Timing.antenna_hold, OFF_AIR, "from a run of the moves to receive"),
    Row("drive_lead", Timing.drive_lead, ("antenna", "drive", "transmit"), "from a run of the moves to transmit"),
    Row("drive_hold", Timing.drive_hold, ("antenna", "drive", "receive"), "from a run of the moves to receive"),
    Row(
        "heaters_lead", Timing.heaters_lead, ("heaters", "plate", "switch_on"),
        "from a run of switching on and going straight on the air, with the waits of the procedure",
    ),
    Row(
        "mercury_lead", Timing.mercury_lead, ("heaters or rectifier filaments", "plate", "switch_on"),
        "from a run of switching on and going straight on the air, without waiting for anything",
    ),
    Row("screen_alone", Timing.screen_alone, ("screen", "plate", "transmit"), "the worst of all runs"),
    Row("plate_unbiased", Timing.unbiased, ("bias", "plate", "transmit"), "the worst of all runs"),
    Row("modulator_unloaded", Timing.modulator_unloaded, ("modulator", "plate", "transmit"), "the worst of all runs"),
    Row("heaters_without_air", Timing.without_air, ("heaters", "air", "switch_on"), "the worst of all runs"),
    Row(
        "air_after_carrier", Timing.air_after, ("air", "drive", "plate", "switch_off"),
        "from a run of going back to receive and switching off, with the waits of the procedure",
    ),
    Row("plate_unheated", Timing.unheated, ("heaters", "plate", "switch_off"), "the worst of all runs"),
    Row("receiver_exposed", Timing.receiver_exposed, ("receiver", *ON_AIR), "the worst of all runs"),
    Row(
        "interlocks_working", Timing.interlocks_working, ("interlocks", "plate", "transmit"),
        "each interlock opened while the rig transmits", "", "moves that put the plate voltage on",
    ),
    Row(
        "interlock_time", Timing.interlock_time, ("interlocks", "plate", "transmit"),
        "each interlock opened while the rig transmits", "s", "an interlock that takes the plate voltage off",
    ),
    Row("restless_actions", Timing.restless, (), "counted over all runs", ""),
    Row("procedure_share", Timing.followed, ("switch_on",), "words of the steps against the moves", ""),
)  # fmt: skip
"""Every value that follows from the control section."""


def warm_up_needed(stages: Mapping[str, Any], supplies: Mapping[str, Any], final: str) -> dict[str, Told]:
    """What oxide cathodes on the plate voltage, and mercury-vapour rectifiers, ask for.

    Args:
        stages: of the rig.
        supplies: of the rig.
        final: stage whose output goes to the antenna.
    """
    slow = slow_cathodes(stages, final)
    mercury = [supply.tube for supply in supplies.values() if "mercury" in supply.tube.kind]
    rated = [tube.data.quantity("warm up", "time") for tube in mercury]
    found = {"heaters_needed": [_warm_up(tube) for tube in slow], "mercury_needed": [row.value for row in rated if row]}
    types = {"heaters_needed": slow, "mercury_needed": mercury}
    return {
        name: Told(Quantity(max(times), "s"), ", ".join(dict.fromkeys(tube.type for tube in types[name])))
        for name, times in found.items()
        if times
    }


def slow_cathodes(stages: Mapping[str, Any], final: str) -> list[Any]:
    """Types of tubes with oxide cathodes in the final and in what modulates it."""
    concerned = [stage for name, stage in stages.items() if name == final or getattr(stage, "modulates", None) == final]
    tubes = [stage.tube for stage in concerned if hasattr(stage, "tube")]
    return [tube for tube in tubes if "oxide" in (tube.data.text("cathode") or "")]


def _warm_up(tube: Any) -> float:
    told = tube.data.quantity("warm up", "time")
    return float(told.value) if told else OXIDE_WARM_UP
