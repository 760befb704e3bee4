"""What stands in the files: entries of the rig file and readings, as values with their places."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from typing import Any

from builder.document import Document
from builder.physics.metering import standard_uncertainty
from builder.problem import Place
from builder.quantity import Quantity
from builder.reference.tables import word
from builder.rig.load import RigFolder
from builder.rig.model import Accuracy, Instrument, Meter, Session, Station, Taken
from builder.rig.part import Part
from builder.rig.thing import Thing, World, fields_of, value_name

from .sheet import Sheets, uncertain
from .value import Missing, Origin, Value

PART_RATINGS = {
    "voltage": "voltage_rating", "power": "power_rating", "current": "current_rating", "resistance": "resistance",
    "least": "least", "surge": "surge_rating", "energy": "energy_rating",
}  # fmt: skip
ASSUMED = 0.05
"""Accuracy of a reading where that of the meter is not known, as a share of the reading; common-practice."""
Values = dict[str, dict[str, Value]]


def written_values(
    things: Mapping[str, Thing], parts: Mapping[str, Part], folder: RigFolder, station: Document
) -> Values:
    """Values of the fields of every thing, and of the parts that they name."""
    rig = folder.documents["rig.yaml"]
    found: Values = {}
    for path, thing in things.items():
        document = station if path == "station" else rig
        start = () if path in {"station", "rig"} else tuple(path.split("."))
        found[path] = dict(_of_thing(thing, path, document, start, parts))
    return found


def _of_thing(
    thing: Thing, path: str, document: Document, start: tuple[str | int, ...], parts: Mapping[str, Part]
) -> Iterator[tuple[str, Value]]:
    for steps, item, refers in fields_of(thing):
        name = value_name(steps)
        place = document.place((*start, *steps))
        if isinstance(item, Quantity) and (word(name) or name == "range"):
            yield name, given(name, item, path, place)
        elif refers and refers.dimension and item in parts:
            yield from _of_part(name, item, parts[item], path, document)


def given(name: str, quantity: Quantity, path: str, place: Place, note: str = "") -> Value:
    """A value as it stands in a file."""
    number = uncertain(quantity.value, quantity.sigma)
    return Value(name, number, quantity.unit, Origin.GIVEN, path, place, note=note)


def _of_part(name: str, designator: str, part: Part, path: str, document: Document) -> Iterator[tuple[str, Value]]:
    place = document.place(("parts", designator))
    note = f"{designator}, {part.what}"
    if part.value:
        yield name, given(name, part.value, path, place, note)
    for field, suffix in PART_RATINGS.items():
        quantity = getattr(part, field)
        if quantity:
            yield f"{name}_{suffix}", given(f"{name}_{suffix}", quantity, path, place, note)


def measured_values(folder: RigFolder, station: Station, carrier: str, until: datetime.date | None) -> Values:
    """The latest reading of everything on one carrier.

    Args:
        folder: the rig with its readings.
        station: whose instruments were used.
        carrier: sessions on another one do not count.
        until: sessions after this day do not count; None takes all.
    """
    found: Values = {}
    for path, name, value, _date in readings(folder, station, until, carrier):
        found.setdefault(path, {})[name] = value
    return found


def readings(
    folder: RigFolder, station: Station, until: datetime.date | None = None, carrier: str | None = None
) -> Iterator[tuple[str, str, Value, datetime.date]]:
    """Every reading, oldest first: path of the thing, name of the value, the value, the day."""
    for index, session in enumerate(folder.readings.sessions):
        if until and session.date > until:
            continue
        if carrier and session.carrier and session.carrier != carrier:
            continue
        for steps, taken in _taken(session):
            path = "rig" if steps[0] == "rig" else f"{steps[0]}.{steps[1]}"
            name = value_name((steps[-1],))
            place = folder.place("readings.yaml", ("sessions", index, *steps))
            yield (
                path,
                name,
                _reading(name, taken, path, place, session, _instrument(taken, folder, station)),
                session.date,
            )


def _taken(session: Session) -> Iterator[tuple[tuple[str, ...], Taken]]:
    for collection in ("stages", "networks", "supplies"):
        for thing, values in getattr(session, collection).items():
            for name, taken in values.items():
                yield (collection, thing, name), taken
    for name, taken in session.rig.items():
        yield ("rig", name), taken


def _instrument(taken: Taken, folder: RigFolder, station: Station) -> Instrument | Meter:
    if taken.meter in folder.rig.meters:
        return _as_built(taken.meter, folder)
    return station.instruments[taken.meter]


def _as_built(name: str, folder: RigFolder) -> Meter:
    """A panel meter with the accuracy that its parts leave it, where that is worse than the one stated."""
    meter, path = folder.rig.meters[name], f"meters.{name}"
    values = dict(_of_thing(meter, path, folder.documents["rig.yaml"], ("meters", name), folder.rig.parts))
    world = World(folder.rig.parts, None, "", folder.rig.emission, None)
    sheet = Sheets({path: meter}, {path: values}, world).of(path)
    budget, stated = sheet["accuracy_budget"], sheet["accuracy_stated"]
    if isinstance(budget, Missing) or (isinstance(stated, Value) and stated.nominal >= budget.nominal):
        return meter
    worse = Accuracy.model_validate({"full scale": Quantity(budget.nominal, "")})
    return meter.model_copy(update={"accuracy": worse})


def _reading(name: str, taken: Taken, path: str, place: Place, session: Session, meter: Any) -> Value:
    sigma = _sigma(taken.reads, meter)
    label = meter.what if isinstance(meter, Instrument) else f"panel meter {meter.label}"
    note = f"{session.date}, {label}, {session.condition}"
    if sigma is None:
        note += f", accuracy of the meter not recorded, {ASSUMED:.0%} taken"
        sigma = float(standard_uncertainty(taken.reads.value, ASSUMED, 0.0, 0.0))
    number = uncertain(taken.reads.value, sigma)
    return Value(name, number, taken.reads.unit, Origin.MEASURED, path, place, note=note)


def _sigma(reads: Quantity, meter: Any) -> float | None:
    """Standard uncertainty of a reading: what the reading itself states, or the meter's accuracy; None if neither."""
    if reads.sigma:
        return reads.sigma
    accuracy = meter.accuracy
    if accuracy is None:
        return None
    of_reading = accuracy.reading.value if accuracy.reading else 0.0
    of_scale = accuracy.full_scale.value if accuracy.full_scale else 0.0
    scale = meter.range.value if meter.range else 0.0
    if (accuracy.full_scale and not scale) or not (of_reading or of_scale):
        return None
    return float(standard_uncertainty(reads.value, of_reading, of_scale, scale))
