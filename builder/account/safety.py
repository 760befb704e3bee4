"""What can hurt, and how the rig is made safe; every sentence hangs on a named fact of the rig file."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from builder.examination.judge import Verdict
from builder.examination.value import Value
from builder.examine import Examination
from builder.reference.tables import safety_limits

from .meters import live_meters

ROUND_UP = 10
"""Waiting times are rounded up to whole tens of seconds."""
DEFER = "Local electrical codes and licensed practice come before anything written here."


class Level(StrEnum):
    """How bad it can get; words of the field's safety signs. Source: ANSI Z535.6 as summarised (not read in full)."""

    DANGER = "danger"
    WARNING = "warning"
    CAUTION = "caution"
    NOTICE = "notice"


STAYS = "does not fall by itself: it can stay charged for days"
"""What a supply does whose bleeder is open."""
MARK = {Level.DANGER: "⬣", Level.WARNING: "▲", Level.CAUTION: "◆", Level.NOTICE: "■"}
"""A shape for each level."""


@dataclass(frozen=True)
class CallOut:
    """One caution: what it is, what can happen, what to do, what never to do, whom to ask, and the fact behind it."""

    level: Level
    title: str
    happens: str
    do: str
    never: str
    ask: str
    because: str


@dataclass(frozen=True)
class Charge:
    """What a supply holds after switch-off."""

    supply: str
    title: str
    volts: str
    joules: str
    energy_class: str
    seconds: float | None
    wait: str
    with_bleeder_open: str
    failed: str


def charges(examination: Examination) -> tuple[Charge, ...]:
    """Stored charge of every supply, the largest voltage first."""
    found = [_charge(examination, name) for name in examination.rig.supplies]
    return tuple(sorted(found, key=lambda row: -_volts(examination, row.supply)))


def _volts(examination: Examination, supply: str) -> float:
    value = examination.value(f"supplies.{supply}", "start_voltage")
    return value.nominal if value else math.inf


def _charge(examination: Examination, name: str) -> Charge:
    path = f"supplies.{name}"
    time = examination.value(path, "longest_discharge")
    safe = examination.value("station", "accessible_voltage")
    start = examination.value(path, "start_voltage")
    harmless = bool(start and safe and start.nominal <= safe.nominal)
    seconds = time.nominal if time and math.isfinite(time.nominal) else None
    return Charge(
        name,
        examination.rig.supplies[name].title(name),
        _text(examination.value(path, "start_voltage")),
        _text(examination.value(path, "stored_energy")),
        HARMLESS if harmless else energy_class(examination.value(path, "stored_energy")),
        seconds,
        waiting(seconds),
        f"does not fall by itself, but is never above {safe.plain}" if harmless and safe else STAYS,
        "harmless" if harmless else "days",
    )


HARMLESS = "at a voltage that may be touched"
"""What is said of stored energy where the voltage cannot drive it through a body."""
ENERGY_CLASSES = ("lethal energy", "energy of a heavy shock", "energy that needs a safe discharge")
"""Limits of stored energy in the table of safety limits, the worst first."""


def energy_class(energy: Value | None) -> str:
    """What stored energy can do, by the highest limit that it exceeds.

    Args:
        energy: stored; None where it is not known, which is taken for the worst.
    """
    limits = [safety_limits()[name] for name in ENERGY_CLASSES]
    for limit in limits:
        if energy is None or energy.nominal > limit.amount.value:
            known = "" if energy else "not known; "
            return f"{known}{limit.meaning.replace('this', str(limit.amount), 1)}"
    return f"at or below {limits[-1].amount}, under every class of the table"


def _text(value: Value | None) -> str:
    return value.plain if value else "not recorded"


def waiting(seconds: float | None) -> str:
    """A waiting time for people: rounded up, or the statement that waiting does not help."""
    if seconds is None:
        return "waiting is no protection: no working bleeder is recorded"
    rounded = max(ROUND_UP, ROUND_UP * math.ceil(seconds / ROUND_UP))
    return f"{rounded} seconds"


def longest_wait(examination: Examination) -> str:
    """The waiting time that covers every supply."""
    rows = charges(examination)
    if any(row.seconds is None for row in rows):
        return waiting(None)
    return waiting(max((row.seconds or 0.0 for row in rows), default=0.0))


