"""The level diagram: power from the oscillator to the antenna, and what each stage needs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise

from builder.account.levels import Step, steps
from builder.examine import Examination

from . import typeface
from .drawing import Drawing, Medium, Plan, drawing
from .graph import Graph
from .theme import SMALL, Ink

KIND = "level diagram"
EACH = 128.0
"""Width for each stage, in pixels."""


@drawing(KIND)
def level_diagram(examination: Examination) -> Iterator[Plan]:
    """One for each rig of which two levels at least are known."""
    if len(steps(examination)) > 1:
        yield Plan("levels", KIND, "rig", partial(made, examination))


def made(examination: Examination, medium: Medium) -> Drawing:
    """A staircase of levels, what is needed as lines below the steps."""
    from matplotlib.ticker import MaxNLocator

    found = steps(examination)
    wide = 90 + EACH * len(found)
    graph = Graph(wide, 330, (62 / wide, 22 / wide, 0.16, 0.06))
    for at, step in enumerate(found):
        stair(graph, at, step)
    for at, (step, after) in enumerate(pairwise(found)):
        graph.axes.plot([at + 0.4, at + 0.6], [step.level, after.level], color=Ink.FAINT.value, linewidth=1)
    lowest = min(step.needed_level or step.level for step in found)
    highest = max(step.level for step in found)
    span = max(highest - lowest, 10.0)
    graph.axes.set_ylim(lowest - 0.28 * span, highest + 0.3 * span)
    graph.axes.yaxis.set_major_locator(MaxNLocator(integer=True, steps=[1, 2, 5, 10]))
    graph.axes.set_xlim(-0.55, len(found) - 0.45)
    graph.axes.set_xticks(range(len(found)), [words(step.title if step.thing else "Exciter") for step in found])
    graph.axes.tick_params(axis="x", length=0)
    graph.axes.grid(visible=False)
    graph.axes.set_ylabel("level, dBm")
    told = "; ".join(f"{step.title} gives {step.power_text}, {step.level_text}" for step in found)
    return graph.drawing("levels", f"Levels of {examination.rig.name}", f"{told}.", medium)


def words(title: str) -> str:
    """A stage's title on two lines at most."""
    return "\n".join(typeface.wrapped(title, SMALL, EACH - 12, 2))


def stair(graph: Graph, at: int, step: Step) -> None:
    """One step: what there is, above it in words, and what the next stage needs."""
    graph.curve([at - 0.4, at + 0.4], [step.level, step.level], Ink.FIRST, 3.0)
    graph.axes.annotate(
        "\n".join(text for text in (step.power_text, step.level_text, step.volts) if text), (at, step.level), (0, 5),
        "data", "offset points", color=Ink.FIRST.value, ha="center", va="bottom", linespacing=1.2,
    )  # fmt: skip
    if step.needed_level is not None:
        graph.curve([at - 0.3, at + 0.4], [step.needed_level, step.needed_level], Ink.LIMIT, 1.4, "--")
        text = f"needed {step.needed_text}\nmargin {step.margin_text}"
        graph.axes.annotate(
            text, (at, step.needed_level), (0, -5), "data", "offset points", color=Ink.LIMIT.value, ha="center",
            va="top", linespacing=1.2,
        )  # fmt: skip
