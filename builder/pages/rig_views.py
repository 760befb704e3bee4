"""Pages of a rig that show the examination itself: overview, circuit, performance, design checks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from builder.account.figures import key_figures, performance
from builder.account.safety import highest_voltage, longest_wait
from builder.account.service import latest_reading
from builder.examination.judge import Verdict
from builder.examination.value import Value
from builder.examine import Examination

from .page import Tools, rig_page


@rig_page("overview", "Overview", 1)
def overview(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001 - every page takes the same
    """What the rig is and how it stands."""
    open_findings = [row for row in examination.findings if row.verdict in {Verdict.BEYOND, Verdict.CLOSE}]
    return {
        "figures": key_figures(examination),
        "open_findings": open_findings,
        "wanted": examination.wanted[:5],
        "volts": highest_voltage(examination),
        "wait": longest_wait(examination),
        "latest": latest_reading(examination),
    }


@rig_page("circuit", "Circuit", 3)
def circuit(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Block diagram, a fragment for each stage and supply, the operating point beside it."""
    groups = {group.thing: group for group in performance(examination)}
    rig = examination.rig
    parts = [(f"stages.{name}", stage.title(name), stage.does or "") for name, stage in rig.stages.items()]
    parts += [(f"supplies.{name}", supply.title(name), supply.feeds or "") for name, supply in rig.supplies.items()]
    things = [
        {"path": path, "title": title, "does": does, "group": groups.get(path), "kind": _kind(examination, path)}
        for path, title, does in parts
    ]
    return {"things": things}


def _kind(examination: Examination, path: str) -> str:
    thing = examination.sheets[examination.carrier].things[path]
    tubes = getattr(thing, "tubes", None)
    return (
        f"{thing.kind_words}, {', '.join(tubes.sockets)} {tubes.type}, {tubes.service}" if tubes else thing.kind_words
    )


@rig_page("performance", "Performance", 4, "readings.yaml")
def performance_page(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Measured, given, computed and rated values side by side, and the plots."""
    supplies = list(examination.rig.supplies)
    computed = [
        (group.title, [row.value for row in group.rows if isinstance(row.value, Value) and row.value.formula])
        for group in performance(examination)
    ]
    return {
        "groups": performance(examination),
        "plots": ["envelope", "trapezoid", *(f"decay-{name}" for name in supplies)],
        "computed": [(title, values) for title, values in computed if values],
    }


@rig_page("checks", "Design checks", 5)
def checks(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Every finding with its arithmetic."""
    by_verdict = [
        (verdict, [row for row in examination.findings if row.verdict is verdict])
        for verdict in (Verdict.BEYOND, Verdict.CLOSE, Verdict.NOT_SHOWN, Verdict.WITHIN)
    ]
    return {"by_verdict": by_verdict, "wanted": examination.wanted}
