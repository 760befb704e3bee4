"""A station and its rigs, as their files describe them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Any, ClassVar, Literal

from pydantic import AfterValidator, BeforeValidator, InstanceOf

from builder.physics import amplifier, cooling, modulation, waveform
from builder.quantity import Quantity, parse
from builder.reference.tables import Rules, rule_file, rule_files, safety_limits

from .control import Circuit, Control
from .fields import (
    AnyPart,
    AtLeastOne,
    CarrierId,
    Day,
    Frequency,
    Id,
    Length,
    Level,
    Marking,
    Mass,
    MeterId,
    Model,
    Share,
    StageId,
    SupplyId,
    Text,
    Voltage,
    Whole,
    YesNo,
    refuse,
)  # fmt: skip
from .heating import HeaterWinding
from .metering import ALL_METERS, AT_POTENTIAL, Cover, Movement, Multiplier, Potential, Shunt, counted, made_of
from .network import Network
from .part import Designator, Part
from .primary import Cord
from .stage import Stage
from .supply import Supply
from .thing import Origin, Rated, Thing, Told, Via, World, formula, origins, value_name
from .timing import Timing, warm_up_needed

READABLE = (
    "voltage", "current", "power", "frequency", "level", "time", "resistance", "capacitance", "inductance",
    "ratio", "temperature", "flow",
)  # fmt: skip


Yes = Literal["yes", "no", "unknown"]


def readable(text: Any) -> Any:
    """A quantity of any dimension that a meter can show, told by its unit."""
    if isinstance(text, Quantity) or not isinstance(text, str):
        return text
    for dimension in READABLE:
        try:
            return parse(text, dimension)
        except ValueError:
            continue
    raise refuse(f'"{text}" is not a quantity with a unit; expected something like 200 mA')


Readable = Annotated[Quantity, BeforeValidator(readable)]


class Accuracy(Model):
    """Limits of error that the maker states, or that a comparison has shown."""

    reading: Share | None = None
    """Share of the reading."""
    full_scale: Share | None = None
    """Share of full scale."""


class Instrument(Model):
    """A meter of the bench or of a panel, with what it can be trusted for."""

    what: Text
    """In words."""
    range: Readable | None = None
    """Full scale of the range in use."""
    accuracy: Accuracy | None = None
    """Limits of error."""
    compared: Day | None = None
    """When it was last compared with a better one."""


class Shows(Model):
    """What a panel meter reads: a value of a stage, or of a supply."""

    stage: StageId | None = None
    supply: SupplyId | None = None
    value: Marking
    """In the words of the list of values, such as plate current."""


class Meter(Thing):
    """A meter of the rig's panel."""

    collection: ClassVar[str] = "meters"
    kind_words: ClassVar[str] = "meter"
    part: AnyPart | None = None
    """Its designator."""
    label: Text
    """What the panel says."""
    shows: Shows
    """What it reads."""
    range: Readable
    """Full scale."""
    accuracy: Accuracy | None = None
    """Limits of error."""
    scale: Literal["linear", "square law", "logarithmic"] = "linear"
    """How the scale is divided."""
    at: Text | None = None
    """Where in the circuit it sits, such as B minus."""
    movement: Movement | None = None
    """What is behind the scale."""
    shunt: Shunt | None = None
    """Of a milliammeter."""
    multiplier: Multiplier | None = None
    """Of a voltmeter."""
    potential: Potential | None = None
    """What its movement carries against the chassis; earth also means B minus and the foot of a multiplier."""
    cover: Cover | None = None
    """What keeps a finger off a movement that is not at earth."""

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """The reading comes from the thing that it is wired to; the rest from how it is made."""
        path = "shows.stage" if self.shows.stage else "shows.supply"
        reading = ("meter_reading", Via(path, value_name((self.shows.value,))))
        made = made_of(self.range.unit, self.movement, self.shunt)
        return origins(reading, *ALL_METERS, *made, *self._exposure(path))

    def _exposure(self, path: str) -> tuple[tuple[str, Via], ...]:
        """What a bare movement carries: the voltage of the line that it sits in."""
        if self.cover != "none" or self.potential not in AT_POTENTIAL:
            return ()
        name = AT_POTENTIAL[self.potential] if self.shows.stage else "no_load_voltage"
        return (("exposed_voltage", Via(path, name)),)

    def derived(self, world: World) -> Mapping[str, Quantity]:
        """What is counted, what the maker states at full scale, and what a finger can reach."""
        found = counted(self.shunt, self.multiplier, world.parts)
        if self.accuracy:
            shares = (self.accuracy.reading, self.accuracy.full_scale)
            found["accuracy_stated"] = Quantity(sum(share.value for share in shares if share), "")
        if self.potential == "earth" or self.cover in {"insulating", "recessed glass"}:
            found["exposed_voltage"] = Quantity(0.0, "V")
        return found

    def title(self, name: str) -> str:
        """Its label."""
        return f"meter {self.label}" if self.label else name


