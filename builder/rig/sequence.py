"""What follows one another when an operator moves a switch: contacts, coils and delays, run from cause to effect."""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import count, product

MOST_EVENTS = 300
"""Events after which relays are taken to chatter without end."""
MOST_CORNERS = 6
"""Uncertain times that are tried at both of their ends in every combination; smaller ones are added in full."""
ENDLESS = 3600.0
"""Seconds that stand for a state that lasts, where only some of the spread leads to it."""


@dataclass(frozen=True)
class Span:
    """A time and how far it may be off to either side, both in seconds."""

    middle: float = 0.0
    half: float = 0.0


@dataclass(frozen=True)
class Contact:
    """A contact of a switch, a relay or a circuit: closed while it is on, or, where it breaks, while it is off."""

    name: str
    makes: bool = True


Series = tuple[tuple[Contact, ...], ...]
"""Contacts in series; each place in it may hold several in parallel."""


@dataclass(frozen=True)
class Follower:
    """Something that goes on and off by itself, behind contacts: a relay by its coil, a circuit by what feeds it.

    Args:
        series: what must be closed.
        on_after: from the closing of the series to the effect.
        off_after: from the opening of the series to the end of the effect.
    """

    series: Series
    on_after: Span = Span()
    off_after: Span = Span()

    def closed(self, state: Mapping[str, bool]) -> bool:
        """Whether current can flow through the series."""
        return all(any(state.get(one.name, False) == one.makes for one in place) for place in self.series)


@dataclass(frozen=True)
class Wiring:
    """Everything that is switched: what hands move, as it rests, and what follows."""

    hands: Mapping[str, bool]
    followers: Mapping[str, Follower]

    @cached_property
    def fed_by(self) -> Mapping[str, tuple[str, ...]]:
        """Followers that have a contact of a thing in their series, by that thing."""
        found: dict[str, tuple[str, ...]] = {}
        for name, follower in self.followers.items():
            for other in dict.fromkeys(one.name for place in follower.series for one in place):
                found[other] = (*found.get(other, ()), name)
        return found

    def at_rest(self) -> dict[str, bool]:
        """The state before anybody has moved anything."""
        off = {**self.hands, **dict.fromkeys(self.followers, False)}
        return run(self, off, ()).end


@dataclass(frozen=True)
class HandMove:
    """A switch moved by hand, so many seconds after the move before it."""

    name: str
    closed: bool
    wait: float = 0.0


@dataclass(frozen=True)
class Event:
    """Something that goes on or off.

    Args:
        at: seconds after the first move.
        name: of what changes.
        on: to which state.
        cause: index of the event that brought it about; None for what a hand does.
    """

    at: float
    name: str
    on: bool
    cause: int | None = None


@dataclass(frozen=True)
class Run:
    """One run from a state through its events to the next state.

    Args:
        start: state of everything before the first event.
        events: in the order of time.
        settles: whether it comes to rest.
    """

    start: Mapping[str, bool]
    events: tuple[Event, ...]
    settles: bool = True

    @property
    def end(self) -> dict[str, bool]:
        """State of everything after the last event."""
        return {**self.start, **{event.name: event.on for event in self.events}}

    def first(self, name: str, *, on: bool) -> float | None:
        """When something first goes on, or off; None where it does not."""
        return next((event.at for event in self.events if event.name == name and event.on is on), None)

    def intervals(self, name: str) -> Intervals:
        """When something is on; from before the beginning and beyond the end where it is so."""
        begun = -math.inf if self.start.get(name, False) else None
        found: list[tuple[float, float]] = []
        for event in (event for event in self.events if event.name == name):
            if event.on and begun is None:
                begun = event.at
            elif not event.on and begun is not None:
                found.append((begun, event.at))
                begun = None
        return (*found, (begun, math.inf)) if begun is not None else tuple(found)


Intervals = tuple[tuple[float, float], ...]
Delay = Callable[[str, bool], float]


