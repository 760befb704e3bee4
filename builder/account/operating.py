"""What the operator needs: dial settings, expected readings, procedures."""

from __future__ import annotations

from dataclasses import dataclass

from builder.examination.value import Value
from builder.examine import Examination
from builder.rig.model import Procedures, Step
from builder.rig.thing import value_name

NAMES = {
    "switch_on": "Switch on", "tune_up": "Tune up", "transmit": "Transmit and receive", "switch_off": "Switch off",
    "emergency": "Emergency",
}  # fmt: skip


@dataclass(frozen=True)
class Procedure:
    """A procedure with its steps; no steps means that none is recorded."""

    name: str
    title: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Expected:
    """What a panel meter should show, and where its red line is."""

    label: str
    shows: str
    reading: str
    scale: str
    red_line: str
    share: float | None
    red_share: float | None


def procedures(examination: Examination) -> tuple[Procedure, ...]:
    """Every procedure, in the order in which an operator meets them."""
    source: Procedures = examination.rig.procedures
    return tuple(Procedure(name, title, getattr(source, name)) for name, title in NAMES.items())


def settings(examination: Examination) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The tuning chart: heads (frequency and controls) and a row for each carrier."""
    carriers = examination.rig.carriers
    controls = tuple(dict.fromkeys(name for carrier in carriers.values() for name in carrier.settings))
    rows = tuple(
        (str(carrier.frequency), carrier.band or "", *(carrier.settings.get(name, "–") for name in controls))
        for carrier in carriers.values()
    )
    return ("frequency", "band", *(name.upper() for name in controls)), rows if controls else ()


def expected_readings(examination: Examination) -> tuple[Expected, ...]:
    """What each panel meter should show."""
    return tuple(_expected(examination, name) for name in examination.rig.meters)


def _expected(examination: Examination, name: str) -> Expected:
    meter = examination.rig.meters[name]
    reading = examination.value(f"meters.{name}", "meter_reading")
    thing = f"stages.{meter.shows.stage}" if meter.shows.stage else f"supplies.{meter.shows.supply}"
    limit = _limit(examination, thing, value_name((meter.shows.value,)))
    owner = examination.sheets[examination.carrier].things[thing]
    shows = f"{meter.shows.value}, {owner.title(thing.rsplit('.', 1)[-1])}"
    return Expected(
        meter.label,
        shows,
        reading.plain if reading else "not recorded",
        str(meter.range),
        limit.plain if limit else "none in the tables",
        abs(reading.nominal) / meter.range.value if reading else None,
        abs(limit.nominal) / meter.range.value if limit else None,
    )


def _limit(examination: Examination, thing: str, name: str) -> Value | None:
    """The largest value that the tubes allow, for all of them together where they share the meter."""
    rated = examination.value(thing, f"{name}_rated")
    count = examination.value(thing, "tubes_count")
    if rated is None or count is None or not name.endswith("current"):
        return rated
    return Value(rated.name, rated.number * count.nominal, rated.unit, rated.origin, rated.thing, source=rated.source)
