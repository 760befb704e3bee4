"""Curves of a supply from the simulation: switching on, ripple, regulation, a load that jumps."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from builder.account.supply_curves import SupplyCurves, curves
from builder.examine import Examination
from builder.quantity import show

from .drawing import Drawing, Medium, Plan, drawing
from .graph import FEWER, Graph
from .theme import Ink

KIND = "supply curves"
WIDTH, HEIGHT = 700, 480
LEFT, RIGHT, FOOT, TOP = 0.1, 0.02, 0.09, 0.06
"""Shares of the drawing left free round its four panels."""
HALVES = (0.58, 0.6)
"""Where the right and the upper panels begin, as shares of the drawing."""


@drawing(KIND)
def supply_curves(examination: Examination) -> Iterator[Plan]:
    """Four panels for every supply above the voltage that may be touched from which stages draw current."""
    for name in examination.rig.supplies:
        path = f"supplies.{name}"
        start, safe = examination.value(path, "start_voltage"), examination.value(path, "accessible_voltage")
        dangerous = start is not None and safe is not None and start.nominal > safe.nominal
        load = examination.value(path, "constant_load")
        if dangerous and load and load.nominal > 0 and examination.value(path, "simulated_voltage"):
            yield Plan(f"supply-{name.replace(' ', '-')}", KIND, path, partial(panels, examination, name))


def panels(examination: Examination, name: str, medium: Medium) -> Drawing:
    """Start and sudden load above, ripple and regulation below."""
    found = curves(examination, name)
    upper, lower = (FOOT + 0.52, TOP), (FOOT + 0.01, TOP + 0.51)
    graph = Graph(WIDTH, HEIGHT, (LEFT, 1 - 0.49, *upper))
    title = f"The {examination.rig.supplies[name].title(name)} at work"
    if found is None:
        caption(graph, "Not shown: the supply does not settle under every load")
        return graph.drawing(f"supply-{name.replace(' ', '-')}", title, "Nothing can be shown.", medium)
    graph.axes.locator_params(nbins=FEWER)
    starting(graph, found)
    graph.panel((HALVES[0] + 0.02, RIGHT, *upper))
    jumping(graph, found)
    graph.panel((LEFT, 1 - 0.49, *lower))
    rippling(graph, found)
    graph.panel((HALVES[0] + 0.02, RIGHT, *lower))
    regulating(graph, found)
    return graph.drawing(f"supply-{name.replace(' ', '-')}", title, _told(found), medium)


def _told(found: SupplyCurves) -> str:
    peak, final = float(np.max(found.start.up)), float(found.start.up[-1])
    ripple = float(np.ptp(found.ripple.up))
    return (
        f"After switching on {show(peak, 'V')} at most, then {show(final, 'V')} without load; "
        f"{show(found.full[1], 'V')} at full load with {show(ripple, 'V')} of ripple from trough to crest; "
        f"{show(found.light[1], 'V')} at light load."
    )


def caption(graph: Graph, words: str) -> None:
    """What a panel shows, above its left edge."""
    graph.axes.set_title(words, loc="left", fontsize="medium", pad=6)


def starting(graph: Graph, found: SupplyCurves) -> None:
    """Voltage after switching on."""
    caption(graph, "Switched on without load, line high")
    run = found.start
    graph.curve(run.across, run.up, Ink.FIRST, 1.4)
    if found.stepped:
        stepped = found.stepped
        graph.curve(stepped.across, stepped.up, Ink.SECOND, 1.4)
        run = stepped if stepped.across[-1] > run.across[-1] else run
        middle = len(stepped.up) // 3
        spot = (float(stepped.across[middle]), float(stepped.up[middle]))
        graph.at(spot, "with step-start", Ink.SECOND, (10, -12))
    crest = int(np.argmax(found.start.up))
    time, height = float(found.start.across[crest]), float(found.start.up[crest])
    side, along = ("left", 9) if time < float(run.across[-1]) / 2 else ("right", -9)
    graph.mark((time, height), Ink.LIMIT)
    graph.at((time, height), f"{show(height, 'V')} at most", Ink.LIMIT, (along, 3 if side == "left" else -12), side)
    graph.axes.set_xlim(0, float(run.across[-1]))
    graph.axes.set_ylim(0, 1.15 * float(np.max(found.start.up)))
    graph.axes.set_xlabel("time, s")
    graph.axes.set_ylabel("output, V")


def jumping(graph: Graph, found: SupplyCurves) -> None:
    """Voltage while the load jumps up and down again."""
    caption(graph, "Load jumps from light to full and back")
    graph.curve(found.sudden.across, found.sudden.up, Ink.FIRST, 1.4)
    low = float(np.min(found.sudden.up))
    place = int(np.argmin(found.sudden.up))
    graph.mark((float(found.sudden.across[place]), low), Ink.LIMIT)
    graph.at((float(found.sudden.across[place]), low), f"{show(low, 'V')} at least", Ink.LIMIT, (8, -8))
    span = max(float(np.ptp(found.sudden.up)), 0.02 * abs(low))
    graph.axes.set_ylim(low - 0.25 * span, float(np.max(found.sudden.up)) + 0.15 * span)
    graph.axes.set_xlabel("time, s")


def rippling(graph: Graph, found: SupplyCurves) -> None:
    """Two cycles of the ripple under full load."""
    high, low = float(np.max(found.ripple.up)), float(np.min(found.ripple.up))
    caption(graph, f"Ripple at full load: {show(high - low, 'V')} from trough to crest")
    graph.curve(1e3 * found.ripple.across, found.ripple.up, Ink.FIRST, 1.4)
    span = max(high - low, 1e-3 * abs(high))
    graph.axes.set_ylim(low - 0.2 * span, high + 0.2 * span)
    graph.axes.ticklabel_format(useOffset=False)
    graph.axes.set_xlabel("time, ms")
    graph.axes.set_ylabel("output, V")


def regulating(graph: Graph, found: SupplyCurves) -> None:
    """Voltage over the current of the stages."""
    caption(graph, "Regulation")
    graph.curve(1e3 * found.regulation.across, found.regulation.up, Ink.FIRST)
    middle = float(found.regulation.across[-1]) / 2
    for (current, voltage), words, height in ((found.light, "light load", 13), (found.full, "full load", -13)):
        side, along = ("left", -3) if current < middle else ("right", 3)
        graph.mark((1e3 * current, voltage), Ink.SECOND)
        graph.at((1e3 * current, voltage), f"{words}: {show(voltage, 'V')}", Ink.SECOND, (along, height), side)
    graph.axes.set_ylim(0, 1.2 * float(np.max(found.regulation.up)))
    graph.axes.set_xlim(0, None)
    graph.axes.set_xlabel("current of the stages, mA")