@dataclass
class _Running:
    """A run on its way."""

    wiring: Wiring
    delay: Delay
    state: dict[str, bool]
    events: list[Event] = field(default_factory=list)
    agenda: list[tuple[float, int, Event]] = field(default_factory=list)
    pending: dict[str, tuple[bool, int]] = field(default_factory=dict)
    held: set[str] = field(default_factory=set)
    by_hand: set[int] = field(default_factory=set)
    numbers: Iterator[int] = field(default_factory=count)

    def plan(self, event: Event) -> int:
        """Put an event on the agenda."""
        number = next(self.numbers)
        heapq.heappush(self.agenda, (event.at, number, event))
        return number

    def look(self, name: str, now: float, cause: int | None) -> None:
        """See whether a follower has to change, now that something before it has."""
        follower = self.wiring.followers[name]
        wanted = follower.closed(self.state)
        going = self.pending.get(name)
        if name in self.held or wanted == (going[0] if going else self.state[name]):
            return
        self.pending.pop(name, None)
        if wanted != self.state[name]:
            number = self.plan(Event(now + self.delay(name, wanted), name, wanted, cause))
            self.pending[name] = (wanted, number)

    def step(self) -> None:
        """Let the next event of the agenda happen, unless it was called off."""
        _at, number, event = heapq.heappop(self.agenda)
        if number in self.by_hand:
            self.held.add(event.name)
        elif self.pending.get(event.name, (False, -1))[1] != number:
            return
        self.pending.pop(event.name, None)
        if self.state[event.name] == event.on:
            return
        self.state[event.name] = event.on
        self.events.append(event)
        for name in self.wiring.fed_by.get(event.name, ()):
            self.look(name, event.at, len(self.events) - 1)


def run(wiring: Wiring, start: Mapping[str, bool], moves: tuple[HandMove, ...], delay: Delay | None = None) -> Run:
    """Run moves of a hand to their last effect.

    A coil that loses its current before its contact has moved stays as it was. A hand that moves a relay, as a
    fault does, holds it from then on.

    Args:
        wiring: what is switched.
        start: state of everything before.
        moves: what the operator does.
        delay: seconds that a follower takes, by its name and the state that it goes to; its middle where left out.
    """
    running = _Running(wiring, delay or middles(wiring), dict(start))
    for name in wiring.followers:
        running.look(name, 0.0, None)
    for at, move in timed(moves):
        running.by_hand.add(running.plan(Event(at, move.name, move.closed)))
    while running.agenda and len(running.events) < MOST_EVENTS:
        running.step()
    return Run(dict(start), tuple(running.events), settles=not running.agenda)


def timed(moves: tuple[HandMove, ...]) -> Iterator[tuple[float, HandMove]]:
    """Moves with the time of each; the first is at the beginning, whatever was waited before it."""
    at = 0.0
    for index, move in enumerate(moves):
        at += move.wait if index else 0.0
        yield at, move


def hasty(moves: tuple[HandMove, ...]) -> tuple[HandMove, ...]:
    """The same moves by an operator who does not wait."""
    return tuple(replace(move, wait=0.0) for move in moves)


def middles(wiring: Wiring) -> Delay:
    """Every follower takes the middle of its time."""
    return lambda name, on: span_of(wiring, name, on=on).middle


def span_of(wiring: Wiring, name: str, *, on: bool) -> Span:
    """What a follower takes to go on, or off."""
    follower = wiring.followers[name]
    return follower.on_after if on else follower.off_after