def wait_order(examination: Examination) -> str:
    """The order to wait, or the statement that waiting does not help."""
    wait = longest_wait(examination)
    return f"Wait {wait}." if wait.endswith("seconds") else f"{wait[0].upper()}{wait[1:]}."


def highest_voltage(examination: Examination) -> str:
    """The highest direct voltage that any supply can reach."""
    rows = charges(examination)
    return rows[0].volts if rows else "not recorded"


@dataclass(frozen=True)
class SafeStep:
    """One step of the make-safe card: the order, and what to know about it."""

    do: str
    know: str


def make_safe(examination: Examination) -> tuple[SafeStep, ...]:
    """The steps that make the rig safe to open, in order. Source of the order: iec60215-sum and capnote."""
    safety = examination.rig.safety
    switch = safety.main_switch or examination.station.main_switch or "the main switch is not recorded: pull the plug"
    live = "; ".join(safety.stays_live) or "nothing is recorded that stays live with the plug pulled"
    stick = safety.ground_stick if safety.ground_stick not in (None, "none") else None
    return (
        SafeStep(f"Switch off: {switch}.", "Then pull every mains plug and keep them in sight."),
        SafeStep(wait_order(examination), f"{_why_wait(examination)}{_doubt(examination)}"),
        SafeStep("Prove it dead with a meter that is rated for the voltage.", "A panel meter at zero proves nothing."),
        SafeStep(
            "Short every filter capacitor and the plate line to the chassis with the discharge stick, and leave it on.",
            f"Discharge stick: {stick}." if stick else "No discharge stick is recorded. Do not open it without one.",
        ),
        SafeStep("Hang the stick where you can see it, and take it off last.", f"What stays live: {live}."),
    )  # fmt: skip


BLEEDER_CHECKS = ("bleeder power", "discharge time")
"""Checks without which a waiting time cannot be relied on."""


def _doubt(examination: Examination) -> str:
    """A warning where a check says that a bleeder may have failed."""
    doubtful = [
        row.title for row in examination.findings if row.check.title in BLEEDER_CHECKS and row.verdict is Verdict.BEYOND
    ]
    if not doubtful:
        return ""
    return (
        f" Do not rely on the waiting time: the bleeder of {', '.join(dict.fromkeys(doubtful))} is overloaded or slow."
    )


def _why_wait(examination: Examination) -> str:
    rows = [row for row in charges(examination) if row.seconds is not None]
    told = "; ".join(f"{row.title} starts at {row.volts}" for row in rows)
    return (
        f"With its bleeders whole the rig is below 55 volts by then ({told}). A bleeder that has opened gives no sign."
    )


def call_outs(examination: Examination) -> tuple[CallOut, ...]:
    """Every caution that a fact of the rig file calls for, the worst first."""
    order = list(Level)
    return tuple(sorted(_call_outs(examination), key=lambda row: order.index(row.level)))


def _call_outs(examination: Examination) -> Iterator[CallOut]:
    yield from _tag(examination)
    yield from _voltage(examination)
    yield from _hazards(examination)
    yield from _meters(examination)
    yield from _mass(examination)
    for note in examination.rig.hazards.notes:
        yield CallOut(Level.WARNING, "The builder adds", note, "", "", "the station custodian", "hazards: notes")


def _tag(examination: Examination) -> Iterator[CallOut]:
    if examination.rig.tag:
        yield CallOut(
            Level.DANGER, examination.rig.tag, "The builder has put this tag on the rig.",
            "Leave it out of use until the tag is off.",
            "switch it on to see whether it still works.", "the builder, or the station custodian", "tag",
        )  # fmt: skip


def _voltage(examination: Examination) -> Iterator[CallOut]:
    for row in charges(examination):
        value = examination.value(f"supplies.{row.supply}", "start_voltage")
        safe = examination.value("station", "accessible_voltage")
        if value and safe and value.nominal <= safe.nominal:
            continue
        energy = examination.value(f"supplies.{row.supply}", "stored_energy")
        limit = examination.value("station", "hazardous_capacitor_energy")
        deadly = (
            energy is None or limit is None or energy.nominal > limit.nominal or not value or value.nominal > LETHAL
        )
        level = Level.DANGER if deadly else Level.WARNING
        yield CallOut(
            level,
            f"{row.title}: {row.volts}, {row.joules} stored",
            "Touching it can stop a heart. The charge stays after switch-off.",
            f"Make the rig safe in the order of the make-safe card ({row.wait}), then use the discharge stick.",
            "trust a switch, an interlock, a bleeder or a panel meter alone, or reach in with the plug in.",
            "a licensed electrician, or the club's station custodian",
            f"supplies: {row.supply}",
        )


