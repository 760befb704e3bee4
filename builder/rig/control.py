"""What switches a rig: switches, relays, interlocks, the circuits that they close, and the operator's moves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from typing import Annotated, Any, ClassVar, Literal

from pydantic import AfterValidator, model_validator

from builder.quantity import Quantity

from .fields import AnyPart, Current, Id, Model, StageId, SupplyId, Text, Time, Voltage, refuse
from .sequence import Contact, Follower, HandMove, Series, Span, Wiring
from .thing import Thing, Via, World, origins

CHAIN = "interlocks"
"""The word that stands for all interlocks in a series."""
READY, CLOSED = " ready", " closed"
"""Behind the name of a circuit: that it is there in full, and that its contacts are closed."""
Kind = Literal[
    "heaters", "rectifier filaments", "air", "bias", "low voltage", "plate", "step start", "screen", "modulator",
    "cathode", "drive", "input", "antenna", "receiver", "other",
]  # fmt: skip


def _parallel(text: str) -> tuple[str, ...]:
    """Names on one place of a series, each perhaps with "not" before it."""
    return tuple(name.strip() for name in text.split(" or "))


def _place(text: str) -> str:
    if any(name.removeprefix("not ").strip() in {"", "not", "or"} for name in _parallel(text)):
        raise refuse(f'"{text}" is not a place in a series; expected a name, such as S2, "not K1" or "S4 or J3"')
    if CHAIN in text.split() and text != CHAIN:
        raise refuse(f'"{text}": {CHAIN} stand alone in their place of a series')
    return text


def _some(places: tuple[str, ...]) -> tuple[str, ...]:
    if not places:
        raise refuse("is empty; write the contacts in series, such as [S2, K1]")
    return places


Place = Annotated[Text, AfterValidator(_place)]
Places = Annotated[tuple[Place, ...], AfterValidator(_some)]


class HandSwitch(Model):
    """A switch, key or push-to-talk contact that a hand moves, or a cover by being shut."""

    label: Text | None = None
    """What the panel, or the procedure, calls it."""
    rests: Literal["open", "closed"] = "open"
    """Before anybody has moved anything; the switch of a shut cover rests closed."""


class Relay(Model):
    """Whatever moves by itself: a relay, a contactor, a delay relay, a vane switch in the air."""

    kind: Literal["relay", "vacuum relay", "contactor", "delay relay", "sensor"] = "relay"
    """Its usual times go by this where none are given."""
    coil: Places
    """What must be closed before it pulls in, in series: S2, "not K1", "S4 or J3", interlocks, or a circuit's name."""
    operate: Time | None = None
    """From current in the coil until the contact is closed and has stopped bouncing."""
    release: Time | None = None
    """From the end of the current in the coil until the contact opens."""
    bounce: Time | None = None
    """How much of the time to operate the contact bounces."""
    delay: Time | None = None
    """Of a delay relay: what it waits besides."""
    hold: Time | None = None
    """How much longer it stays in after its coil has lost current, such as the after-run of a blower."""


class Switched(Model):
    """What contacts make or break in a circuit that no supply of the rig file describes."""

    voltage: Voltage | None = None
    """Across the open contact."""
    current: Current | None = None
    """Through the closed contact."""


class Circuit(Thing):
    """Something that contacts turn on and off."""

    collection: ClassVar[str] = "control.circuits"
    kind_words: ClassVar[str] = "circuit"
    kind: Kind
    """What it does for the rig."""
    name: Text | None = None
    """What to call it, where its kind does not say enough."""
    supply: SupplyId | None = None
    """Supply whose primary, or whose output, it closes."""
    stage: StageId | None = None
    """Stage that it feeds, keys or mutes."""
    through: Places
    """Contacts in series, written as those of a coil are; the name of another circuit means behind that one."""
    delay: Time | None = None
    """From closed contacts until anything comes: the starting of a crystal, the delay of an exciter."""
    rise: Time | None = None
    """From then until it is there in full: warming up, charging."""
    fall: Time | None = None
    """From open contacts until it is gone: discharge, the tail of an exciter."""
    switched: Switched = Switched.model_construct()
    """What its contacts carry."""
    origins_of_kind: ClassVar = origins(
        ("contact_current", Via("", "switched_current")),
        ("contact_current", Via("supply", "mains_current")),
        ("contact_voltage", Via("", "switched_voltage")),
        ("contact_voltage", Via("supply", "mains_voltage")),
    )

    def title(self, name: str) -> str:
        """Its own name, or its id."""
        return self.name or f"{name[:1].upper()}{name[1:]}"

    def derived(self, world: World) -> Mapping[str, Quantity]:
        """What the weakest of its contacts is made for."""
        names = dict.fromkeys(contact.name for contact in contacts_in(self.through))
        parts = [world.parts[name] for name in names if name in world.parts]
        found: dict[str, Quantity] = {}
        for field, unit in (("current", "A"), ("voltage", "V")):
            ratings = [getattr(part, field).value for part in parts if getattr(part, field)]
            found |= {f"contact_{field}_rating": Quantity(min(ratings), unit)} if ratings else {}
        return found