class Carrier(Thing):
    """A frequency that the rig is used on."""

    collection: ClassVar[str] = "carriers"
    kind_words: ClassVar[str] = "carrier"
    frequency: Frequency
    """Marked frequency."""
    band: Text | None = None
    """Name of the band."""
    crystal: AnyPart | None = None
    """Designator of its crystal."""
    tolerance: Share | None = None
    """Of the frequency: adjustment, temperature and ageing together."""
    settings: dict[str, Text] = {}
    """Dial settings on this frequency, by control."""
    origins_of_kind: ClassVar = origins(
        ("carrier_frequency", Via("", "frequency")),
        ("frequency_tolerance", Via("", "tolerance")),
        ("lower_sideband", Via("rig", "lower_sideband")),
        ("upper_sideband", Via("rig", "upper_sideband")),
        ("peak_envelope_power", Via("rig", "peak_envelope_power")),
        formula(amplifier.frequency_error),
        formula(modulation.emission_low),
        formula(modulation.emission_high),
    )

    def rated(self, world: World) -> Mapping[str, Rated]:
        """Edges of the segment and the power limit from the station's rule table."""
        if world.rules is None:
            return {}
        emission = "telegraphy" if world.emission.endswith("A1A") else "phone"
        found: dict[str, Rated] = {}
        row = world.rules.segment(self.frequency.value, world.license_class, emission)
        if row:
            what = f"{world.rules.country}, {row.band}, {world.license_class}, {emission}, {row.paragraph}"
            low, high = row.edges
            found["segment_low"] = Rated(Quantity(low, "Hz"), _facts(row, what), what)
            found["segment_high"] = Rated(Quantity(high, "Hz"), _facts(row, what), what)
        limit = world.rules.power_limit(self.frequency.value, world.license_class)
        if limit:
            what = f"{world.rules.country}, {limit.paragraph}, {world.rules.power.measure}"
            found["power_limit"] = Rated(Quantity(limit.watts, "W"), _facts(limit, what), what)
        return found

    def title(self, name: str) -> str:
        """Its frequency."""
        return f"carrier {name}, {self.frequency}"


def _facts(row: Any, what: str) -> Any:
    return SourcedRow(source=row.source, mark=row.mark, what=what)


class SourcedRow(Model):
    """Source and mark of a row of a rule table."""

    source: str
    mark: str
    what: str


class Audio(Model):
    """What is sent."""

    bandwidth: Frequency | None = None
    """Highest audio frequency sent."""


class Modulation(Model):
    """How deep the carrier is modulated, as set up."""

    depth: Share | None = None
    """Downward peaks."""
    positive_peak: Share | None = None
    """Upward peaks."""


class Step(Model):
    """One step of a procedure."""

    do: Text
    """What to do."""
    see: Text | None = None
    """What should then be seen."""
    caution: Text | None = None
    """What can go wrong; it is printed before the step."""


class Procedures(Model):
    """Step by step, in the builder's words."""

    switch_on: tuple[Step, ...] = ()
    """From cold to ready."""
    tune_up: tuple[Step, ...] = ()
    """After a change of frequency."""
    transmit: tuple[Step, ...] = ()
    """From receive to transmit and back."""
    switch_off: tuple[Step, ...] = ()
    """From ready to cold."""
    emergency: tuple[Step, ...] = ()
    """When something is wrong."""


