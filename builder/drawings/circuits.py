"""Schematic fragments: one for each stage and supply whose kind has one."""

from __future__ import annotations

from collections.abc import Iterator

from builder import discover
from builder.examine import Examination

from .drawing import FRAGMENTS, Drawing, Fragment, Medium, Plan, drawing

KIND = "schematic fragment"


@drawing(KIND)
def fragments(examination: Examination) -> Iterator[Plan]:
    """A plan for the circuit of every stage and of every supply."""
    discover.modules("builder.drawings.fragments")
    rig = examination.rig
    things = [(f"stages.{name}", stage.kind) for name, stage in rig.stages.items()]
    things += [(f"supplies.{name}", "supply") for name in rig.supplies]
    for path, kind in things:
        if kind in FRAGMENTS:
            yield plan(examination, path, FRAGMENTS[kind])


def plan(examination: Examination, path: str, function: Fragment) -> Plan:
    """The plan for one circuit."""

    def make(medium: Medium) -> Drawing:
        return function(examination, path, medium)

    return Plan(f"fragment-{path.replace('.', '-').replace(' ', '-')}", KIND, path, make)
