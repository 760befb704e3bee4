"""What the repairer and the next owner need: voltages, parts, tubes, history, what became of each finding."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from functools import cache

from builder.examination.given import readings
from builder.examination.judge import Verdict
from builder.examination.value import Value
from builder.examine import Examination, examine
from builder.quantity import show
from builder.reference.tables import cite_facts, electrodes_of
from builder.rig.load import Content
from builder.rig.stage import TubeStage

CHART = ("plate_voltage", "screen_voltage", "grid_bias", "heater_voltage")
"""Values of the voltage chart."""


@dataclass(frozen=True)
class ChartRow:
    """Voltages at one stage's tubes."""

    sockets: str
    type: str
    stage: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Trend:
    """Readings of one value over time."""

    thing: str
    words: str
    readings: tuple[tuple[datetime.date, str, str], ...]


@dataclass(frozen=True)
class Turn:
    """A finding whose verdict changed between two days of readings."""

    date: datetime.date
    check: str
    title: str
    before: Verdict
    after: Verdict


def voltage_chart(examination: Examination) -> tuple[ChartRow, ...]:
    """Voltages to expect at every tube, against its cathode, in the condition of the latest readings."""
    rows = []
    for name, stage in examination.rig.stages.items():
        tubes = getattr(stage, "tubes", None)
        if tubes is None:
            continue
        values = (examination.value(f"stages.{name}", wanted) for wanted in CHART)
        cells = tuple(f"{value.plain}{_mark(value)}" if value else "–" for value in values)
        rows.append(ChartRow(", ".join(tubes.sockets), tubes.type, stage.title(name), cells))
    return tuple(rows)


@dataclass(frozen=True)
class PinRow:
    """One pin or cap of a socket, with the voltage to expect there."""

    pin: str
    electrode: str
    volts: str


@dataclass(frozen=True)
class PinTable:
    """Pins of the tubes of a stage, as their socket is seen."""

    sockets: str
    type: str
    stage: str
    base: str
    seen_from: str
    note: str
    source: str
    rows: tuple[PinRow, ...]


AT_PIN = {
    "plate": "plate_voltage", "screen": "screen_voltage", "grid": "grid_bias", "heater": "heater_voltage",
    "filament": "heater_voltage",
}  # fmt: skip
"""Which value stands at which electrode."""


def pin_tables(examination: Examination) -> tuple[PinTable, ...]:
    """Voltage at each pin of every stage whose tube type has its pins in the tables."""
    found = []
    for name, stage in examination.rig.stages.items():
        socket = stage.tube.socket if isinstance(stage, TubeStage) else None
        if not isinstance(stage, TubeStage) or socket is None or not socket.pins:
            continue
        rows = [PinRow(pin, what, _at_pin(examination, name, stage, what)) for pin, what in socket.terminals]
        found.append(
            PinTable(
                ", ".join(stage.tubes.sockets), stage.tubes.type, stage.title(name), socket.base, socket.seen_from,
                socket.note, cite_facts(socket), tuple(rows),
            )
        )  # fmt: skip
    return tuple(found)


def _at_pin(examination: Examination, name: str, stage: TubeStage, terminal: str) -> str:
    """Voltage at a pin: of the electrodes that it is joined to, the first whose value can be had."""
    values = [examination.value(f"stages.{name}", AT_PIN[part]) for part in electrodes_of(terminal) if part in AT_PIN]
    value = next((value for value in values if value), None)
    if "cathode" in electrodes_of(terminal):
        return _at_cathode(examination.value(f"stages.{name}", "cathode_bias"), stage)
    if value is None:
        return "–"
    return f"{value.plain}{' AC' if value.name == 'heater_voltage' else ''}{_mark(value)}"


def _at_cathode(bias: Value | None, stage: TubeStage) -> str:
    """Voltages are counted from the cathode; where a resistor lifts it, that is said too."""
    resistor = (stage.cathode and stage.cathode.resistor) or getattr(stage, "cathode_load", None)
    if bias is None:
        return f"0 V, lifted by {resistor}" if resistor else "0 V"
    return f"0 V, {show(abs(bias.nominal), bias.unit)} above chassis{_mark(bias)}"


def _mark(value: Value) -> str:
    return "" if value.origin == "measured" else " *"


def trends(examination: Examination) -> tuple[Trend, ...]:
    """Every value that was read more than once."""
    found: dict[tuple[str, str], list[tuple[datetime.date, Value]]] = {}
    for path, name, value, date in readings(examination.folder, examination.station):
        found.setdefault((path, name), []).append((date, value))
    return tuple(
        Trend(path, rows[0][1].words, tuple((date, str(value), value.note) for date, value in rows))
        for (path, _name), rows in found.items()
        if len(rows) > 1
    )


@cache
def turns(examination: Examination, content: Content) -> tuple[Turn, ...]:
    """Findings whose verdict changed from one day of readings to the next, oldest first."""
    days = sorted({session.date for session in examination.folder.readings.sessions})
    states = [_verdicts(examine(content, examination.folder, day)) for day in days[:-1]]
    states.append(_verdicts(examination))
    found = []
    for day, before, after in zip(days[1:], states, states[1:], strict=False):
        changed = [key for key, verdict in after.items() if key in before and before[key] is not verdict]
        found += [
            Turn(day, key[0], key[1], before[key], after[key]) for key in changed if _matters(before[key], after[key])
        ]
    return tuple(found)


def _verdicts(examination: Examination) -> dict[tuple[str, str, str], Verdict]:
    return {(row.check.title, row.title, row.carrier): row.verdict for row in examination.findings}


def _matters(before: Verdict, after: Verdict) -> bool:
    return Verdict.BEYOND in {before, after} or Verdict.CLOSE in {before, after}


def latest_reading(examination: Examination) -> datetime.date | None:
    """The day of the last readings; None where nothing was measured."""
    return max((session.date for session in examination.folder.readings.sessions), default=None)