class Hazards(Model):
    """Each is answered yes, no or unknown; what is left out counts as unknown."""

    mercury: Yes = "unknown"
    """Mercury-vapour tubes, relays or switches."""
    pcb: Yes = "unknown"
    """Oil-filled capacitors or transformers that may hold polychlorinated biphenyls."""
    beryllium_oxide: Yes = "unknown"
    """Beryllia ceramic."""
    asbestos: Yes = "unknown"
    """Sheets or wire."""
    selenium: Yes = "unknown"
    """Selenium rectifiers."""
    radioactive: Yes = "unknown"
    """Primed gas tubes, luminous paint."""
    notes: tuple[Text, ...] = ()
    """Anything else that can hurt."""


class Safety(Model):
    """What protects people."""

    ground_stick: Text | None = None
    """Where the discharge stick hangs and how it is made."""
    interlocks: tuple[Text, ...] = ()
    """Each cover that switches something off."""
    main_switch: Text | None = None
    """The one switch or plug that kills everything."""
    protective_earth: Text | None = None
    """How the cabinet is bonded."""
    stays_live: tuple[Text, ...] = ()
    """What is still dangerous with the main switch off."""


class Change(Model):
    """One line of the rig's history."""

    date: Day
    """Day."""
    what: Text
    """What was done or found."""
    why: Text | None = None
    """Reason."""


class Opening(Model):
    """Something on a panel: a hole with a part in it."""

    part: AnyPart | None = None
    """Its designator."""
    label: Text | None = None
    """What the panel says beside it."""
    x: Length
    """From the left edge."""
    y: Length
    """From the lower edge."""
    hole: Length
    """Diameter."""
    face: Length | None = None
    """Diameter of knob, dial or bezel in front."""
    shape: Literal["knob", "meter", "lamp", "switch", "jack", "socket", "can", "screw"] = "knob"
    """What it looks like."""


class Panel(Model):
    """A panel or chassis deck, drawn to scale."""

    what: Text
    """In words."""
    width: Length
    """Left to right."""
    height: Length
    """Bottom to top, or front to back."""
    thickness: Length | None = None
    """Of the sheet."""
    metal: Text | None = None
    """Alloy or steel."""
    openings: tuple[Opening, ...] = ()
    """Holes and what sits in them."""


class Spare(Model):
    """Spare tubes of one type."""

    type: Text
    """Type."""
    count: Whole
    """How many."""
    note: Text | None = None
    """Tested, matched, where kept."""


class Fault(Model):
    """A line of the trouble-shooting table."""

    sign: Text
    """What is seen."""
    cause: Text
    """What it usually is."""
    remedy: Text
    """What to do."""


def _file_name(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 ._()-]{0,99}\.(?:jpg|jpeg|png|webp)", text):
        raise refuse(f'"{text}" is not the name of a picture; expected something like front.jpg, without a folder')
    return text


class Picture(Model):
    """A photograph."""

    file: Annotated[Text, AfterValidator(_file_name)]
    """Name in the folder photos."""
    caption: Text
    """Says something that the picture does not show by itself."""
    credit: Text | None = None
    """Who took it."""


SQUARE_SOURCE = (
    ("carrier_frequency", Via("carrier", "frequency")),
    formula(waveform.source_frequency, harmonic="source_harmonic"),
    formula(
        waveform.square_component, "source_component",
        swing="signal_source_swing", duty="signal_source_duty", harmonic="source_harmonic",
    ),
    formula(
        waveform.square_component_level, "source_component_level",
        duty="signal_source_duty", harmonic="source_harmonic",
    ),
)  # fmt: skip
"""Values of a rig whose carrier comes from a square wave."""


class SignalSource(Model):
    """An external source of the carrier, such as a digital synthesiser in place of a crystal."""

    what: Text
    """In words, with how it is coupled."""
    waveform: Literal["sine", "square"]
    """Of its output."""
    duty: Share | None = None
    """Of a square wave: share of a cycle that the upper level takes."""
    swing: Voltage | None = None
    """Of a square wave: from the lower to the upper level."""
    harmonic: AtLeastOne = 1
    """Which harmonic the stages behind it pick."""