LETHAL = 500.0
"""Volts above which contact is taken as deadly whatever the energy; source: army, electrical safety lesson."""
FACTS: dict[str, tuple[Level, str, str, str, str]] = {
    "mercury": (
        Level.WARNING, "Mercury inside",
        "A broken mercury-vapour tube gives off poisonous vapour. Turned over, it arcs when it is next switched on.",
        "Keep the tubes upright. After transport warm the filaments alone for 15 minutes. Broken: air, leave, ask.",
        "sweep or vacuum spilt mercury.",
    ),
    "pcb": (
        Level.WARNING, "Oil that may hold PCB",
        "Old oil-filled capacitors and transformers may hold polychlorinated biphenyls, a lasting poison.",
        "Leave sealed cans alone; touch leaking ones only with nitrile gloves; store them upright.",
        "open, heat, burn or pour away; they are not scrap.",
    ),
    "beryllium_oxide": (
        Level.WARNING, "Beryllium oxide ceramic",
        "Its dust damages the lungs for life.",
        "Keep the parts whole and marked.",
        "break, file, grind or sand the ceramic.",
    ),
    "asbestos": (
        Level.WARNING, "Asbestos",
        "Its fibres cause cancer many years later.",
        "Leave bonded sheet where it is.",
        "drill, saw or brush it.",
    ),
    "selenium": (
        Level.CAUTION, "Selenium rectifiers",
        "A failing stack gives off poisonous fumes with a strong smell.",
        "Switch off, air the room, replace the stack.",
        "stay to find out where the smell comes from.",
    ),
    "radioactive": (
        Level.CAUTION, "Weakly radioactive parts",
        "Primed gas tubes and luminous paint are harmless while whole.",
        "Leave them whole and labelled.",
        "open or scrape them.",
    ),
}  # fmt: skip
"""Words for each hazard that the rig file answers; facts from pcb761, be-osha, asb, se, niosh-hg of sources.yaml."""


def _hazards(examination: Examination) -> Iterator[CallOut]:
    for name, (level, title, happens, do, never) in FACTS.items():
        answer = getattr(examination.rig.hazards, name)
        if answer == "no":
            continue
        told = "" if answer == "yes" else "It is not known whether there is any. Treat it as if there were. "
        shown = title if answer == "yes" else f"{title}: not known"
        ask = "the local authority for hazardous waste"
        yield CallOut(level, shown, told + happens, do, never, ask, f"hazards: {name.replace('_', ' ')}: {answer}")


def _meters(examination: Examination) -> Iterator[CallOut]:
    for row in live_meters(examination):
        bare = row.cover == "none"
        yield CallOut(
            Level.DANGER if bare else Level.WARNING,
            f"Meter {row.label} sits in the {row.line}: {row.volts}",
            "Its movement, its terminals and its zero screw carry that voltage.",
            "Leave the rig out of use until it has a cover." if bare else "See that its cover is whole and in place.",
            "touch its face or turn its zero screw before the rig is made safe.",
            "the station custodian", "meters: potential",
        )  # fmt: skip


HEAVY, TOO_HEAVY = 25.0, 50.0
"""Kilograms above which two people lift, and above which nobody lifts by hand; source: common-practice."""


def _lift(kilograms: float) -> str:
    if kilograms > TOO_HEAVY:
        return "Nobody lifts it by hand: a lifting table or hoist, or take it apart unit by unit, iron first."
    return "Two people, tubes and covers out first, hands under the chassis."


def _mass(examination: Examination) -> Iterator[CallOut]:
    mass = examination.rig.mass
    if mass and mass.value > HEAVY:
        yield CallOut(
            Level.CAUTION, f"Heavy: {mass}", "The iron is not in the middle; it tips when it is lifted.",
            _lift(mass.value),
            "lift by knobs, meters or handles alone.",
            "a second pair of hands", "mass",
        )  # fmt: skip
