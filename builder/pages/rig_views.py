"""Pages of a rig that show the examination itself: overview, circuit, performance, design checks."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from builder.account.figures import NETWORK_ON_CIRCUIT, Group, arithmetic, key_figures, performance
from builder.account.levels import steps
from builder.account.meters import metering
from builder.account.operation import Loading, loadings
from builder.account.safety import highest_voltage, longest_wait
from builder.account.service import latest_reading
from builder.account.supply_curves import Compared, compared
from builder.account.tuning import Table, by_carrier, filter_parts
from builder.account.wanting import waiting, wanted
from builder.examination.judge import Verdict
from builder.examine import Examination

from .page import Tools, anchor, rig_page


@rig_page("overview", "Overview", 1)
def overview(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001 - every page takes the same
    """What the rig is and how it stands."""
    open_findings = [row for row in examination.findings if row.verdict in {Verdict.BEYOND, Verdict.CLOSE}]
    return {
        "figures": key_figures(examination),
        "open_findings": open_findings,
        "wanted": wanted(examination)[:5],
        "volts": highest_voltage(examination),
        "wait": longest_wait(examination),
        "latest": latest_reading(examination),
    }


@rig_page("circuit", "Circuit", 3)
def circuit(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Block diagram, a fragment for each stage and supply, the operating point beside it."""
    groups = {group.thing: _brief(group) for group in performance(examination)}
    rig = examination.rig
    parts = [(f"stages.{name}", stage.title(name), stage.does or "") for name, stage in rig.stages.items()]
    parts += [(f"networks.{name}", network.title(name), "") for name, network in rig.networks.items()]
    parts += [(f"supplies.{name}", supply.title(name), supply.feeds or "") for name, supply in rig.supplies.items()]
    things = [
        {
            "path": path,
            "title": title,
            "does": does,
            "group": groups.get(path),
            "kind": _kind(examination, path),
            "figures": _figures(path),
            "carriers": _carriers(examination, path),
            "filter": _filter(examination, path),
        }
        for path, title, does in parts
    ]
    return {"things": things}


def _brief(group: Group) -> Group:
    """A group without the rows of a network that only its performance page has."""
    if not group.thing.startswith("networks."):
        return group
    return replace(group, rows=tuple(row for row in group.rows if row.name in NETWORK_ON_CIRCUIT))


def _figures(path: str) -> list[str]:
    """Names of the drawings beside a thing's values."""
    collection, name = path.split(".", 1)
    return [f"response-{name.replace(' ', '-')}"] if collection == "networks" else [f"fragment-{anchor(path)}"]


def _carriers(examination: Examination, path: str) -> Table | None:
    """What changes from carrier to carrier, where that is told."""
    collection, name = path.split(".", 1)
    found = by_carrier(examination, name) if collection == "networks" else None
    if found is None or len(found[0]) < 2:
        return None
    heads, *rows = zip(found[0], *found[1], strict=True)
    return heads, tuple(rows)


def _filter(examination: Examination, path: str) -> Table | None:
    """The parts of a network's low-pass filter, where they are listed."""
    collection, name = path.split(".", 1)
    found = filter_parts(examination, name) if collection == "networks" else None
    return found if found and found[1] else None


def _kind(examination: Examination, path: str) -> str:
    thing = examination.sheets[examination.carrier].things[path]
    tubes = getattr(thing, "tubes", None)
    words = re.sub(r"^rf\b", "RF", thing.kind_words)
    own = " (from the station's own tables)" if getattr(getattr(thing, "tube", None), "own", False) else ""
    if tubes:
        return f"{words}, {', '.join(tubes.sockets)} {tubes.type}{own}, {tubes.service}"
    rectifier = getattr(thing, "rectifier", None)
    return f"{words}, {rectifier.type}{own}" if rectifier else words


@rig_page("performance", "Performance", 4, "readings.yaml")
def performance_page(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Measured, given, computed and rated values side by side, and the plots that are not of safety."""
    computed = [(group.title, arithmetic(examination, group)) for group in performance(examination)]
    return {
        "groups": performance(examination),
        "plots": _plots(examination),
        "meters": metering(examination),
        "levels": steps(examination),
        "handbook": [(title, rows) for title, rows in _handbook(examination) if rows],
        "loadings": [(title, rows) for title, rows in _loadings(examination) if rows],
        "computed": [(title, values) for title, values in computed if values],
    }


def _plots(examination: Examination) -> list[str]:
    words = [name.replace(" ", "-") for name in examination.rig.stages]
    at_stages = [f"{what}-{word}" for word in words for what in ("cycle", "characteristic")]
    at_networks = [f"settings-{name.replace(' ', '-')}" for name in examination.rig.networks]
    at_supplies = [f"supply-{name.replace(' ', '-')}" for name in examination.rig.supplies]
    return ["envelope", "trapezoid", *at_stages, *at_networks, *at_supplies]


def _handbook(examination: Examination) -> list[tuple[str, tuple[Compared, ...]]]:
    """Formula and simulation side by side, supply by supply."""
    return [(supply.title(name), compared(examination, name)) for name, supply in examination.rig.supplies.items()]


def _loadings(examination: Examination) -> list[tuple[str, tuple[Loading, ...]]]:
    stages = examination.rig.stages
    return [(stage.title(name), loadings(examination, f"stages.{name}")) for name, stage in stages.items()]


@rig_page("checks", "Design checks", 5)
def checks(examination: Examination, tools: Tools) -> Mapping[str, Any]:  # noqa: ARG001
    """Every finding with its arithmetic."""
    by_verdict = [
        (verdict, [row for row in examination.findings if row.verdict is verdict and not row.needs])
        for verdict in (Verdict.BEYOND, Verdict.CLOSE, Verdict.NOT_SHOWN, Verdict.WITHIN)
    ]
    return {"by_verdict": by_verdict, "wanted": wanted(examination), "waiting": waiting(examination)}