class Rig(Thing):
    """One finished rig."""

    collection: ClassVar[str] = "rig"
    kind_words: ClassVar[str] = "rig"
    name: Text
    """What it is called."""
    what: Text
    """In one line."""
    built: Text | None = None
    """When."""
    emission: Literal["A1A", "A3E", "J3E", "H3E"]
    """Designator of the emission."""
    sideband: Literal["lower", "upper", "by band"] | None = None
    """Of a single-sideband rig."""
    audio: Audio = Audio.model_construct()
    """What is sent."""
    modulation: Modulation = Modulation.model_construct()
    """How deep."""
    carriers: dict[Id, Carrier]
    """Frequencies that it is used on."""
    final: StageId
    """The stage whose output goes to the antenna."""
    tag: Text | None = None
    """What a tag on it says, such as that it must not be used, and why."""
    exciter: Text | None = None
    """What drives it, where that is another rig."""
    signal_source: SignalSource | None = None
    """What makes its carrier, where that is no crystal."""
    stages: dict[Id, InstanceOf[Stage]]
    """Stages, each of a kind."""
    networks: dict[Id, Network] = {}
    """Radio-frequency networks."""
    supplies: dict[Id, Supply] = {}
    """Power supplies."""
    windings: dict[Id, HeaterWinding] = {}
    """Windings that feed heaters and filaments."""
    meters: dict[Id, Meter] = {}
    """Panel meters."""
    cords: dict[Id, Cord] = {}
    """Mains cords."""
    parts: dict[Designator, Part] = {}
    """Parts, by reference designator."""
    panels: dict[Id, Panel] = {}
    """Panels and decks."""
    control: Control = Control.model_construct()
    """What switches it, in which order and after which time."""
    procedures: Procedures = Procedures.model_construct()
    """How it is operated."""
    hazards: Hazards = Hazards.model_construct()
    """What is in it that can hurt."""
    safety: Safety = Safety.model_construct()
    """What protects people."""
    mass: Mass | None = None
    """Weight."""
    size: Text | None = None
    """Outer dimensions."""
    belongs: tuple[Text, ...] = ()
    """What goes with it: cables, microphone, key, spares."""
    spares: tuple[Spare, ...] = ()
    """Spare tubes."""
    faults: tuple[Fault, ...] = ()
    """Known weaknesses and their cures."""
    pictures: tuple[Picture, ...] = ()
    """Photographs."""
    history: tuple[Change, ...] = ()
    """What was changed, when and why."""

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Power and bandwidth follow from the emission."""
        links: list[Any] = [("carrier_power", Via("final", "output_power"))]
        if self.emission == "A3E":
            links += [
                ("positive_peak", Via("", "modulation_positive_peak")),
                formula(modulation.peak_envelope_power),
                formula(modulation.mean_power),
                formula(modulation.necessary_bandwidth),
                ("lower_sideband", Via("", "audio_bandwidth")),
                ("upper_sideband", Via("", "audio_bandwidth")),
            ]
        else:
            links.append(("peak_envelope_power", Via("", "carrier_power")))
        if self.signal_source and self.signal_source.waveform == "square":
            links += SQUARE_SOURCE
        return origins(*links)

    def derived(self, world: World) -> Mapping[str, Quantity]:
        """Discharge sticks, where they are recorded, and the sidebands of a single-sideband rig."""
        stick = self.safety.ground_stick
        sticks = {} if stick is None else {"discharge_sticks": Quantity(0.0 if stick == "none" else 1.0, "")}
        source = self.signal_source
        picked = {} if source is None else {"source_harmonic": Quantity(float(source.harmonic), "")}
        return {**sticks, **picked, **self._sidebands(world)}

    @property
    def circuits(self) -> dict[str, Circuit]:
        """What contacts turn on and off."""
        return self.control.circuits_in_full

    @cached_property
    def timing(self) -> Timing:
        """What follows from the control section when the operator goes through the procedures."""
        return Timing(self.control, self.procedures)

    def told(self, world: World) -> Mapping[str, Told]:  # noqa: ARG002 - switching is the same on every carrier
        """Times by which one thing comes before another, and what the tubes ask for."""
        return {**self.timing.values, **warm_up_needed(self.stages, self.supplies, self.final)}

    def _sidebands(self, world: World) -> Mapping[str, Quantity]:
        """The sideband that is sent, and nothing on the other side."""
        width = self.audio.bandwidth
        if self.emission != "J3E" or width is None:
            return {}
        below = world.carrier_frequency is not None and world.carrier_frequency < SIDEBAND_CHANGE
        lower = self.sideband == "lower" or (self.sideband == "by band" and below)
        nothing = Quantity(0.0, "Hz")
        sent = ("lower_sideband", "upper_sideband") if lower else ("upper_sideband", "lower_sideband")
        return {sent[0]: width, sent[1]: nothing, "necessary_bandwidth": width}

    def title(self, name: str) -> str:
        """Its name."""
        return self.name or name


SIDEBAND_CHANGE = 9e6
"""Below this frequency amateurs send the lower sideband; common practice."""


class Mains(Model):
    """The line."""

    voltage: Voltage
    """Nominal, effective."""
    frequency: Frequency
    """Of the line."""
    rise: Share
    """How far the line may rise above nominal."""


class Antenna(Model):
    """An antenna and its feeder."""

    what: Text
    """In words."""
    gain: Level | None = None
    """Over an isotropic radiator."""
    height: Length | None = None
    """Above ground."""
    feeder: Text | None = None
    """Line to it."""
    loss: Level | None = None
    """Of the feeder."""


class Contact(Model):
    """Someone to ask; positions rather than names."""

    who: Text
    """Position or office."""
    how: Text
    """How to reach them."""
    about: Text | None = None
    """For what."""


class Station(Thing):
    """The station that the rigs belong to."""

    collection: ClassVar[str] = "station"
    kind_words: ClassVar[str] = "station"
    signs: Text
    """Call sign."""
    name: Text
    """Title of the site."""
    what: Text | None = None
    """In one line."""
    rules: Text
    """Which rule table applies."""
    license_class: Text
    """Class of licence, in the words of the rule table."""
    mains: Mains
    """The line."""
    altitude: Length | None = None
    """Above the sea; thin air cools less."""
    instruments: dict[str, Instrument] = {}
    """Meters of the bench."""
    antennas: dict[Id, Antenna] = {}
    """Antennas."""
    changeover: Text | None = None
    """What connects one rig at a time to an antenna."""
    contacts: tuple[Contact, ...] = ()
    """Whom to ask."""
    emergency: tuple[Contact, ...] = ()
    """Emergency numbers and the nearest help."""
    main_switch: Text | None = None
    """The one switch that takes the whole station off the line."""
    paper: Literal["a4", "us-letter"] = "a4"
    """Size of the sheets that the papers are made for."""
    invented: YesNo = False
    """Whether this is a made-up example."""
    origins_of_kind: ClassVar = origins(formula(cooling.altitude_factor))

    @property
    def rule_table(self) -> Rules | None:
        """The rule table that the station names."""
        path = rule_files().get(self.rules)
        return rule_file(path) if path else None

    def derived(self, world: World) -> Mapping[str, Quantity]:  # noqa: ARG002 - the line needs nothing else
        """Highest line voltage over nominal."""
        return {"mains_high": Quantity(1 + self.mains.rise.value, "")}

    def rated(self, world: World) -> Mapping[str, Rated]:  # noqa: ARG002 - the table is the same for all
        """Limits of touch and stored charge."""
        return {name.replace(" ", "_"): Rated(limit.amount, limit, name) for name, limit in safety_limits().items()}


class Taken(Model):
    """One reading."""

    reads: Readable
    """What the meter showed."""
    meter: MeterId
    """Which meter."""
    note: Text | None = None
    """Anything odd."""


class Session(Model):
    """Readings taken together."""

    date: Day
    """Day."""
    carrier: CarrierId | None = None
    """On which frequency."""
    condition: Text
    """Into which load, with which modulation."""
    stages: dict[str, dict[str, Taken]] = {}
    """Readings by stage and value."""
    networks: dict[str, dict[str, Taken]] = {}
    """Readings by network and value, such as the inductance of a coil."""
    supplies: dict[str, dict[str, Taken]] = {}
    """Readings by supply and value."""
    rig: dict[str, Taken] = {}
    """Readings of the rig as a whole."""


class Readings(Model):
    """Everything that was measured, oldest first; nothing is taken out again."""

    sessions: tuple[Session, ...] = ()
    """Each day's readings."""
