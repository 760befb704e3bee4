"""Enough drive for every stage, and an oscillator that stays where it should."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most
from builder.rig.stage import TubeStage
from builder.rig.stages.crystal_oscillator import CrystalOscillator

if TYPE_CHECKING:
    from builder.physics.units import Ratio, Watt

CRYSTAL_TOLERANCE = 100e-6
"""Largest tolerance of an amateur crystal oscillator that is taken without remark; source: common-practice."""


def _driven_by_stage(stage: Any) -> bool:
    published = stage.column is not None and stage.column.text("drive power") is not None
    return stage.kind in {"rf power", "rf driver"} and stage.driven_by is not None and published


@check(
    "drive available", of=TubeStage, source="common-practice", margin=0.25, each_carrier=True, applies=_driven_by_stage,
    why="A class C stage that lacks drive loses efficiency, heats its plates and cannot follow the modulation.",
    remedy="Tune the driver, raise its plate voltage, or lessen the losses between the stages.",
)  # fmt: skip
def drive_suffices(drive_available: Watt, drive_needed: Watt) -> Judgement:
    """Output of the stage before at least twice the published grid drive."""
    return at_least(drive_available, drive_needed)


@check(
    "oscillator tolerance", of=CrystalOscillator, source="common-practice", margin=0.2, each_carrier=True,
    why="A carrier that wanders takes its sidebands with it; a crystal that is far off is being pulled or is failing.",
    remedy="Trim the load capacitance, or have the crystal checked.",
)  # fmt: skip
def oscillator_keeps_frequency(frequency_tolerance: Ratio) -> Judgement:
    """Tolerance of the oscillator at most 100 parts per million."""
    return at_most(frequency_tolerance, CRYSTAL_TOLERANCE)
