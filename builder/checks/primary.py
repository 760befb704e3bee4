"""The line side of supplies, and what protects people and tubes behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most
from builder.physics.supplies import driving_voltage, no_load_voltage
from builder.rig.primary import Cord
from builder.rig.supply import Supply

if TYPE_CHECKING:
    from builder.physics.units import Ampere, Count, Joule, Metre, Ohm, Volt, Watt

HARMLESS = 55.0
"""Volts below which a supply needs no guard; source: imo-55v."""
RETURN_MOST = 1000.0
"""Ohms from B minus to chassis; source: b-minus-practice."""


def _hurts(supply: Any) -> bool:
    """Whether its peak at nominal mains is above what may be touched; what is not recorded counts as above."""
    iron = supply.transformer
    if iron.secondary is None:
        return True
    return no_load_voltage(driving_voltage(iron.secondary.value, 2 if iron.tap == "centre" else 1), 1.0) > HARMLESS


def _fused(supply: Any) -> bool:
    return supply.fuse is not None


def _interlocked(supply: Any) -> bool:
    return supply.primary is not None and supply.primary.interlock is not None


def _has_glitch(supply: Any) -> bool:
    return supply.glitch is not None


def _lifted(supply: Any) -> bool:
    return supply.return_ is not None and supply.return_.lifted


@check(
    "cord current", of=Cord, source="nec-400", margin=0.10, person=True,
    why="A cord that carries too much warms its insulation until it fails, often inside the plug.",
    remedy="A heavier cord, or a second one for part of the load.",
)  # fmt: skip
def cord_carries(cord_current: Ampere, cord_current_rated: Ampere) -> Judgement:
    """Line current of everything on the cord at most what a cord of its size may carry."""
    return at_most(cord_current, cord_current_rated)


@check(
    "protective earth conductor", of=Cord, source="iec60364-5-54", margin=0.0, person=True,
    why="Without it a winding that touches its core makes the whole cabinet live, and no fuse opens.",
    remedy="A cord with an earth conductor as large as the line conductors, to a bolt of its own on the chassis.",
)  # fmt: skip
def earth_is_as_large(earth: Metre, conductor: Metre) -> Judgement:
    """Protective earth conductor of the cord at least as large as its line conductors."""
    return at_least(earth, conductor)


@check(
    "main switch", of=Cord, source="common-practice", margin=0.10, person=True,
    why="Contacts beyond their rating weld, and the switch that should kill everything no longer does.",
    remedy="A switch for more current, or a contactor behind it.",
)  # fmt: skip
def main_switch_breaks(cord_current: Ampere, switch_rating: Ampere) -> Judgement:
    """Line current of everything on the cord at most what the main switch is made for."""
    return at_most(cord_current, switch_rating)


@check(
    "cord and fuse", of=Supply, source="nec-400", margin=0.0, applies=_fused, person=True,
    why="A fuse above what the cord may carry lets the cord burn before it opens.",
    remedy="A smaller fuse, or a heavier cord.",
)  # fmt: skip
def cord_outlasts_fuse(fuse_rating: Ampere, cord_current_rated: Ampere) -> Judgement:
    """Fuse of the supply at most what its cord may carry."""
    return at_most(fuse_rating, cord_current_rated)


@check(
    "switch and fuse", of=Supply, source="common-practice", margin=0.0, applies=_fused,
    why="Short of blowing the fuse a fault can draw its rating for hours, and the switch has to carry and break that.",
    remedy="A switch for at least the rating of the fuse, or a smaller fuse.",
)  # fmt: skip
def switch_outlasts_fuse(fuse_rating: Ampere, primary_switch_rating: Ampere) -> Judgement:
    """Fuse of the supply at most what its switch, or the main switch, is made for."""
    return at_most(fuse_rating, primary_switch_rating)


@check(
    "switch current", of=Supply, source="common-practice", margin=0.10, applies=_fused,
    why="Contacts beyond their rating burn and weld.",
    remedy="A switch for more current, or a contactor.",
)  # fmt: skip
def switch_carries(mains_current: Ampere, primary_switch_rating: Ampere) -> Judgement:
    """Line current of the supply at most what its switch, or the main switch, is made for."""
    return at_most(mains_current, primary_switch_rating)


@check(
    "fuse in each live wire", of=Supply, source="fuse-practice", margin=0.0, applies=_fused, person=True,
    why="A live wire without a fuse feeds a fault to the chassis until something burns.",
    remedy="A fuse in each live wire, none in the neutral.",
)  # fmt: skip
def live_wires_are_fused(fused_wires: Count, live_wires: Count) -> Judgement:
    """As many wires with a fuse as the cord has live ones."""
    return at_least(fused_wires, live_wires)


@check(
    "interlock", of=Supply, source="milhdbk454, 4.5", margin=0.0, applies=_hurts, person=True,
    why="A cover that opens by hand and switches nothing off puts a hand on a live line.",
    remedy="A switch under each cover that opens the primary, or screws that need a tool. Trust neither.",
)  # fmt: skip
def covers_are_guarded(guards: Count) -> Judgement:
    """A supply above 55 volts has an interlock, or covers that need a tool."""
    return at_least(guards, 1.0)


@check(
    "interlock current", of=Supply, source="common-practice", margin=0.10, applies=_interlocked, person=True,
    why="An interlock whose contacts have welded is worse than none, because it is trusted.",
    remedy="Let it open the coil of a contactor, or fit switches for more current.",
)  # fmt: skip
def interlock_carries(primary_interlock_current: Ampere, primary_interlock_rating: Ampere) -> Judgement:
    """Current through the interlock switches at most what they are made for."""
    return at_most(primary_interlock_current, primary_interlock_rating)


@check(
    "plate voltmeter", of=Supply, source="panel-voltmeter-practice", margin=0.0, applies=_hurts, person=True,
    why="Every other meter can stand at zero while the filter is full.",
    remedy="A voltmeter across the filter, read each time, and never taken as proof that it is empty.",
)  # fmt: skip
def voltage_can_be_seen(stored_energy: Joule, hazardous_capacitor_energy: Joule, voltmeters: Count) -> Judgement:
    """The filter holds at most ten joules, or a panel meter shows its voltage."""
    if getattr(stored_energy, "nominal_value", stored_energy) > hazardous_capacitor_energy:
        return at_least(voltmeters, 1.0, of="voltmeters")
    return at_most(stored_energy, hazardous_capacitor_energy)


@check(
    "flashover current", of=Supply, source="glitch-practice", margin=0.10, applies=_has_glitch,
    why="A flashover empties the filter through tube, meters and diodes with nothing else to hold it back.",
    remedy="A larger glitch resistor, as far as its heat allows.",
)  # fmt: skip
def flashover_is_limited(fault_current: Ampere, glitch_stands: Ampere) -> Judgement:
    """No-load voltage over the glitch resistor at most what the path stands, 40 amperes where that is not recorded."""
    return at_most(fault_current, glitch_stands)


@check(
    "glitch resistor power", of=Supply, source="common-practice", margin=0.10, applies=_has_glitch,
    why="A resistor that runs hot all day opens on the day that it is needed.",
    remedy="A resistor for more power.",
)  # fmt: skip
def glitch_resistor_keeps_cool(glitch_power: Watt, glitch_resistor_power_rating: Watt) -> Judgement:
    """Heat in the glitch resistor at full load at most half its rating."""
    return at_most(glitch_power, glitch_resistor_power_rating / 2)


@check(
    "glitch resistor energy", of=Supply, source="common-practice", margin=0.10, applies=_has_glitch,
    why="All that the filter holds goes into the glitch resistor in a few milliseconds; a small one bursts.",
    remedy="A long wirewound resistor for more energy, or several in series.",
)  # fmt: skip
def glitch_resistor_survives(stored_energy: Joule, glitch_resistor_energy_rating: Joule) -> Judgement:
    """Energy of the full filter at most what the glitch resistor takes in one pulse."""
    return at_most(stored_energy, glitch_resistor_energy_rating)


@check(
    "high-voltage fuse", of=Supply, source="high-voltage-fuse-practice", margin=0.0,
    applies=lambda supply: supply.high_voltage_fuse is not None,
    why="A fuse for the line draws an arc in a plate line and goes on conducting.",
    remedy="A fuse made for the voltage, with a glitch resistor that limits what it has to break.",
)  # fmt: skip
def high_voltage_fuse_breaks(high_voltage_fuse_voltage: Volt, no_load_voltage: Volt) -> Judgement:
    """Voltage that the fuse can break at least that of the supply without load, mains high."""
    return at_least(high_voltage_fuse_voltage, no_load_voltage)


@check(
    "B minus with its meter open", of=Supply, source="b-minus-practice", margin=0.10, applies=_lifted, person=True,
    why="If the shunt opens, B minus drifts towards the plate voltage, and the panel meter with it.",
    remedy="A resistor from B minus to chassis with diodes both ways across it.",
)  # fmt: skip
def b_minus_stays_low(return_rise: Volt, accessible_voltage: Volt) -> Judgement:
    """Voltage of B minus against the chassis with the meter's shunt open at most what may be touched."""
    return at_most(return_rise, accessible_voltage)


