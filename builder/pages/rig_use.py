"""Pages of a rig for those who use it, mend it, build it again or print about it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from builder.account.meters import resistors
from builder.account.operating import expected_readings, procedures
from builder.account.safety import DEFER, call_outs, charges, make_safe
from builder.account.service import CHART, pin_tables, trends, turns, voltage_chart
from builder.account.story import blocks, word_count
from builder.account.switching import LEGEND, actions, differences
from builder.account.tuning import channels, source_harmonics, tuning_chart
from builder.account.wanting import title_of
from builder.examine import Examination
from builder.reference.tables import word

from .page import Tools, rig_page


@rig_page("story", "Story", 2, "story.md")
def story(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001 - every page takes the same
    """The builder's own words."""
    return {"blocks": blocks(examination), "words": word_count(examination)}


@rig_page("safety", "Safety", 6)
def safety(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """What can hurt, and how the rig is made safe."""
    station = examination.station
    return {
        "call_outs": call_outs(examination),
        "charges": charges(examination),
        "steps": make_safe(examination),
        "defer": DEFER,
        "contacts": (*station.emergency, *station.contacts),
        "protection": examination.rig.safety,
    }


@rig_page("operating", "Operating", 7)
def operating(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Procedures, tuning chart, expected readings."""
    heads, rows = tuning_chart(examination)
    return {
        "procedures": procedures(examination),
        "heads": heads,
        "settings": rows,
        "channels": channels(examination),
        "source": examination.rig.signal_source,
        "harmonics": source_harmonics(examination),
        "expected": expected_readings(examination),
        "actions": actions(examination),
        "legend": LEGEND,
        "differences": differences(examination),
        "defer": DEFER,
    }


@rig_page("service", "Service", 8)
def service(examination: Examination, tools: Tools) -> Mapping[str, Any]:
    """Voltage chart, parts, tubes, faults, history."""
    heads = [entry.words if (entry := word(name)) else name for name in CHART]
    return {
        "chart": voltage_chart(examination),
        "chart_heads": ("sockets", "type", "stage", *heads),
        "pins": pin_tables(examination),
        "resistors": resistors(examination),
        "parts": sorted(examination.rig.parts.items(), key=lambda item: _order(item[0])),
        "trends": [(title_of(examination, trend.thing), trend) for trend in trends(examination)],
        "turns": turns(examination, tools.content),
    }


def _order(designator: str) -> tuple[str, int, str]:
    letters = "".join(character for character in designator if character.isalpha())
    digits = "".join(character for character in designator if character.isdigit())
    return letters, int(digits or 0), designator


@rig_page("construction", "Construction", 9)
def construction(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Panels to scale with their hole schedules, and the photographs."""
    panels = [
        (name, panel, sorted(panel.openings, key=lambda row: (row.hole.value, row.x.value)))
        for name, panel in examination.rig.panels.items()
    ]
    return {"panels": panels}


@rig_page("papers", "Papers", 10)
def papers(examination: Examination, tools: Tools) -> Mapping[str, Any]:
    """What there is to print."""
    return {"files": tools.papers(examination)}
