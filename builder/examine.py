"""A rig to its examination: every value, every finding. Read it from top to bottom and you know the whole."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from builder import discover
from builder.examination.finding import CHECKS, Check, Finding
from builder.examination.given import Values, measured_values, written_values
from builder.examination.judge import WORST_FIRST, Verdict
from builder.examination.sheet import Sheet, Sheets
from builder.examination.value import Missing, Value
from builder.rig.load import Content, RigFolder
from builder.rig.model import Carrier, Rig, Station
from builder.rig.thing import Thing, World


@dataclass(frozen=True, eq=False)
class Examination:
    """What is known of one rig. Pages, papers, drawings, terminal and JSON read it and compute nothing.

    Args:
        folder: the rig with its readings and story.
        station: that it belongs to.
        sheets: of every thing, by carrier.
        carrier: the one that is used where only one is shown.
        findings: the outcome of every check, worst first.
    """

    folder: RigFolder
    station: Station
    sheets: Mapping[str, Sheets]
    carrier: str
    findings: tuple[Finding, ...]

    @property
    def id(self) -> str:
        """Name of the rig's folder."""
        return self.folder.id

    @property
    def rig(self) -> Rig:
        """The rig as its file describes it."""
        return self.folder.rig

    def sheet(self, thing: str, carrier: str = "") -> Sheet:
        """Values of a thing, by its path, on a carrier."""
        return self.sheets[carrier or self.carrier].of(thing)

    def value(self, thing: str, name: str, carrier: str = "") -> Value | None:
        """One value; None where it cannot be had."""
        found = self.sheet(thing, carrier)[name]
        return found if isinstance(found, Value) else None

    @cached_property
    def tally(self) -> dict[Verdict, int]:
        """How many findings there are of each verdict."""
        return {verdict: sum(row.verdict is verdict for row in self.findings) for verdict in Verdict}

    @property
    def state(self) -> Verdict:
        """The worst verdict there is, lack of data not counted."""
        told = [verdict for verdict in WORST_FIRST if verdict is not Verdict.NOT_SHOWN and self.tally[verdict]]
        return told[0] if told else Verdict.NOT_SHOWN

    def findings_on(self, thing: str) -> tuple[Finding, ...]:
        """Findings about one thing."""
        return tuple(row for row in self.findings if row.thing == thing)

    @cached_property
    def wanted(self) -> tuple[tuple[str, int], ...]:
        """Readings and entries that would settle most, with the number of findings that wait for each."""
        counts: dict[str, int] = {}
        for need in (need for finding in self.findings for need in finding.needs):
            counts[need] = counts.get(need, 0) + 1
        return tuple(sorted(counts.items(), key=lambda row: (-row[1], row[0])))


def examine(content: Content, folder: RigFolder, until: datetime.date | None = None) -> Examination:
    """Work out everything about one rig.

    Args:
        content: the station that it belongs to.
        folder: the rig.
        until: readings after this day are left aside; None takes all.
    """
    discover.modules("builder.checks")
    discover.modules("builder.rig.stages")
    things = _things(content.station, folder.rig)
    written = written_values(things, folder.rig.parts, folder, content.station_document)
    sheets = {name: _sheets(content, folder, things, written, name, until) for name in folder.rig.carriers}
    read_on = _carriers_with_readings(folder, until)
    main = (read_on or tuple(sheets))[0]
    findings = [
        _judge(check, path, thing, sheets[carrier], carrier)
        for check in CHECKS.values()
        for path, thing in things.items()
        if isinstance(thing, check.of) and check.applies(thing)
        for carrier in _carriers_for(check, path, thing, main, tuple(sheets), read_on)
    ]
    order = {verdict: rank for rank, verdict in enumerate(WORST_FIRST)}
    findings.sort(key=lambda row: (order[row.verdict], row.check.subject, row.check.title, row.thing))
    return Examination(folder, content.station, sheets, main, tuple(findings))


