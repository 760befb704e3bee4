"""Curves: the modulated carrier as a scope shows it, and how long a supply stays dangerous."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from builder.account import supply_curves
from builder.examine import Examination
from builder.physics import envelope as physics
from builder.quantity import show

from .drawing import Drawing, Medium, Plan, drawing
from .graph import Graph
from .theme import Ink

KIND = "plot"
SAMPLES = 1200
CARRIER_CYCLES = 24
"""Cycles of the carrier drawn for each cycle of the tone: enough to fill the envelope, few enough to be seen."""
LONG_LOOK = 60.0
"""Seconds shown where nothing discharges the filter."""


@drawing(KIND)
def plots(examination: Examination) -> Iterator[Plan]:
    """Envelope and trapezoid of an amplitude-modulated rig; the discharge of every dangerous supply."""
    if examination.rig.emission == "A3E" and modulation(examination):
        yield Plan("envelope", KIND, "rig", partial(envelope, examination))
        yield Plan("trapezoid", KIND, "rig", partial(trapezoid, examination))
    for name in examination.rig.supplies:
        path = f"supplies.{name}"
        start, safe = examination.value(path, "start_voltage"), examination.value(path, "accessible_voltage")
        if start and safe and start.nominal > safe.nominal:
            yield Plan(f"decay-{name.replace(' ', '-')}", KIND, path, partial(decay, examination, name))


def modulation(examination: Examination) -> tuple[float, float] | None:
    """Downward and upward modulation; None where they are not recorded."""
    depth = examination.value("rig", "modulation_depth")
    peak = examination.value("rig", "positive_peak")
    return (depth.nominal, peak.nominal) if depth and peak else None


def known(examination: Examination, path: str, name: str) -> str:
    """A value as text, with a blank before it; nothing where it cannot be had."""
    found = examination.value(path, name)
    return f" {found.plain}" if found else ""


def envelope(examination: Examination, medium: Medium) -> Drawing:
    """The modulated carrier over two cycles of a tone."""
    import numpy as np

    down, up = modulation(examination) or (0.0, 0.0)
    phase = np.linspace(0, 4 * math.pi, SAMPLES)
    edge = physics.sine_envelope(phase, down, up)
    graph = Graph(640, 300, (0.09, 0.3, 0.16, 0.04))
    cycles = phase / (2 * math.pi)
    graph.curve(cycles, physics.carrier_under(edge, phase, CARRIER_CYCLES), Ink.FAINT, 0.7)
    for side in (1, -1):
        graph.curve(cycles, side * edge, Ink.FIRST)
    graph.level(1, Ink.THIRD, f"carrier{known(examination, 'rig', 'carrier_power')}")
    graph.beside(1 + up, f"crest {show(up, '%')} up: PEP{known(examination, 'rig', 'peak_envelope_power')}", Ink.SECOND)
    graph.beside(1 - down, f"trough {show(down, '%')} down", Ink.SECOND)
    graph.mark((0.25, 1 + up), Ink.SECOND)
    graph.mark((0.75, 1 - down), Ink.SECOND)
    graph.axes.set_xlim(0, 2)
    graph.axes.set_xticks([0, 0.5, 1, 1.5, 2])
    graph.axes.set_xlabel("cycles of the audio tone")
    graph.axes.set_ylabel("voltage over carrier level")
    title = f"Modulation envelope of {examination.rig.name}"
    told = f"A carrier whose envelope swings {show(up, '%')} up and {show(down, '%')} down."
    return graph.drawing("envelope", title, told, medium)


def trapezoid(examination: Examination, medium: Medium) -> Drawing:
    """Audio across, modulated carrier up: a trapezoid whose short side is the trough."""
    down, up = modulation(examination) or (0.0, 0.0)
    across, height = physics.trapezoid(down, up)
    graph = Graph(420, 320, (0.13, 0.08, 0.15, 0.08))
    graph.axes.fill(across, height, facecolor=Ink.SOFT.value, edgecolor=Ink.FIRST.value, linewidth=2)
    graph.curve([0, 0], [-1, 1], Ink.THIRD, 1.4, "--")
    graph.at((0, 1), "carrier", Ink.THIRD, (0, 16), "right")
    graph.at((up, 1 + up), f"crest {show(up, '%')} up", Ink.SECOND, (4, 11), "right")
    graph.curve([-down, -down], [down - 1, -1.05], Ink.SECOND, 0.8, ":")
    graph.at((-down, -1.2), f"trough {show(down, '%')} down", Ink.SECOND, (-4, -1), "left")
    graph.mark((up, 1 + up), Ink.SECOND)
    graph.mark((-down, 1 - down), Ink.SECOND)
    graph.axes.set_xticks([-1, -0.5, 0, 0.5, 1])
    graph.axes.set_ylim(-1.25 - up, 1.35 + up)
    graph.axes.set_xlabel("audio voltage, 1 = 100 % modulation")
    graph.axes.set_ylabel("voltage over carrier level")
    title = f"Trapezoid pattern of {examination.rig.name}"
    told = f"A trapezoid: crest {show(up, '%')} over the carrier, trough {show(down, '%')} under it."
    return graph.drawing("trapezoid", title, told, medium)


def decay(examination: Examination, name: str, medium: Medium) -> Drawing:
    """Voltage at the filter after switch-off, with and without the bleeder."""
    path = f"supplies.{name}"
    start, safe = examination.value(path, "start_voltage"), examination.value(path, "accessible_voltage")
    graph = Graph(560, 280, (0.12, 0.05, 0.17, 0.06))
    found = supply_curves.fall(examination, name)
    end = float(found.slow.across[-1]) if found else LONG_LOOK
    high, low = (start.nominal if start else 0.0), (safe.nominal if safe else 0.0)
    graph.curve([0, end], [high, high], Ink.LIMIT, 1.6, "--")
    graph.at((end, high), f"bleeder open: does not fall, {show(high, 'V')}", Ink.LIMIT, (-2, -9), "right")
    if found:
        falling(graph, found, low, known(examination, path, "bleeder"))
    graph.level(low, Ink.THIRD)
    graph.at((0, low), f"harmless below {show(low, 'V')}", Ink.THIRD, (4, -9), "left")
    frame(graph, end, high, low)
    title = f"Discharge of the {examination.rig.supplies[name].title(name)}"
    when = f" in at most {show(found.harmless, 's')}" if found else ": never"
    told = f"From {show(high, 'V')} to {show(low, 'V')}{when}."
    return graph.drawing(f"decay-{name.replace(' ', '-')}", title, told, medium)


def falling(graph: Graph, found: supply_curves.Fall, low: float, bleeder: str) -> None:
    """The curves with the bleeder in place, and when the slower is harmless."""
    graph.curve(found.slow.across, found.slow.up, Ink.SECOND, 1.4, ":")
    graph.curve(found.usual.across, found.usual.up, Ink.FIRST)
    time = found.harmless
    graph.mark((time, low), Ink.SECOND)
    graph.axes.plot([time] * 2, [low / 10, low], color=Ink.SECOND.value, linewidth=1, linestyle=":")
    graph.at((time, low), f"{show(low, 'V')} after {show(time, 's')}", Ink.SECOND, (6, 10))
    half = len(found.usual.across) // 3
    spot = (float(found.usual.across[half]), float(found.usual.up[half]))
    graph.at(spot, f"bleeder{bleeder} working", Ink.FIRST, (-8, -8), "right")
    third = len(found.slow.across) * 2 // 5
    later = (float(found.slow.across[third]), float(found.slow.up[third]))
    graph.at(later, "parts as high as they may be", Ink.SECOND, (8, 8))


def frame(graph: Graph, end: float, high: float, low: float) -> None:
    """Axes of a discharge: time across, voltage up, each doubling as high as the next."""
    from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

    graph.axes.set_yscale("log")
    bottom, top = low / 2.2, high * 1.5
    decades = [step * 10.0**power for power in range(5) for step in (1, 2, 5)]
    graph.axes.yaxis.set_major_locator(FixedLocator([tick for tick in decades if bottom <= tick <= top]))
    graph.axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _place: show(value, "V")))
    graph.axes.yaxis.set_minor_locator(NullLocator())
    graph.axes.set_ylim(bottom, top)
    graph.axes.set_xlim(0, end)
    graph.axes.set_xlabel("time after switch-off, s")
    graph.axes.set_ylabel("voltage at the filter")
