"""Meters that can be read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most
from builder.rig.model import Meter

if TYPE_CHECKING:
    from builder.physics.units import Ratio, Volt, Watt

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


SCALE_OFF = 0.02
"""How far a scale may be off as built; the error that broadcast meters may have; source: cfr-73-1215."""


def _size(number: Any) -> Any:
    """The number without its sign, uncertain or not."""
    return number if getattr(number, "nominal_value", number) >= 0 else -number


def _milliammeter(meter: Any) -> bool:
    return bool(meter.range.unit == "A")


def _voltmeter(meter: Any) -> bool:
    return bool(meter.range.unit == "V")


def _multiplied(meter: Any) -> bool:
    return meter.multiplier is not None


def _stated_and_built(meter: Any) -> bool:
    return meter.accuracy is not None and meter.movement is not None and meter.movement.kind == "moving coil"


@check(
    "shunt value", of=Meter, source="cfr-73-1215, 73.1215", margin=0.0, applies=_milliammeter,
    why="With a shunt of the wrong value every reading is wrong by the same share, and nothing shows it.",
    remedy="Measure the shunt by its drop at a known current, and trim it, or mark the scale anew.",
)  # fmt: skip
def shunt_fits_range(scale_error: Ratio) -> Judgement:
    """Full scale as movement and shunt make it within 2 per cent of the marked range."""
    return at_most(_size(scale_error), SCALE_OFF)


@check(
    "multiplier value", of=Meter, source="cfr-73-1215, 73.1215", margin=0.0, applies=_voltmeter,
    why="A voltmeter that reads low makes a deadly line look tame, and limits look kept.",
    remedy="Measure each resistor of the string with the rig made safe, and exchange what has drifted.",
)  # fmt: skip
def multiplier_fits_range(scale_error: Ratio) -> Judgement:
    """Full scale as movement and multiplier make it within 2 per cent of the marked range."""
    return at_most(_size(scale_error), SCALE_OFF)


@check(
    "accuracy as stated", of=Meter, source="gum-propagation", margin=0.0, applies=_stated_and_built,
    why="A meter is no better than its movement and its resistors; verdicts then take what these leave.",
    remedy="Closer resistors or a better movement, or state the accuracy that there is.",
)  # fmt: skip
def accuracy_can_be_had(accuracy_budget: Ratio, accuracy_stated: Ratio) -> Judgement:
    """Accuracy that movement, resistors and scale leave at most the accuracy that is stated."""
    return at_most(accuracy_budget, accuracy_stated)


@check(
    "multiplier voltage", of=Meter, source="common-practice", margin=0.10, applies=_multiplied, person=True,
    why="A resistor beyond its voltage drifts, arcs and opens: the meter then reads zero on a full filter.",
    remedy="More resistors in series, or a type for more voltage.",
)  # fmt: skip
def multiplier_holds(multiplier_voltage_each: Volt, multiplier_resistor_voltage_rating: Volt) -> Judgement:
    """Voltage on each resistor without load and with the mains high at most what it is made for."""
    return at_most(multiplier_voltage_each, multiplier_resistor_voltage_rating)


@check(
    "multiplier power", of=Meter, source="common-practice", margin=0.10, applies=_multiplied,
    why="A resistor that runs hot drifts, and the reading with it.",
    remedy="Resistors for more power, or more of them.",
)  # fmt: skip
def multiplier_keeps_cool(multiplier_power_each: Watt, multiplier_resistor_power_rating: Watt) -> Judgement:
    """Heat in each resistor without load and with the mains high at most half its rating."""
    return at_most(multiplier_power_each, multiplier_resistor_power_rating / 2)


@check(
    "live meter on the panel", of=Meter, source="meter-in-plate-lead", margin=0.0, person=True,
    why="The zero screw and the case of a meter in a live line carry that line to the finger.",
    remedy="Move it to B minus or the foot of the multiplier, or behind an insulating cover or recessed glass.",
)  # fmt: skip
def meter_is_not_live(exposed_voltage: Volt, accessible_voltage: Volt) -> Judgement:
    """Movement at earth, or covered, or at a voltage that may be touched."""
    return at_most(_size(exposed_voltage), accessible_voltage)