@check(
    "B minus resistor", of=Supply, source="b-minus-practice", margin=0.0, applies=_lifted, person=True,
    why="Diodes alone leave B minus floating below their threshold; a large resistor is as good as none.",
    remedy="A resistor of 10 to 220 ohms, fixed at the supply.",
)  # fmt: skip
def b_minus_is_tied(return_resistor: Ohm) -> Judgement:
    """Resistor from B minus to chassis at most a kilohm."""
    return at_most(return_resistor, RETURN_MOST)


@check(
    "B minus diodes", of=Supply, source="b-minus-practice", margin=0.0, applies=_lifted,
    why="A flashover runs back through shunts and grid meters unless diodes take it past them.",
    remedy="Two power rectifiers from B minus to chassis, one each way.",
)  # fmt: skip
def b_minus_is_clamped(return_diodes: Count) -> Judgement:
    """Two diodes from B minus to chassis, one each way."""
    return at_least(return_diodes, 2.0)


@check(
    "return of its own", of=Supply, source="b-minus-practice", margin=0.0, applies=_hurts,
    why="A chassis or a shield that carries the plate current hums, and lifts the cabinet when a joint opens.",
    remedy="A wire from the cathodes to B minus, tied to the chassis at one point only.",
)  # fmt: skip
def return_has_a_wire(return_wires: Count) -> Judgement:
    """The current comes back through a wire of its own, not through the chassis."""
    return at_least(return_wires, 1.0)
