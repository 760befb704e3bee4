"""What happens when a switch is moved, told for people: events of each action, findings about them, interlocks."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from builder.examination.finding import Finding
from builder.examination.judge import Verdict
from builder.examine import Examination
from builder.quantity import show
from builder.rig.control import CLOSED, READY, Control, contacts_of
from builder.rig.sequence import Event, Intervals, Outcome, Run, Span
from builder.rig.timing import ACTIONS, HIGH_VOLTAGE

from .operating import NAMES

TITLES = {"switch_on": "Switch on", "transmit": "Transmit", "receive": "Back to receive", "switch_off": "Switch off"}
VERBS = {
    "antenna": ("closes", "opens"), "input": ("closes", "opens"), "cathode": ("closes", "opens"),
    "step start": ("closes", "opens"), "receiver": ("is connected", "is cut off"), "air": ("starts", "stops"),
    "heaters": ("begin to warm", "go off"), "rectifier filaments": ("begin to warm", "go off"),
}  # fmt: skip
"""How a kind of circuit goes on and off in words."""
COMES = ("comes on", "is gone")
CARRIER = "carrier"
"""Name of the lane that no single contact makes."""
ABOUT = {
    "antenna before carrier": ("transmit", "antenna"), "carrier gone before antenna": ("receive", "antenna"),
    "changeover before drive": ("transmit", "drive"), "drive gone before changeover": ("receive", "drive"),
    "heaters before plate voltage": ("switch_on", "heaters"), "screen without plate voltage": ("transmit", "screen"),
    "mercury rectifiers warmed by a relay": ("switch_on", "rectifier filaments"),
    "plate voltage without bias": ("transmit", "bias"), "modulator without load": ("receive", "modulator"),
    "air with the heaters": ("switch_on", "air"), "air after the carrier": ("switch_off", "air"),
    "plate supply off before heaters": ("switch_off", "plate"), "receiver muted": ("transmit", "receiver"),
}  # fmt: skip
"""In which action, and at which kind of circuit, a finding is marked."""


LEGEND = (
    "Solid: there in full. Hollow: rising, or falling behind open contacts. Hatched: may happen anywhere in it, or the "
    "contact bounces. An arrow leads from cause to effect. Times count from the last movement of a hand, in bold, and "
    "are not to scale. A relay takes its recorded time, or, where none is recorded, what is usual for its kind."
)
"""How to read the diagrams and the tables of events."""


@dataclass(frozen=True)
class Edge:
    """A change that is told and drawn.

    Args:
        at: seconds, in the middle of its spread.
        half: of the spread.
        time: as text, counted from the last movement of a hand.
        lane: name of what changes.
        kind: on, off, ready (there in full), or open (contacts open, though not yet gone).
        what: in words.
        because: what brought it about, in words.
        cause: lane and time of what brought it about; None for a hand.
        bounce: whether the contact bounces.
        by_hand: whether a hand does it.
    """

    at: float
    half: float
    time: str
    lane: str
    kind: str
    what: str
    because: str
    cause: tuple[str, float] | None
    bounce: bool = False
    by_hand: bool = False


@dataclass(frozen=True)
class Lane:
    """One row of a sequence diagram: what it is, when it is on, and what is found about it."""

    name: str
    title: str
    kind: str
    on: Intervals
    full: Intervals
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Action:
    """One action of the operator with all that follows from it."""

    name: str
    title: str
    moves: tuple[str, ...]
    edges: tuple[Edge, ...]
    lanes: tuple[Lane, ...]


def actions(examination: Examination) -> tuple[Action, ...]:
    """Every action that has moves, from the control section of the rig file."""
    control = examination.rig.control
    names = [name for name in ACTIONS if control.described and getattr(control.actions, name)]
    return tuple(_action(examination, name) for name in names)


def _action(examination: Examination, name: str) -> Action:
    timing, control = examination.rig.timing, examination.rig.control
    outcome = timing.outcomes[name]
    found = sorted((*_edges(control, outcome), *_carrier(examination, outcome)), key=lambda edge: edge.at)
    moved = tuple(edge.what for edge in found if edge.by_hand)
    return Action(name, TITLES[name], moved, tuple(found), tuple(_lanes(examination, name, outcome)))


def _edges(control: Control, outcome: Outcome) -> Iterator[Edge]:
    for index, event in enumerate(outcome.events):
        base, kind = _told(control, event)
        if kind:
            span = outcome.spans[index]
            yield _edge(control, outcome, event, base, kind, span)


def _told(control: Control, event: Event) -> tuple[str, str]:
    """Name and kind of a change; no kind where it is not worth telling."""
    for suffix, kind, on in ((READY, "ready", True), (CLOSED, "open", False)):
        if event.name.endswith(suffix):
            base = event.name.removesuffix(suffix)
            row = control.circuits[base]
            lasting = row.rise if kind == "ready" else row.fall
            return base, kind if event.on is on and lasting else ""
    return event.name, "on" if event.on else "off"


def _edge(control: Control, outcome: Outcome, event: Event, base: str, kind: str, span: Span) -> Edge:
    hand = event.cause is None
    source = None if event.cause is None else outcome.events[event.cause]
    because = "by hand" if source is None else words_of(control, base_name(source.name), "on" if source.on else "off")
    cause = None if source is None else (base_name(source.name), outcome.spans[event.cause or 0].middle)
    relay = control.relays.get(base)
    bounce = kind == "on" and relay is not None and relay.bounce is not None
    what = words_of(control, base, kind)
    return Edge(
        span.middle, span.half, _time(outcome, event, span), base, kind, what, because, cause, bounce, by_hand=hand
    )


def base_name(name: str) -> str:
    """Name of a circuit without what is put behind it for the engine."""
    return name.removesuffix(READY).removesuffix(CLOSED)


def _time(outcome: Outcome, event: Event, span: Span) -> str:
    """When, counted from the last movement of a hand."""
    if event.cause is None:
        return show(event.at, "s")
    begun = max((one.at for one in outcome.events if one.cause is None and one.at <= event.at), default=0.0)
    return with_spread(Span(span.middle - begun, span.half))


def with_spread(span: Span) -> str:
    """A time with the limits of its spread."""
    text = f"+{show(span.middle, 's')}" if span.middle > FINEST else "+0 s"
    half = f"{1000 * span.half:.2g} ms" if FINEST < span.middle < 1 else show(span.half, "s", 2)
    return f"{text} ± {half}" if span.half > FINEST else text


FINEST = 1e-5
"""Seconds below which two moments are one."""


def words_of(control: Control, name: str, kind: str) -> str:
    """A change in words."""
    title = control.called(name)
    if name in control.switches:
        return f"{title} is {'closed' if kind == 'on' else 'opened'}"
    if name in control.relays:
        return f"{title} {'pulls in' if kind == 'on' else 'drops out'}"
    if kind == "ready":
        return f"{title}: there in full"
    if kind == "open":
        return f"{title}: contacts open"
    verbs = VERBS.get(control.circuits[name].kind, COMES)
    return f"{title} {verbs[kind == 'off']}"


def _carrier(examination: Examination, outcome: Outcome) -> Iterator[Edge]:
    """Beginning and end of the carrier, which needs drive and plate voltage together."""
    carrier = examination.rig.timing.carrier
    together, apart = "drive and plate voltage are there together", "drive or plate voltage has gone"
    told = {"on": ("Carrier on the air", together), "off": ("Carrier off the air", apart)}
    for kind, side in (("on", 0), ("off", 1)):
        span = outcome.span(partial(_carrier_edge, carrier, side))
        if span is not None:
            begun = max((one.at for one in outcome.events if one.cause is None and one.at <= span.middle), default=0.0)
            time = with_spread(Span(span.middle - begun, span.half))
            yield Edge(span.middle, span.half, time, CARRIER, kind, *told[kind], (CARRIER, span.middle))


def _carrier_edge(carrier: object, side: int, run: Run) -> float | None:
    found = carrier(run)  # type: ignore[operator]
    return found[-1][side] if found and math.isfinite(found[-1][side]) else None


def _lanes(examination: Examination, name: str, outcome: Outcome) -> Iterator[Lane]:
    control, run = examination.rig.control, outcome.nominal
    moved = {event.name for event in outcome.events}
    for each in (*control.switches, *control.relays):
        if each in moved:
            kind = "hand" if each in control.switches else "relay"
            yield Lane(each, control.called(each), kind, run.intervals(each), run.intervals(each))
    for each, row in control.circuits.items():
        marked = tuple(_marked(examination, name, row.kind))
        full, on = run.intervals(f"{each}{READY}"), run.intervals(each)
        if on or marked:
            yield Lane(each, control.called(each), row.kind, on, full, marked)
    carrier = examination.rig.timing.carrier(run)
    if carrier:
        yield Lane(CARRIER, "Carrier", CARRIER, carrier, carrier)


def _marked(examination: Examination, action: str, kind: str) -> Iterator[Finding]:
    """Findings to be marked at a kind of circuit in an action."""
    for row in examination.findings:
        if ABOUT.get(row.check.title) == (action, kind) and row.verdict is not Verdict.WITHIN and row.judgement:
            yield row


def differences(examination: Examination) -> tuple[str, ...]:
    """What the written procedures leave out of the moves, or tell in another order, in sentences."""
    if not examination.rig.control.described:
        return ()
    return tuple(
        f"The procedure “{NAMES[order.procedure]}” does not name {move} in the order in which the control section "
        "moves it; one of the two is wrong."
        for order in examination.rig.timing.orders
        for move, found in zip(order.moves, order.found, strict=True)
        if not found
    )  # fmt: skip


@dataclass(frozen=True)
class Link:
    """One place in a series: names of the contacts in parallel, what they are, whether each makes, and if it guards."""

    names: tuple[str, ...]
    makes: tuple[bool, ...]
    closed: tuple[bool, ...]
    what: str
    guards: bool


@dataclass(frozen=True)
class Chain:
    """A series with interlocks in it, from the line to what it feeds, and what this closes in turn."""

    links: tuple[Link, ...]
    feeds: str
    closes: tuple[str, ...] = ()


def chains(examination: Examination) -> tuple[Chain, ...]:
    """Every coil and circuit that has an interlock in its series."""
    control = examination.rig.control
    watched = {link.switch for link in control.interlocks}
    rows = [(name, relay.coil, True) for name, relay in control.relays.items()]
    rows += [(name, row.through, False) for name, row in control.circuits.items() if row.kind in HIGH_VOLTAGE]
    found = []
    for name, places, coil in rows:
        series = control.in_full(places)
        if any(one.name in watched for place in series for one in contacts_of(place)):
            found.append(_chain(examination, name, series, coil=coil))
    return tuple(found)


def _chain(examination: Examination, name: str, series: tuple[str, ...], *, coil: bool) -> Chain:
    links = tuple(_link(examination, place) for place in series)
    if coil:
        return Chain(links, f"coil of {name}: {_part(examination, name)}", tuple(_closes(examination, name)))
    return Chain(links, _fed(examination, name))


def _closes(examination: Examination, relay: str) -> Iterator[str]:
    """High-voltage circuits that a relay closes."""
    for name, row in examination.rig.circuits.items():
        if row.kind in HIGH_VOLTAGE and any(one.name == relay for place in row.through for one in contacts_of(place)):
            yield _fed(examination, name)


def _fed(examination: Examination, name: str) -> str:
    row = examination.rig.control.circuits[name]
    supply = examination.rig.supplies.get(row.supply or "")
    return f"{row.title(name)}: primary of {supply.transformer.part}" if supply else row.title(name)


def _link(examination: Examination, place: str) -> Link:
    control = examination.rig.control
    guards = {link.switch: f"{link.guards}{f'; {link.also}' if link.also else ''}" for link in control.interlocks}
    contacts = contacts_of(place)
    rest = control.wiring.at_rest()
    first = contacts[0].name
    what = guards.get(first) or " or ".join(dict.fromkeys(_part(examination, one.name) for one in contacts))
    names = tuple(one.name if one.name not in control.circuits else "" for one in contacts)
    closed = tuple(rest.get(one.name, False) == one.makes for one in contacts)
    return Link(names, tuple(one.makes for one in contacts), closed, what, first in guards)


def _part(examination: Examination, name: str) -> str:
    control = examination.rig.control
    if name in control.switches and control.switches[name].label:
        return str(control.switches[name].label)
    part = examination.rig.parts.get(name)
    return part.what if part else f"voltage of the {control.called(name)}"
