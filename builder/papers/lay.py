"""The first page: for a finder or heir who knows nothing of radio; no word of the trade may stand here."""

from __future__ import annotations

from typing import Any

from builder.account import safety
from builder.examination.judge import Verdict
from builder.examine import Examination
from builder.rig.load import Content

SENT = {"A1A": "Morse code", "A3E": "speech", "H3E": "speech", "J3E": "speech"}
OWN_STEPS = 2
"""Steps of the make-safe card that anybody can do; what follows is for trained hands."""
TWO_PEOPLE = safety.HEAVY
TOO_HEAVY = 2 * safety.HEAVY
"""Kilograms above which two people do not lift either: twice what one may."""


def first_page(content: Content, examination: Examination) -> dict[str, Any]:
    """Everything on the first page.

    Args:
        content: the station.
        examination: of the rig.
    """
    steps = [{"do": row.do, "know": row.know} for row in safety.make_safe(examination)]
    return {
        "what": what(examination),
        "kills": kills(content, examination),
        "wait": wait(examination),
        "own": steps[:OWN_STEPS],
        "trained": steps[OWN_STEPS:],
        "moving": moving(examination),
        "call": [contact(row) for row in content.station.contacts],
        "emergency": [contact(row) for row in content.station.emergency],
        "belongs": belongs(examination),
    }


def what(examination: Examination) -> list[str]:
    """What the object is, in plain words."""
    rig = examination.rig
    if rig.exciter:
        kind = "a home-built amplifier: it makes the signal of another radio set stronger"
    else:
        kind = f"a home-built radio transmitter: it sends {SENT[rig.emission]} through an antenna"
    built = f" It was built {'in ' if rig.built and rig.built[0].isdigit() else ''}{rig.built}." if rig.built else ""
    return [
        f"This is {kind}. Its builder calls it {rig.name}.{built}",
        "It is not a household appliance. Only a licensed radio amateur may put it on the air; anybody may own it.",
    ]


def kills(content: Content, examination: Examination) -> list[str]:
    """What can kill, in plain words."""
    inside, mains = safety.highest_voltage(examination), content.station.mains.voltage
    return [
        f"Up to {inside} inside (1 kV is one thousand volts; a wall outlet here gives {mains}).",
        "One touch can stop a heart. It stays inside for a while after the plug is pulled; a dark lamp proves nothing.",
        "Never take off a cover. Never reach inside. Never plug it in to see whether it works.",
    ]


def wait(examination: Examination) -> dict[str, Any]:
    """The waiting time: as a number to be set large, or as the statement that waiting does not help or is in doubt."""
    text = safety.longest_wait(examination)
    number, _, unit = text.partition(" ")
    helps = number.isdigit()
    doubt = any(
        row.check.title in safety.BLEEDER_CHECKS and row.verdict is Verdict.BEYOND for row in examination.findings
    )
    return {
        "text": text,
        "helps": helps,
        "doubt": doubt,
        "number": number if helps else "",
        "unit": unit if helps else "",
    }


def moving(examination: Examination) -> list[str]:
    """Weight, and how it is moved."""
    mass, size = examination.rig.mass, examination.rig.size
    if mass is None:
        lift = "Its weight is not recorded. Expect it to be heavier than it looks, and lift it with two people."
    elif mass.value > TOO_HEAVY:
        lift = f"It weighs {mass}: nobody lifts this by hand. Somebody who knows it takes it apart before it is moved."
    elif mass.value > TWO_PEOPLE:
        lift = f"It weighs {mass}: two people lift it. The heavy side is not in the middle; it tips."
    else:
        lift = f"It weighs {mass}. The heavy side is not in the middle; it tips."
    told = [
        lift,
        "Hold it from below, never by knobs, meters or handles alone. Keep it upright; never lay it on its face.",
    ]
    return [*told, f"Size: {size}."] if size else told


def contact(row: Any) -> dict[str, str]:
    """Someone to ask."""
    return {"who": capital(row.who), "how": row.how, "about": row.about or ""}


def capital(text: str) -> str:
    """A text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def belongs(examination: Examination) -> list[str]:
    """What goes with it; empty where nothing is recorded."""
    rig = examination.rig
    spares = [f"{row.count} spare {row.type}{f' ({row.note})' if row.note else ''}" for row in rig.spares]
    return [*rig.belongs, *spares]
