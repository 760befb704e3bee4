"""Values and findings as plain data for JSON."""

from __future__ import annotations

import math
from typing import Any

from .finding import Finding
from .notation import Terminal
from .value import Missing, Value
from .working import working


def number(value: float) -> float | str:
    """A number that JSON can carry; endless ones become a word."""
    return value if math.isfinite(value) else "unlimited"


def value_data(found: Value | Missing, carrier: str) -> dict[str, Any]:
    """One value, with unit, origin, and where it stands or how it was worked out."""
    if isinstance(found, Missing):
        reason = found.reason or "not recorded"
        return {"thing": found.thing, "name": found.name, "carrier": carrier, "origin": "missing", "reason": reason,
                "needs": list(found.needs)}  # fmt: skip
    data: dict[str, Any] = {
        "thing": found.thing,
        "name": found.name,
        "carrier": carrier,
        "value": number(found.nominal),
        "unit": found.unit,
        "uncertainty": number(found.sigma),
        "shown": str(found),
        "origin": str(found.origin),
    }
    if found.place:
        data["place"] = str(found.place)
    shown = working(found)
    if shown:
        data["working"] = [shown.formula(Terminal()), shown.filled_in(Terminal())]
    if found.source:
        data["source"] = found.citation
    if found.note:
        data["note"] = found.note
    return data


def finding_data(finding: Finding) -> dict[str, Any]:
    """One finding, with verdict, margin and source."""
    from builder.reference.tables import cite

    data: dict[str, Any] = {
        "check": finding.check.id,
        "subject": finding.check.subject,
        "thing": finding.thing,
        "carrier": finding.carrier or None,
        "verdict": str(finding.verdict),
        "margin": finding.check.margin,
        "room": None if finding.room is None else number(finding.room),
        "values": {name: str(value) for name, value in finding.values.items()},
        "source": cite(finding.check.source),
    }
    if finding.judgement:
        data["rule"] = finding.judgement.how
    if finding.reason:
        data["reason"] = finding.reason
    if finding.needs:
        data["needs"] = list(finding.needs)
    return data
