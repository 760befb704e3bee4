"""Pages of the station: home, diagram, exposure, what is out of date, and the pages of reference."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from builder.account.exposure import Distance, distances, limit_table
from builder.account.safety import DEFER, highest_voltage, longest_wait
from builder.account.service import latest_reading
from builder.account.story import parse
from builder.account.wanting import wanted
from builder.examination.finding import CHECKS
from builder.reference.fits import LEFT_OUT, SAME_AS, fit
from builder.reference.fits import table as fit_table
from builder.reference.tables import Tube, sources, tube_file, tube_types, vocabulary
from builder.rig.load import COLLECTIONS
from builder.rig.reference_page import sections
from builder.rig.thing import fields_of

from .page import Tools, station_page

STALE = 365
"""Days after which readings and comparisons of meters count as old; common practice."""


@station_page("home", "Station", 1)
def home(tools: Tools) -> Mapping[str, Any]:
    """Every rig with its state."""
    rigs = [
        {
            "examination": item,
            "volts": highest_voltage(item),
            "wait": longest_wait(item),
            "latest": latest_reading(item),
        }
        for item in tools.examinations
    ]
    return {"station": tools.content.station, "rigs": rigs, "introduction": tuple(parse(tools.content.introduction))}


@station_page("station", "Station diagram", 2)
def station(tools: Tools) -> Mapping[str, Any]:
    """Rigs, antennas, instruments, contacts."""
    return {"station": tools.content.station, "examinations": tools.examinations}


@station_page("exposure", "Exposure", 3)
def exposure(tools: Tools) -> Mapping[str, Any]:
    """How far people stay from the antennas."""
    rows: list[Distance] = [row for item in tools.examinations for row in distances(item)]
    return {
        "rows": rows,
        "limits": limit_table(tools.content.station),
        "defer": DEFER,
        "rules": tools.content.station.rule_table,
    }


@dataclass(frozen=True)
class Stale:
    """Something that has not been looked at for long, or never was."""

    what: str
    since: str
    do: str


@station_page("out-of-date", "Out of date", 4)
def out_of_date(tools: Tools) -> Mapping[str, Any]:
    """What is old, counted from the newest day in the files, so that the same files give the same page."""
    newest = max((day for day in map(latest_reading, tools.examinations) if day), default=datetime.date.min)
    rules = tools.content.station.rule_table
    wants = [(item, wanted(item)) for item in tools.examinations if item.wanted]
    return {"rows": tuple(_stale(tools, newest)), "newest": newest, "rules": rules, "wanted": wants}


def _stale(tools: Tools, newest: datetime.date) -> Iterator[Stale]:
    for name, instrument in tools.content.station.instruments.items():
        if instrument.compared is None:
            yield Stale(f"{name} ({instrument.what})", "never", "compare it with a better meter and write down the day")
        elif (newest - instrument.compared).days > STALE:
            yield Stale(f"{name} ({instrument.what})", str(instrument.compared), "compare it again")
    for item in tools.examinations:
        latest = latest_reading(item)
        if latest is None or (newest - latest).days > STALE:
            yield Stale(f"readings of {item.rig.name}", str(latest or "never"), "take a set of readings")


@station_page("glossary", "Glossary", 5)
def glossary(tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001 - every page takes the same
    """Every value name with symbol, unit and how it is measured."""
    return {"words": sorted(vocabulary().items(), key=lambda item: item[1].words)}


@station_page("sources", "Sources", 6)
def source_list(tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Every publication, with what was read and what is recalled."""
    return {"sources": sorted(sources().items(), key=lambda item: item[1].reference)}


@station_page("checks", "Checks", 7, group="reference")
def check_list(tools: Tools) -> Mapping[str, Any]:
    """Every check there is."""
    return {
        "checks": sorted(CHECKS.values(), key=lambda row: (row.subject, row.title)),
        "examinations": tools.examinations,
    }


@station_page("rig-file", "Rig file", 8, group="reference")
def rig_file(tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """What a rig file may say, made from the model."""
    return {"sections": sections(), "collections": tuple(COLLECTIONS)}


@station_page("tubes", "Tubes", 9, group="reference")
def tubes(tools: Tools) -> Mapping[str, Any]:
    """Data of the tube types that the station uses, and the list of all that are known."""
    fields = (field for item in tools.examinations for field in fields_of(item.rig))
    used = sorted({str(value) for _path, value, refers in fields if refers and refers.what == "tube types"})
    known = tube_types()
    tables: list[Tube] = [tube_file(known[name]) for name in used]
    return {"tubes": tables, "all": sorted(known), "fits": {row.type: fit(row.type) for row in tables}}


@station_page("fits", "Tube models", 10, group="reference")
def tube_models(tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """What the fitted tubes rest on, and how far they err on columns that they have not seen."""
    table = fit_table()
    return {"fits": table.fits, "errors": table.errors, "same": SAME_AS, "left_out": LEFT_OUT}
