"""One cycle of the carrier at the tube, and how a stage follows its modulation."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from builder.account.operation import Cycle, Running, running, sweep
from builder.account.operation import cycle as one_cycle
from builder.examine import Examination
from builder.quantity import show

from .drawing import Drawing, Medium, Plan, drawing
from .graph import Graph
from .theme import Ink

KIND = "operating point"
CYCLES = 1.5
"""Cycles drawn, so that a whole pulse stands in the middle."""


@drawing(KIND)
def operating_points(examination: Examination) -> Iterator[Plan]:
    """One cycle for every class C stage with a fitted tube; how it follows modulation where it is plate-modulated."""
    for name in examination.rig.stages:
        path, word = f"stages.{name}", name.replace(" ", "-")
        if running(examination, path):
            yield Plan(f"cycle-{word}", KIND, path, partial(cycle, examination, path, f"cycle-{word}"))
        if sweep(examination, path):
            made = partial(characteristic, examination, path, f"characteristic-{word}")
            yield Plan(f"characteristic-{word}", KIND, path, made)


def cycle(examination: Examination, path: str, name: str, medium: Medium) -> Drawing:
    """Plate voltage and plate current of one tube over one and a half cycles."""
    stage = running(examination, path)
    assert stage is not None  # noqa: S101 - the plan is made only where it is there
    found = one_cycle(stage)
    swing, peak = found.swing, float(found.plate_current.max())
    graph = Graph(640, 320, (0.1, 0.12, 0.15, 0.1))
    graph.curve(found.time, found.plate_voltage, Ink.FIRST)
    graph.level(stage.plate, Ink.THIRD)
    right = graph.right_axes("plate current of one tube, mA", Ink.SECOND)
    right.plot(found.time, 1000 * found.plate_current, color=Ink.SECOND.value, linewidth=2)
    _words(graph, right, stage, found)
    _frame(graph, right, stage, swing, peak)
    title = f"One cycle at a tube of the {examination.sheet(path).thing.title(path.rsplit('.', 1)[-1])}"
    told = (
        f"Plate voltage swings between {show(stage.plate - swing, 'V')} and {show(stage.plate + swing, 'V')}; plate "
        f"current flows in pulses of {show(peak, 'A')} while the voltage is low. By the fitted tube, not measured."
    )
    return graph.drawing(name, title, told, medium)


def _words(graph: Graph, right: Any, stage: Running, found: Cycle) -> None:
    peak, crest = float(found.plate_current.max()), stage.plate + found.swing
    right.annotate(
        f"plate current, crest {show(peak, 'A')}",
        (0, 1000 * peak),
        (0, 9),
        color=Ink.SECOND.value,
        textcoords="offset points",
        ha="center",
    )
    graph.at((-0.5, crest), f"plate voltage, crest {show(crest, 'V')}", Ink.FIRST, (0, 10), "center")
    graph.at((-CYCLES / 2, stage.plate), f"supply {show(stage.plate, 'V')}", Ink.THIRD, (8, -10), "left")


def _frame(graph: Graph, right: Any, stage: Running, swing: float, peak: float) -> None:
    graph.axes.set_xlim(-CYCLES / 2, CYCLES / 2)
    graph.axes.set_ylim(0, (stage.plate + swing) * 1.22)
    right.set_ylim(0, 1000 * peak * 1.9)
    graph.axes.set_xlabel("cycles of the carrier")
    graph.axes.set_ylabel("plate voltage, V")


def characteristic(examination: Examination, path: str, name: str, medium: Medium) -> Drawing:
    """Radio-frequency output voltage against plate voltage, both over the carrier's."""
    found = sweep(examination, path)
    assert found is not None  # noqa: S101 - the plan is made only where it is there
    graph = Graph(460, 340, (0.13, 0.06, 0.15, 0.06))
    graph.curve([0, 2], [0, 2], Ink.FAINT, 1.2, "--")
    graph.at((0.5, 0.5), "straight", Ink.FAINT, (-8, 10), "right")
    graph.curve(found.voltage_ratio, found.swing_ratio, Ink.FIRST)
    graph.mark((1, 1), Ink.THIRD)
    graph.at((1, 1), "carrier", Ink.THIRD, (8, -10), "left")
    crest = float(found.crest)
    graph.mark((2, crest), Ink.SECOND)
    graph.at((2, crest), f"crest {crest:.2f} times: {found.grade}", Ink.SECOND, (4, 16), "right")
    graph.axes.set_xlim(0, 2.1)
    graph.axes.set_ylim(0, 2.35)
    graph.axes.set_xlabel("plate voltage over carrier")
    graph.axes.set_ylabel("output voltage over carrier")
    title = f"How the {examination.sheet(path).thing.title(path.rsplit('.', 1)[-1])} follows its modulation"
    told = f"{found.wording} An indicator by the fitted tube; the builder's own trapezoid counts more."
    return graph.drawing(name, title, told, medium)
