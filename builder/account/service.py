"""What the repairer and the next owner need: voltages, parts, tubes, history, what became of each finding."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from functools import cache

from builder.examination.given import readings
from builder.examination.judge import Verdict
from builder.examination.value import Value
from builder.examine import Examination, examine
from builder.rig.load import Content

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
    """Voltages to expect at every tube, against chassis, in the condition of the latest readings."""
    rows = []
    for name, stage in examination.rig.stages.items():
        tubes = getattr(stage, "tubes", None)
        if tubes is None:
            continue
        values = (examination.value(f"stages.{name}", wanted) for wanted in CHART)
        cells = tuple(f"{value.plain}{_mark(value)}" if value else "–" for value in values)
        rows.append(ChartRow(", ".join(tubes.sockets), tubes.type, stage.title(name), cells))
    return tuple(rows)


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