class Interlock(Model):
    """One link of the chain that takes the plate voltage off."""

    switch: Text
    """The switch or relay that opens."""
    guards: Text
    """The cover, door, flow or current that it watches."""
    also: Text | None = None
    """What else happens there, such as a bar that falls on the plate line."""


class Move(Model):
    """One movement of the operator's hand."""

    close: Text | None = None
    """Switch that is closed: lifted, pressed, turned on."""
    open_: Text | None = None
    """Switch that is opened."""
    wait: Time | None = None
    """How long the procedure waits before it."""

    @model_validator(mode="after")
    def _one(self) -> Move:
        if (self.close is None) == (self.open_ is None):
            raise refuse('expected either "close" or "open" in each move, with the name of a switch')
        return self

    @property
    def switch(self) -> str:
        """Name of what is moved."""
        return self.close or self.open_ or ""


class Actions(Model):
    """What the operator does, in the order of the procedures; events follow from it and are not written down."""

    switch_on: tuple[Move, ...] = ()
    """From cold to ready."""
    transmit: tuple[Move, ...] = ()
    """From receive to transmit."""
    receive: tuple[Move, ...] = ()
    """Back again."""
    switch_off: tuple[Move, ...] = ()
    """From ready to cold."""


class Control(Model):
    """What closes what, in which order and after which time."""

    switches: dict[AnyPart, HandSwitch] = {}
    """Moved by hand, by designator."""
    relays: dict[AnyPart, Relay] = {}
    """Moved by coils, by designator."""
    circuits: dict[Id, Circuit] = {}
    """What is turned on and off."""
    interlocks: tuple[Interlock, ...] = ()
    """The chain, in the order in which the wire runs."""
    actions: Actions = Actions.model_construct()
    """Moves of the operator."""

    @property
    def described(self) -> bool:
        """Whether there is anything to run."""
        return bool(self.circuits)

    @cached_property
    def wiring(self) -> Wiring:
        """As the engine takes it."""
        hands = {name: switch.rests == "closed" for name, switch in self.switches.items()}
        relays = {name: self._relay(relay) for name, relay in self.relays.items()}
        circuits = dict(item for name, row in self.circuits.items() for item in self._circuit(name, row))
        return Wiring(hands, {**relays, **circuits})

    def series(self, places: tuple[str, ...]) -> Series:
        """Contacts of a series, the interlocks among them each on a place of its own."""
        return tuple(contacts_of(place) for place in self.in_full(places))

    def in_full(self, places: tuple[str, ...]) -> tuple[str, ...]:
        """Places of a series with every interlock by its name."""
        chain = [link.switch for link in self.interlocks]
        return tuple(name for place in places for name in (chain if place == CHAIN else [place]))

    @property
    def circuits_in_full(self) -> dict[str, Circuit]:
        """Circuits whose contacts are all named, as their checks take them."""
        return {
            name: row.model_copy(update={"through": self.in_full(row.through)}) for name, row in self.circuits.items()
        }

    def _relay(self, relay: Relay) -> Follower:
        usual_on, usual_off = USUAL[relay.kind]
        on = plus(span(relay.operate, usual_on), span(relay.delay))
        return Follower(self.series(relay.coil), on, plus(span(relay.release, usual_off), span(relay.hold)))

    def _circuit(self, name: str, row: Circuit) -> Iterator[tuple[str, Follower]]:
        series = self.series(row.through)
        yield name, Follower(series, span(row.delay), span(row.fall))
        yield f"{name}{READY}", Follower(series, plus(span(row.delay), span(row.rise)))
        yield f"{name}{CLOSED}", Follower(self._line(series))

    def _line(self, series: Series) -> Series:
        """The same series as far as contacts go: behind another circuit, its contacts and not its charge."""
        return tuple(
            tuple(replace(one, name=f"{one.name}{CLOSED}") if one.name in self.circuits else one for one in place)
            for place in series
        )

    def of_kind(self, *kinds: str) -> list[str]:
        """Names of the circuits of some kinds."""
        return [name for name, row in self.circuits.items() if row.kind in kinds]

    def called(self, name: str) -> str:
        """What to call a thing by: its label with its designator, or the name of a circuit."""
        if name in self.switches:
            label = self.switches[name].label
            return f"{label} ({name})" if label else name
        row = self.circuits.get(name)
        return row.title(name) if row else name


