"""Panel meters as built: what the scale says, what flows, how far a reading can be trusted, what to measure."""

from __future__ import annotations

from dataclasses import dataclass

from builder.examination.finding import Finding
from builder.examination.value import Value
from builder.examine import Examination
from builder.quantity import show
from builder.rig.metering import AT_POTENTIAL
from builder.rig.model import Meter

NOT_KNOWN = "–"
COVERED = {"insulating": ", insulating cover", "recessed glass": ", behind recessed glass", "none": ", bare"}
MADE = ("shunt value", "multiplier value", "accuracy as stated", "multiplier voltage", "multiplier power")
"""Checks of how a meter is made."""

WORKED_OUT = (
    "shunt_needed", "current_range_built", "multiplier_needed", "voltage_range_built", "scale_error", "parts_error",
    "accuracy_budget",
)  # fmt: skip
"""Values of a meter whose arithmetic is shown, in the order in which they follow from each other."""


@dataclass(frozen=True)
class MeterRow:
    """One meter in the metering table.

    Args:
        label: what the panel says.
        shows: what it reads.
        marked: full scale as its face says.
        built: what brings it to full scale.
        error: how far the scale reads high or low.
        left: accuracy at full scale that its parts leave.
        used: accuracy at full scale that verdicts use.
        finding: the worst finding about how it is made.
        values: what was worked out of its parts.
    """

    label: str
    shows: str
    marked: str
    built: str
    error: str
    left: str
    used: str
    finding: Finding | None
    values: tuple[Value, ...]


@dataclass(frozen=True)
class ResistorRow:
    """The shunt or multiplier of a meter, for the one who measures it.

    Args:
        label: of the meter.
        movement: full scale and resistance of the movement alone.
        part: designator.
        what: number and value of the resistors, with their tolerance.
        strain: voltage on each, or drop of the whole meter.
        potential: what the movement carries, with its cover.
    """

    label: str
    movement: str
    part: str
    what: str
    strain: str
    potential: str


@dataclass(frozen=True)
class LiveMeter:
    """A meter whose movement is not at earth."""

    label: str
    line: str
    volts: str
    cover: str


def metering(examination: Examination) -> tuple[MeterRow, ...]:
    """Every panel meter with its marked and its true range; nothing where no meter says how it is made."""
    meters = examination.rig.meters
    if not any(meter.movement for meter in meters.values()):
        return ()
    return tuple(_row(examination, name, meter) for name, meter in meters.items())


def _row(examination: Examination, name: str, meter: Meter) -> MeterRow:
    path = f"meters.{name}"
    built = _first(examination, path, "current_range_built", "voltage_range_built")
    budget, used = (examination.value(path, name) for name in ("accuracy_budget", "accuracy_used"))
    return MeterRow(
        meter.label,
        meter.shows.value,
        str(meter.range),
        show(built.nominal, built.unit, 4) if built else NOT_KNOWN,
        _high_or_low(examination.value(path, "scale_error")),
        budget.plain if budget else NOT_KNOWN,
        used.plain if used else NOT_KNOWN,
        next((row for row in examination.findings_on(path) if row.check.title in MADE), None),
        tuple(value for name in WORKED_OUT if (value := examination.value(path, name)) and value.formula),
    )


def _first(examination: Examination, path: str, *names: str) -> Value | None:
    found = (examination.value(path, name) for name in names)
    return next((value for value in found if value), None)


RIGHT = 5e-5
"""Error of a scale below which it reads right; one unit of the last digit that is shown."""


def _high_or_low(error: Value | None) -> str:
    if error is None:
        return NOT_KNOWN
    if abs(error.nominal) < RIGHT:
        return "right"
    return f"{show(abs(error.nominal), '%', 2)} {'high' if error.nominal > 0 else 'low'}"


def resistors(examination: Examination) -> tuple[ResistorRow, ...]:
    """Every meter whose shunt or multiplier is recorded."""
    meters = examination.rig.meters.items()
    return tuple(_resistor(examination, name, meter) for name, meter in meters if meter.shunt or meter.multiplier)


def _resistor(examination: Examination, name: str, meter: Meter) -> ResistorRow:
    path = f"meters.{name}"
    part, count, how = _placed(meter)
    row = examination.rig.parts[part]
    spread = f" ± {show(row.tolerance.value, '%', 2)}" if row.tolerance else ""
    each = f"{row.value}{spread}" if row.value else NOT_KNOWN
    voltage = examination.value(path, "multiplier_voltage_each")
    drop = examination.value(path, "voltage_burden")
    strain = f"at most {voltage.plain} on each" if voltage else f"drops {drop.plain} in all" if drop else NOT_KNOWN
    return ResistorRow(
        meter.label, _movement(meter), part, f"{count} × {each} {how}" if count > 1 else each, strain, _sits(meter)
    )


def _placed(meter: Meter) -> tuple[str, int, str]:
    """Designator, number and arrangement of the resistors."""
    if meter.multiplier:
        return meter.multiplier.resistor, meter.multiplier.string, "in series"
    if meter.shunt:
        return meter.shunt.resistor, meter.shunt.parallel, "in parallel"
    return NOT_KNOWN, 0, ""


def _movement(meter: Meter) -> str:
    told = (meter.movement.current, meter.movement.resistance) if meter.movement else ()
    return ", ".join(str(item) for item in told if item) or NOT_KNOWN


def _sits(meter: Meter) -> str:
    return f"{meter.potential or NOT_KNOWN}{COVERED.get(meter.cover or '', '')}"


def live_meters(examination: Examination) -> tuple[LiveMeter, ...]:
    """Every meter whose movement carries more than may be touched, covered or not."""
    found = (_live(examination, meter) for meter in examination.rig.meters.values() if meter.potential in AT_POTENTIAL)
    return tuple(row for row in found if row)


def _live(examination: Examination, meter: Meter) -> LiveMeter | None:
    line = meter.potential or ""
    stage = meter.shows.stage
    thing, name = (
        (f"stages.{stage}", AT_POTENTIAL[line]) if stage else (f"supplies.{meter.shows.supply}", "no_load_voltage")
    )
    volts, safe = examination.value(thing, name), examination.value("station", "accessible_voltage")
    if volts and safe and abs(volts.nominal) <= safe.nominal:
        return None
    return LiveMeter(
        meter.label, line, volts.plain if volts else "a voltage that is not recorded", meter.cover or "none"
    )
