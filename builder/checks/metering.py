"""Meters that can be read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most
from builder.rig.model import Meter

if TYPE_CHECKING:
    from builder.physics.units import Ratio

LEAST_SHARE = {"linear": 1 / 5, "square law": 1 / 3, "logarithmic": 1 / 5}
"""Smallest share of full scale at which a normal reading may stand; source: cfr-73-1215."""


@check(
    "meter low on its scale", of=Meter, source="cfr-73-1215, 73.1215", margin=0.0,
    applies=lambda meter: meter.scale != "square law",
    why="Near the foot of the scale an error of full scale is a large error of the reading.",
    remedy="A lower range, or a shunt for one.",
)  # fmt: skip
def pointer_stands_high_enough(scale_share: Ratio) -> Judgement:
    """Normal reading at least a fifth of full scale."""
    return at_least(scale_share, LEAST_SHARE["linear"])


@check(
    "square-law meter low on its scale", of=Meter, source="cfr-73-1215, 73.1215", margin=0.0,
    applies=lambda meter: meter.scale == "square law",
    why="The foot of a square-law scale is crowded and cannot be read.",
    remedy="A lower range.",
)  # fmt: skip
def square_law_pointer_stands_high_enough(scale_share: Ratio) -> Judgement:
    """Normal reading at least a third of full scale."""
    return at_least(scale_share, LEAST_SHARE["square law"])


@check(
    "meter over its scale", of=Meter, source="common-practice", margin=0.05,
    why="A pointer against its stop shows nothing and is bent.",
    remedy="A higher range.",
)  # fmt: skip
def pointer_stays_on_scale(scale_share: Ratio) -> Judgement:
    """Normal reading below full scale."""
    return at_most(scale_share, 1.0)