@dataclass(frozen=True)
class Outcome:
    """What comes of moves: the run with every time in its middle, and runs at the ends of what is uncertain.

    Args:
        nominal: every time in its middle.
        others: at every combination of the ends of the largest spreads.
        slack: what the remaining spreads can add to any time, or take from it, seconds.
    """

    nominal: Run
    others: tuple[Run, ...] = ()
    slack: float = 0.0

    @property
    def runs(self) -> tuple[Run, ...]:
        """All of them."""
        return (self.nominal, *self.others)

    def span(self, measure: Callable[[Run], float | None]) -> Span | None:
        """A time measured on every run: the middle between its ends and half of what lies between.

        Args:
            measure: from a run to seconds; None where it has no such time.
        """
        told = [found for found in map(measure, self.runs) if found is not None]
        if measure(self.nominal) is None or not told:
            return None
        if len(set(told)) == 1:
            return Span(told[0], self.slack if math.isfinite(told[0]) else 0.0)
        low, high = (max(-ENDLESS, min(told)), min(ENDLESS, max(told)))
        return Span((low + high) / 2, (high - low) / 2 + self.slack)

    @cached_property
    def spans(self) -> tuple[Span, ...]:
        """When each event of the nominal run happens, with its spread."""
        return tuple(self.span(_nth(self.nominal, index)) or Span(event.at) for index, event in enumerate(self.events))

    @property
    def events(self) -> tuple[Event, ...]:
        """Of the nominal run."""
        return self.nominal.events


def _nth(nominal: Run, index: int) -> Callable[[Run], float | None]:
    """From a run to the time of the event that stands at a place of the nominal run."""
    wanted = nominal.events[index]
    before = sum(_same(event, wanted) for event in nominal.events[:index])

    def measure(other: Run) -> float | None:
        times = [event.at for event in other.events if _same(event, wanted)]
        return times[before] if before < len(times) else None

    return measure


def _same(one: Event, other: Event) -> bool:
    return one.name == other.name and one.on is other.on


def outcome(wiring: Wiring, start: Mapping[str, bool], moves: tuple[HandMove, ...]) -> Outcome:
    """Run moves with every time in its middle, then at the ends of every time that is uncertain and matters.

    Args:
        wiring: what is switched.
        start: state of everything before.
        moves: what the operator does.
    """
    nominal = run(wiring, start, moves)
    met = dict.fromkeys((event.name, event.on) for event in nominal.events if event.name in wiring.followers)
    spans = {key: span_of(wiring, key[0], on=key[1]) for key in met}
    wide = sorted((key for key, span in spans.items() if span.half), key=lambda key: -spans[key].half)
    others = tuple(run(wiring, start, moves, delay) for delay in corners(wiring, spans, tuple(wide[:MOST_CORNERS])))
    return Outcome(nominal, others, sum(spans[key].half for key in wide[MOST_CORNERS:]))


def corners(
    wiring: Wiring, spans: Mapping[tuple[str, bool], Span], wide: tuple[tuple[str, bool], ...]
) -> Iterator[Delay]:
    """Every combination of ends of the spreads that are tried, as delays."""
    for signs in product((-1.0, 1.0), repeat=len(wide)) if wide else ():
        yield at_ends(wiring, spans, dict(zip(wide, signs, strict=True)))


def at_ends(wiring: Wiring, spans: Mapping[tuple[str, bool], Span], signs: Mapping[tuple[str, bool], float]) -> Delay:
    """Delays of which some are at an end of their spread: the early one at -1, the late one at +1."""
    usual = middles(wiring)
    ends = {key: max(0.0, spans[key].middle + sign * spans[key].half) for key, sign in signs.items()}
    return lambda name, on: ends.get((name, on), usual(name, on))


def both(one: Intervals, other: Intervals) -> Intervals:
    """When two things are on together."""
    cut = ((max(a, c), min(b, d)) for a, b in one for c, d in other)
    return tuple(sorted((start, end) for start, end in cut if start < end))


def either(one: Intervals, other: Intervals) -> Intervals:
    """When at least one of two things is on."""
    merged: list[tuple[float, float]] = []
    for start, end in sorted((*one, *other)):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return tuple(merged)


def without(one: Intervals, other: Intervals) -> Intervals:
    """When the first is on and the second is not."""
    edges = [-math.inf, *(edge for pair in either(other, ()) for edge in pair), math.inf]
    gaps = tuple((edges[at], edges[at + 1]) for at in range(0, len(edges), 2))
    return both(one, tuple((start, end) for start, end in gaps if start < end))


def longest(intervals: Intervals) -> float:
    """Length of the longest; nothing where there is none."""
    return max((end - start for start, end in intervals), default=0.0)
