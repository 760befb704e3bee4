"""Inside the band, inside the power limit of the station's rule table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most
from builder.rig.model import Carrier

if TYPE_CHECKING:
    from builder.physics.units import Hertz, Watt


@check(
    "peak envelope power", of=Carrier, source="p97-313", margin=0.05,
    why="Beyond the limit the station is not legal.",
    remedy="Lower the carrier; upward peaks count squared.",
)  # fmt: skip
def power_is_legal(peak_envelope_power: Watt, power_limit: Watt) -> Judgement:
    """Peak envelope power at most the limit of the rule table; check the current text of the rules."""
    return at_most(peak_envelope_power, power_limit)


@check(
    "lower band edge", of=Carrier, source="p97-307", margin=0.0,
    why="Sidebands that leave the segment are an emission outside it, wherever the carrier stands.",
    remedy="Move up by at least the audio bandwidth and the tolerance of the oscillator.",
)  # fmt: skip
def stays_above_the_edge(emission_low: Hertz, segment_low: Hertz) -> Judgement:
    """Lower sideband, with the oscillator as low as its tolerance allows, above the edge of the segment."""
    return at_least(emission_low, segment_low)


@check(
    "upper band edge", of=Carrier, source="p97-307", margin=0.0,
    why="Sidebands that leave the segment are an emission outside it, wherever the carrier stands.",
    remedy="Move down by at least the audio bandwidth and the tolerance of the oscillator.",
)  # fmt: skip
def stays_below_the_edge(emission_high: Hertz, segment_high: Hertz) -> Judgement:
    """Upper sideband, with the oscillator as high as its tolerance allows, below the edge of the segment."""
    return at_most(emission_high, segment_high)