def _things(station: Station, rig: Rig) -> dict[str, Thing]:
    """Everything that has values, by path."""
    found: dict[str, Thing] = {"station": station, "rig": rig}
    groups = (rig.carriers, rig.stages, rig.networks, rig.supplies, rig.meters, rig.windings, rig.cords, rig.circuits)
    for collection in groups:
        found |= {f"{thing.collection}.{name}": thing for name, thing in collection.items()}
    return found


def _sheets(
    content: Content,
    folder: RigFolder,
    things: Mapping[str, Thing],
    written: Values,
    carrier: str,
    until: datetime.date | None,
) -> Sheets:
    """The sheets of every thing on one carrier."""
    rig, station = folder.rig, content.station
    frequency = rig.carriers[carrier].frequency.value
    world = World(rig.parts, station.rule_table, station.license_class, rig.emission, frequency, carrier)
    given = dict(written)
    for path, values in measured_values(folder, station, carrier, until).items():
        given[path] = {**given.get(path, {}), **values}
    alias = f"carriers.{carrier}"
    return Sheets({**things, "carrier": things[alias]}, {**given, "carrier": given.get(alias, {})}, world)


def _carriers_with_readings(folder: RigFolder, until: datetime.date | None) -> tuple[str, ...]:
    sessions = [row for row in folder.readings.sessions if until is None or row.date <= until]
    met = {row.carrier for row in sessions}
    return tuple(name for name in folder.rig.carriers if name in met)


def _carriers_for(
    check: Check, path: str, thing: Thing, main: str, carriers: tuple[str, ...], read_on: tuple[str, ...]
) -> tuple[str, ...]:
    if isinstance(thing, Carrier):
        return (path.rsplit(".", 1)[-1],)
    if check.every_carrier:
        return carriers
    return (read_on or (main,)) if check.each_carrier else (main,)


def _judge(check: Check, path: str, thing: Thing, sheets: Sheets, carrier: str) -> Finding:
    """Make one check on one thing."""
    sheet = sheets.of(path)
    found = {name: sheet[name] for name in check.parameters}
    values = {name: item for name, item in found.items() if isinstance(item, Value)}
    missing = tuple(item for item in found.values() if isinstance(item, Missing))
    title = thing.title(path.rsplit(".", 1)[-1])
    named = carrier if (check.each_carrier or check.every_carrier) and not isinstance(thing, Carrier) else ""
    if missing:
        reason = next((item.reason for item in missing if item.reason), "") or _lacking(missing)
        return Finding(check, path, title, named, Verdict.NOT_SHOWN, None, values, missing, reason)
    judgement = check.function(*(item.number for item in values.values()))
    verdict = judgement.verdict(check.margin)
    reason = _straddling(values) if verdict is Verdict.NOT_SHOWN else ""
    return Finding(check, path, title, named, verdict, judgement, values, (), reason)


def _lacking(missing: tuple[Missing, ...]) -> str:
    needs = tuple(dict.fromkeys(need for item in missing for need in item.needs))
    return f"not recorded: {'; '.join(needs)}" if needs else "not recorded: " + ", ".join(i.words for i in missing)


def _straddling(values: Mapping[str, Value]) -> str:
    judged = next(iter(values.values()))
    return f"the limit lies inside what is uncertain of the value ({judged}); better readings would settle it"


def examine_all(content: Content) -> Iterator[Examination]:
    """Every rig of a station."""
    return (examine(content, folder) for folder in content.rigs)


def as_json(examination: Examination) -> dict[str, Any]:
    """Everything that was found, as plain data."""
    from builder.examination.export import finding_data, value_data

    things = examination.sheets[examination.carrier].things
    values = [
        value_data(found, carrier)
        for carrier in examination.sheets
        for path in things
        if path != "carrier"
        for found in examination.sheet(path, carrier).all()
    ]
    return {
        "rig": examination.id,
        "name": examination.rig.name,
        "carrier": examination.carrier,
        "tally": {str(verdict): count for verdict, count in examination.tally.items()},
        "values": values,
        "findings": [finding_data(row) for row in examination.findings],
    }
