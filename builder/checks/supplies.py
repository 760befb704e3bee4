"""Supplies as built: rectifiers, iron, capacitors, bleeders, fuses."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most, between
from builder.rig.supply import Supply

if TYPE_CHECKING:
    from builder.physics.units import Ampere, Count, Henry, Joule, Ratio, Second, Volt, Watt

FUSE_LEAST, FUSE_MOST = 1.25, 2.0
"""Fuse over full-load line current; source: elementary and fuse-practice."""
TOO_SLOW = 120.0
"""Seconds to a harmless voltage; source: common-practice."""


def _choke_input(supply: Any) -> bool:
    return bool(supply.choke_input)


def _current_rated(supply: Any) -> bool:
    return supply.rating is None or supply.rating.text("average current") is not None


def _warms_up(supply: Any) -> bool:
    return supply.tube.data.text("warm up") is not None


@check(
    "inverse voltage", of=Supply, source="terman43, power-supply systems (page not verified)", margin=0.10,
    why="A rectifier that breaks down backwards short-circuits the transformer.",
    remedy="More rectifiers in series, or a type that stands more.",
)  # fmt: skip
def rectifier_holds(inverse_voltage_each: Volt, inverse_voltage_each_rated: Volt) -> Judgement:
    """Inverse voltage on each rectifier, with the mains high, at most the rating."""
    return at_most(inverse_voltage_each, inverse_voltage_each_rated)


@check(
    "rectifier current", of=Supply, source="terman43, power-supply systems (page not verified)", margin=0.10,
    applies=_current_rated,
    why="Too much current strips the cathode of a tube and overheats a silicon junction.",
    remedy="A larger type, or lighter load.",
)  # fmt: skip
def rectifier_carries(rectifier_current: Ampere, rectifier_current_rated: Ampere) -> Judgement:
    """Mean current of each leg at most the rating."""
    return at_most(rectifier_current, rectifier_current_rated)


@check(
    "rectifier warm-up", of=Supply, source="rca-tt5, rectifier data", margin=0.0, applies=_warms_up,
    why="Plate voltage on a cold mercury-vapour tube arcs back and takes the transformer with it.",
    remedy="A delay relay, and a separate switch for the filaments.",
)  # fmt: skip
def rectifier_warms_up(rectifier_delay: Second, warm_up_rated: Second) -> Judgement:
    """Delay before plate voltage at least what the data sheet asks for."""
    return at_least(rectifier_delay, warm_up_rated)


@check(
    "transformer current", of=Supply, source="hammond, design guide for rectifier use", margin=0.10,
    why="A transformer asked for more than its rating cooks its insulation slowly.",
    remedy="Draw less, cool it, or fit a larger one.",
)  # fmt: skip
def transformer_carries(supply_current: Ampere, transformer_limit: Ampere) -> Judgement:
    """Direct current drawn, bleeder included, at most the rating of the transformer in this circuit."""
    return at_most(supply_current, transformer_limit)


@check(
    "choke current", of=Supply, source="common-practice", margin=0.10, applies=_choke_input,
    why="Beyond its rating a choke saturates: its inductance falls when it is needed most, and it heats.",
    remedy="A choke for more current.",
)  # fmt: skip
def choke_carries(supply_current: Ampere, choke_current_rating: Ampere) -> Judgement:
    """Direct current through the chokes at most their rating."""
    return at_most(supply_current, choke_current_rating)


@check(
    "input choke", of=Supply, source="wpripple, as a function of series choke", margin=0.10, applies=_choke_input,
    why="Below critical inductance the voltage soars towards the peak when the load goes away.",
    remedy="More bleeder current, or a swinging choke.",
)  # fmt: skip
def choke_is_critical(first_choke: Henry, critical_inductance: Henry) -> Judgement:
    """Input choke at least critical at the lightest load."""
    return at_least(first_choke, critical_inductance)


@check(
    "capacitor voltage", of=Supply, source="cap-choke-question", margin=0.05, person=True,
    why="Without load, or with an open bleeder, the filter charges to the peak; a capacitor beyond its rating bursts.",
    remedy="A higher rating, or more capacitors in series with sharing resistors.",
)  # fmt: skip
def capacitors_hold(capacitor_voltage_each: Volt, capacitor_voltage_rating: Volt) -> Judgement:
    """Peak with the mains high and no load, shared equally by a string, at most the rating of each capacitor."""
    return at_most(capacitor_voltage_each, capacitor_voltage_rating)


@check(
    "bleeder power", of=Supply, source="bleeder-practice", margin=0.10, person=True,
    why="A bleeder that runs hot burns open one day, and takes the only protection with it.",
    remedy="One of at least twice the heat, or several in series.",
)  # fmt: skip
def bleeder_keeps_cool(bleeder_power: Watt, bleeder_power_rating: Watt) -> Judgement:
    """Heat in the bleeder at most half its rating."""
    return at_most(bleeder_power, bleeder_power_rating / 2)


@check(
    "discharge time", of=Supply, source="imo-55v", margin=0.75, person=True,
    why="Whoever opens the cabinet finds the filter still charged.",
    remedy="A lower bleeder, or a discharge relay besides it; print the time on the label.",
)  # fmt: skip
def filter_empties_in_time(longest_discharge: Second) -> Judgement:
    """From the peak to 55 volts within two minutes, slow ends of tolerances counted; close above half a minute."""
    return at_most(longest_discharge, TOO_SLOW)


@check(
    "discharge stick", of=Supply, source="lab-10j", margin=0.0, person=True,
    why="Above ten joules a capacitor can kill; bleeders open, interlocks stick, meters lie.",
    remedy="Make a discharge stick, hang it inside, and use it every time before a hand goes in.",
)  # fmt: skip
def stick_belongs_to_it(stored_energy: Joule, hazardous_capacitor_energy: Joule, discharge_sticks: Count) -> Judgement:
    """The filter holds at most ten joules, or a discharge stick belongs to the rig."""
    if stored_energy > hazardous_capacitor_energy:
        return at_least(discharge_sticks, 1.0, of="discharge_sticks")
    return at_most(stored_energy, hazardous_capacitor_energy)


@check(
    "primary fuse", of=Supply, source="fuse-practice", margin=0.02, applies=lambda supply: supply.fuse is not None,
    why="A fuse that is too large lets the transformer burn; one too small blows without cause.",
    remedy="A slow fuse of one and a quarter to two times the full-load line current.",
)  # fmt: skip
def fuse_fits(fuse_rating: Ampere, mains_current: Ampere) -> Judgement:
    """Fuse between 1.25 and 2 times the full-load line current."""
    return between(fuse_rating, FUSE_LEAST * mains_current, FUSE_MOST * mains_current)


@check(
    "supply ripple", of=Supply, source="common-practice", margin=0.2,
    why="Ripple on the plates is hum on the carrier.",
    remedy="A second filter section, or more capacitance.",
)  # fmt: skip
def ripple_is_low(ripple: Ratio, ripple_allowed: Ratio) -> Judgement:
    """Effective ripple at most what the most tender stage stands: speech 0.5, phone 1, others 5 per cent."""
    return at_most(ripple, ripple_allowed)
