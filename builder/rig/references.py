"""Whether everything that a rig file points at is there, and is of the right kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError

from builder.document import Document, Path, words
from builder.problem import Place, Problem, nearest
from builder.quantity import EXAMPLE, SI_SYMBOL
from builder.reference.tables import SERVICES, SYSTEMS, tube_types, vocabulary, word

from .control import CHAIN, Control, contacts_of, names_in
from .fields import Model, RefersTo
from .model import Readings, readable
from .part import Part
from .story import lookups
from .thing import fields_of

MAY_BE_NONE = ("bleeder", "voltmeter", "diodes")
"""Fields in which the word none says that the part is not there; elsewhere the entry is left out."""
IN_FILE = ("parts", "supplies", "stages", "carriers", "networks", "meters", "windings", "cords")
WHAT = {
    "parts": "part", "supplies": "supply", "stages": "stage", "carriers": "carrier", "networks": "network",
    "instruments": "meter of the station or panel", "tube types": "tube type in the tables", "values": "value",
    "windings": "heater winding", "services": "service of tubes", "rating systems": "system of ratings",
    "meters": "panel meter", "cords": "mains cord",
}  # fmt: skip


@dataclass(frozen=True)
class Known:
    """Names that exist, by collection, and the parts whose entries are sound."""

    names: Mapping[str, frozenset[str]]
    parts: Mapping[str, Part]
    scales: Mapping[str, str]

    @classmethod
    def of(cls, data: Mapping[str, Any], pieces: Mapping[str, Mapping[str, Any]], station: Mapping[str, Any]) -> Known:
        """Collect the names of a rig file; an entry with mistakes of its own still counts as there."""
        names = {name: frozenset(data[name]) if isinstance(data.get(name), dict) else frozenset() for name in IN_FILE}
        bench = station.get("instruments")
        names["instruments"] = names["meters"] | frozenset(bench if isinstance(bench, dict) else ())
        names["tube types"] = frozenset(tube_types())
        names["services"], names["rating systems"] = frozenset(SERVICES), frozenset(SYSTEMS)
        names["values"] = frozenset(name.replace("_", " ") for name in vocabulary())
        return cls(names, pieces.get("parts", {}), _scales(pieces.get("meters", {}), station.get("instruments")))

    def complaint(self, refers: RefersTo, name: str) -> str:
        """What is wrong with a reference; empty where nothing is."""
        names = self.names[refers.what]
        if name not in names and not (refers.what == "values" and word(name.replace(" ", "_"))):
            hint = "; leave the entry out if there is none" if name == "none" else nearest(name, names)
            return f'there is no {WHAT[refers.what]} called "{name}"{hint}'
        part = self.parts.get(name) if refers.dimension else None
        if part is None or part.value is None or part.value.unit == SI_SYMBOL[refers.dimension]:
            return ""
        example = EXAMPLE[refers.dimension]
        return f"part {name} is {part.value}; expected a part with {refers.dimension}, such as {example}"


def _scales(meters: Mapping[str, Any], instruments: Any) -> dict[str, str]:
    """Units of the meters that can read nothing else: those of the panel, and those whose accuracy is of full scale."""
    found = {name: meter.range.unit for name, meter in meters.items()}
    for name, row in (instruments if isinstance(instruments, dict) else {}).items():
        accuracy = row.get("accuracy") if isinstance(row, dict) else None
        if isinstance(accuracy, dict) and "full scale" in accuracy:
            scale = _scale(row.get("range"))
            found |= {name: scale} if scale else {}
    return found


def _scale(text: Any) -> str:
    try:
        quantity = readable(text)
    except PydanticCustomError:
        return ""
    return str(getattr(quantity, "unit", ""))


def check_references(things: Any, known: Known, document: Document) -> Iterator[Problem]:
    """Problems of every reference in a rig, or in those pieces of it that are sound.

    Args:
        things: a rig, or its sound pieces by collection and name.
        known: what exists.
        document: the file.
    """
    for path, value, refers in _fields(things):
        if refers and isinstance(value, str) and not (value == "none" and path[-1] in MAY_BE_NONE):
            text = known.complaint(refers, value)
            if text:
                yield Problem(document.place(path), words(path), text)


def _fields(things: Any) -> Iterator[tuple[Path, Any, RefersTo | None]]:
    if isinstance(things, Model):
        yield from fields_of(things)
        return
    for collection, entries in things.items():
        for name, entry in entries.items():
            for path, value, refers in fields_of(entry):
                yield (collection, name, *path), value, refers


def check_control(control: Control, document: Document, data: Mapping[str, Any]) -> Iterator[Problem]:
    """Problems of the names in a control section: contacts of nothing, moves of no switch, circuits behind themselves.

    Args:
        control: of a rig, as far as it is sound.
        document: its file.
        data: the section as it stands in the file; an entry with mistakes of its own still counts as there.
    """
    switches, relays, circuits = (_keys(data.get(name)) for name in ("switches", "relays", "circuits"))
    known = {"switch": sorted(switches), "contact": sorted(switches | relays)}
    known["series"] = sorted(switches | relays | circuits)
    for steps, name, may_be in names_in(control):
        path = ("control", *steps)
        text = _complaint_of_name(control, name, may_be, known[may_be])
        if text:
            yield Problem(document.place(path), words(path), text)
    for name in control.circuits:
        if _behind_itself(control, name):
            path = ("control", "circuits", name, "through")
            text = f'circuit "{name}" stands behind itself and never comes on'
            yield Problem(document.place(path), words(path), text)


def _keys(group: Any) -> frozenset[str]:
    return frozenset(group) if isinstance(group, dict) else frozenset()


def _complaint_of_name(control: Control, name: str, may_be: str, known: list[str]) -> str:
    if name == CHAIN and may_be == "series":
        return "" if control.interlocks else '"interlocks" stands here, but no interlocks are listed under control'
    if name in known:
        return ""
    hint = nearest(name, known) or (f"; known are: {', '.join(known)}" if known else "; none is listed under control")
    return f'there is no {CALLED[may_be]} called "{name}"{hint}'


CALLED = {"switch": "switch under control", "contact": "switch or relay", "series": "switch, relay or circuit"}


def _behind_itself(control: Control, start: str) -> bool:
    """Whether a circuit is fed, without a relay between, through itself."""
    seen: set[str] = set()
    ahead = [start]
    while ahead:
        row = control.circuits.get(ahead.pop())
        inner = {one.name for place in row.through for one in contacts_of(place)} if row else set()
        if start in inner:
            return True
        ahead += sorted(inner & set(control.circuits) - seen)
        seen |= inner
    return False


def check_readings(readings: Readings, known: Known, document: Document) -> Iterator[Problem]:
    """Problems of the readings: unknown things, values, meters; wrong units; dates out of order."""
    before = None
    for index, session in enumerate(readings.sessions):
        path: Path = ("sessions", index)
        if before and session.date < before:
            text = f"{session.date} stands behind {before}; readings are written oldest first"
            yield Problem(document.place((*path, "date")), words((*path, "date")), text)
        before = session.date
        if session.carrier and session.carrier not in known.names["carriers"]:
            text = known.complaint(RefersTo("carriers"), session.carrier)
            yield Problem(document.place((*path, "carrier")), words((*path, "carrier")), text)
        yield from _readings_of("stages", session.stages, path, known, document)
        yield from _readings_of("networks", session.networks, path, known, document)
        yield from _readings_of("supplies", session.supplies, path, known, document)
        yield from _values((*path, "rig"), session.rig, known, document)


def _readings_of(
    collection: str, things: Mapping[str, Mapping[str, Any]], path: Path, known: Known, document: Document
) -> Iterator[Problem]:
    for name, values in things.items():
        here = (*path, collection, name)
        text = known.complaint(RefersTo(collection), name)
        if text:
            yield Problem(document.place(here, key=True), words(here), text)
        yield from _values(here, values, known, document)


def _values(path: Path, values: Mapping[str, Any], known: Known, document: Document) -> Iterator[Problem]:
    for name, taken in values.items():
        here = (*path, name)
        entry = word(name.replace(" ", "_"))
        if entry is None:
            hint = nearest(name, known.names["values"]) or "; see the list of values in the rig file reference"
            yield Problem(document.place(here, key=True), words(here), f'"{name}" is not a value that is known{hint}')
        elif entry.unit != taken.reads.unit:
            text = f'"{taken.reads}" has the wrong unit; {name} is read in {entry.unit or "per cent or plain numbers"}'
            yield Problem(document.place((*here, "reads")), words((*here, "reads")), text)
        text = known.complaint(RefersTo("instruments"), taken.meter)
        unit = known.scales.get(taken.meter, taken.reads.unit)
        if not text and unit != taken.reads.unit:
            text = f'"{taken.meter}" reads {unit or "shares"}, not {taken.reads.unit or "shares"}'
        if text:
            yield Problem(document.place((*here, "meter")), words((*here, "meter")), text)


def check_story(text: str, known: Known, file: str) -> Iterator[Problem]:
    """Problems of the values that a story asks for."""
    named = ("stages", "networks", "supplies", "carriers")
    things = frozenset({"rig", "station"}).union(*(known.names[name] for name in named))
    for lookup in lookups(text):
        place = Place(file, lookup.line, lookup.column)
        if lookup.thing not in things:
            message = f"{lookup.text} asks for a value of something unknown{nearest(lookup.thing, things)}"
            yield Problem(place, "", f"{message}; write it as {{pa: plate current}}")
        elif word(lookup.value) is None:
            asked = lookup.value.replace("_", " ")
            yield Problem(place, "", f'{lookup.text}: "{asked}" is not a value{nearest(asked, known.names["values"])}')