USUAL_SMALL = Span(10e-3, 5e-3)
"""A small or medium relay takes 5 to 15 ms with its bounce; source: relay-interface, time delays."""
USUAL_VACUUM = Span(5e-3, 2e-3)
"""A vacuum relay takes about 5 ms; source: relay-interface, time delays; the spread is common-practice."""
USUAL_LARGE = Span(15e-3, 5e-3)
"""A large open-frame relay takes 10 to 20 ms; source: relay-interface, time delays."""
USUAL = {
    "relay": (USUAL_SMALL, USUAL_SMALL), "vacuum relay": (USUAL_VACUUM, USUAL_VACUUM),
    "contactor": (USUAL_LARGE, USUAL_LARGE), "delay relay": (USUAL_SMALL, USUAL_SMALL),
    "sensor": (USUAL_SMALL, USUAL_SMALL),
}  # fmt: skip
"""What a kind of relay takes to operate and to release where nothing better is recorded."""


def span(quantity: Quantity | None, usual: Span | None = None) -> Span:
    """A time of the file with the limits that were stated with it; the usual one where there is none."""
    if quantity is None:
        return usual or Span()
    return Span(quantity.value, quantity.sigma * EVEN)


EVEN = 3**0.5
"""Half-width over standard uncertainty of a stated tolerance, as quantities of a file carry it; source: gum, 4.3.7."""


def plus(one: Span, other: Span) -> Span:
    """Two times, one behind the other."""
    return Span(one.middle + other.middle, one.half + other.half)


def contacts_of(place: str) -> tuple[Contact, ...]:
    """Contacts in parallel on one place of a series."""
    return tuple(Contact(name.removeprefix("not ").strip(), not name.startswith("not ")) for name in _parallel(place))


def contacts_in(places: tuple[str, ...]) -> Iterator[Contact]:
    """Every contact of a series."""
    return (contact for place in places for contact in contacts_of(place))


def moves(found: tuple[Move, ...]) -> tuple[HandMove, ...]:
    """Moves as the engine takes them."""
    return tuple(HandMove(row.switch, row.close is not None, row.wait.value if row.wait else 0.0) for row in found)


def names_in(control: Control) -> Iterator[tuple[tuple[str | int, ...], str, Any]]:
    """Every name that a control section points at: its path, the name, and what may stand there."""
    yield from _series_names(("relays", "coil"), ((name, row.coil) for name, row in control.relays.items()))
    yield from _series_names(("circuits", "through"), ((name, row.through) for name, row in control.circuits.items()))
    for index, link in enumerate(control.interlocks):
        yield ("interlocks", index, "switch"), link.switch, "contact"
    for field in Actions.model_fields:
        for index, move in enumerate(getattr(control.actions, field)):
            key = "close" if move.close else "open"
            yield ("actions", field.replace("_", " "), index, key), move.switch, "switch"


def _series_names(where: tuple[str, str], rows: Any) -> Iterator[tuple[tuple[str | int, ...], str, Any]]:
    collection, key = where
    for name, places in rows:
        for index, place in enumerate(places):
            for contact in contacts_of(place):
                yield (collection, name, key, index), contact.name, "series"
