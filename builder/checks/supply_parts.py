"""Supplies beyond direct voltage and current: peaks, ripple current, strings, switching on, glow tubes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most, between
from builder.rig.supply import Supply

if TYPE_CHECKING:
    from builder.physics.units import Ampere, Farad, Hertz, Joule, Ohm, Ratio, Second, Volt, VoltAmpere, Watt

RESONANCE_SHARE = 0.5
"""Resonance of the first section over ripple frequency at most; source: terman43 (page not verified)."""
REGULATION_ALLOWED = {"choke": 0.15, "capacitor": 0.30}
"""Rise from full to light load over the voltage at full load; source: common-practice."""
CONSTANTS_WAITED = 3.0
"""Time constants before a step-start resistor is bridged: 95 per cent charged; source: elementary."""
SURGE_OVER_FUSE = 10.0
"""Line surge over fuse rating that a slow fuse stands for half a cycle; source: common-practice."""


def _peaks_rated(supply: Any) -> bool:
    return supply.rating is None or supply.rating.text("peak current") is not None


def _surge_rated(supply: Any) -> bool:
    return supply.rating is None or supply.rating.text("surge current") is not None


def _input_capacitor_rated(supply: Any) -> bool:
    named = supply.rating is not None and supply.rating.text("input capacitor") is not None
    return named and not supply.choke_input


def _sectioned(supply: Any) -> bool:
    return bool(supply.choke_input)


def _capacitor_first(supply: Any) -> bool:
    return bool(supply.filter) and not supply.choke_input


def _shares(supply: Any) -> bool:
    return any(step.capacitor and step.string > 1 for step in supply.filter)


def _shares_beside_bleeder(supply: Any) -> bool:
    return _shares(supply) and supply.bleeder not in (None, "none")


def _steps(supply: Any) -> bool:
    return supply.step_start is not None


def _glows(supply: Any) -> bool:
    return supply.regulator is not None


@check(
    "peak rectifier current", of=Supply, source="terman43, power-supply systems (page not verified)", margin=0.10,
    applies=_peaks_rated,
    why="A capacitor behind the rectifier is filled in short pulses; their peak strips a cathode that the mean spares.",
    remedy="Choke input, more resistance in the leg, a smaller first capacitor, or a larger rectifier.",
)  # fmt: skip
def rectifier_peak_is_held(rectifier_peak_current: Ampere, rectifier_peak_current_rated: Ampere) -> Judgement:
    """Peak of each pulse under full load, from the simulation, at most the rating."""
    return at_most(rectifier_peak_current, rectifier_peak_current_rated)


@check(
    "switch-on surge", of=Supply, source="gr, cold semiconductor rectifiers and their surge", margin=0.10,
    applies=_surge_rated,
    why="At the first half cycle the empty filter is a short circuit behind the resistance of the transformer.",
    remedy="A step-start resistor in the primary, or resistance in each leg.",
)  # fmt: skip
def surge_is_held(start_surge: Ampere, start_surge_rated: Ampere) -> Judgement:
    """First peak after switching on at the worst moment, the line high, no step-start counted, at most the rating."""
    return at_most(start_surge, start_surge_rated)


@check(
    "input capacitor of the rectifier", of=Supply, source="rca-rc30, rectifier data", margin=0.05,
    applies=_input_capacitor_rated,
    why="A larger first capacitor than the data sheet allows draws higher pulses than the cathode can give.",
    remedy="The capacitor of the data sheet first, and the rest behind a choke.",
)  # fmt: skip
def input_capacitor_is_allowed(first_capacitor: Farad, input_capacitor_rated: Farad) -> Judgement:
    """First capacitor at most what the data of the vacuum rectifier name."""
    return at_most(first_capacitor, input_capacitor_rated)


@check(
    "transformer apparent power", of=Supply, source="petra, secondary current ratings in D.C. circuits", margin=0.10,
    applies=lambda supply: supply.transformer.volt_amperes is not None,
    why="Copper heats by the effective current, which in a capacitor-input supply is far above the direct current.",
    remedy="Choke input, less load, or a larger transformer.",
)  # fmt: skip
def transformer_has_the_volt_amperes(
    winding_volt_amperes: VoltAmpere, transformer_volt_amperes: VoltAmpere
) -> Judgement:
    """Effective current in the secondary times its voltage at most the rating."""
    return at_most(winding_volt_amperes, transformer_volt_amperes)


@check(
    "filter resonance", of=Supply, source="terman43, filter resonance (page not verified)", margin=0.10,
    applies=_sectioned,
    why="A section that resonates near the ripple, or the rate of keying or speech, makes worse what it should cure.",
    remedy="More inductance or more capacitance in the first section.",
)  # fmt: skip
def section_resonates_low(section_resonance: Hertz, ripple_frequency: Hertz) -> Judgement:
    """Resonance of the first section at most half the ripple frequency."""
    return at_most(section_resonance, RESONANCE_SHARE * ripple_frequency)


@check(
    "capacitor ripple current", of=Supply, source="common-practice", margin=0.10, applies=_capacitor_first,
    why="Ripple current heats an electrolytic capacitor from within and dries it out.",
    remedy="A capacitor for more ripple, several in parallel, or a choke before it.",
)  # fmt: skip
def capacitor_stands_ripple(capacitor_ripple_current: Ampere, capacitor_current_rating: Ampere) -> Judgement:
    """Effective alternating current in the first capacitor, from the simulation, at most its rating."""
    return at_most(capacitor_ripple_current, capacitor_current_rating)


@check(
    "capacitor surge voltage", of=Supply, source="iec60384-4, surge voltage", margin=0.05, person=True,
    why="Behind a choke the voltage overshoots far above its final value when the supply is switched on without load.",
    remedy="A bleeder that draws more, capacitors for more voltage, or a step-start.",
)  # fmt: skip
def capacitors_stand_the_start(start_peak_voltage: Volt, capacitor_surge_rating: Volt) -> Judgement:
    """Highest voltage after switching on without load at most the surge rating, else 1.1 times the direct rating."""
    return at_most(start_peak_voltage, capacitor_surge_rating)


@check(
    "sharing resistors", of=Supply, source="arrl, equalising resistors (page not verified)", margin=0.10,
    applies=_shares, person=True,
    why="In a string the capacitor that leaks least takes more than its share, fails, and hands its share on.",
    remedy="Equal resistors of less resistance and more power, or one capacitor more in the string.",
)  # fmt: skip
def string_shares(equaliser: Ohm, largest_equaliser: Ohm) -> Judgement:
    """Resistor across each capacitor at most what holds the worst spread of leakage inside the rating."""
    return at_most(equaliser, largest_equaliser)


@check(
    "heat in sharing resistors", of=Supply, source="bleeder-practice", margin=0.10, applies=_shares_beside_bleeder,
    person=True,
    why="A sharing resistor that opens hands its capacitor's voltage to chance and the string to the next failure.",
    remedy="Resistors of at least twice the heat.",
)  # fmt: skip
def equaliser_keeps_cool(equaliser_power: Watt, equaliser_power_rating: Watt) -> Judgement:
    """Heat in each sharing resistor, line high and no load, at most half its rating."""
    return at_most(equaliser_power, equaliser_power_rating / 2)


@check(
    "voltage across sharing resistors", of=Supply, source="common-practice", margin=0.05, applies=_shares, person=True,
    why="A resistor has a limit of voltage as well as of power; beyond it the film breaks down.",
    remedy="Two or more resistors in series across each capacitor.",
)  # fmt: skip
def equaliser_holds(capacitor_voltage_each: Volt, equaliser_voltage_rating: Volt) -> Judgement:
    """Voltage on each capacitor, line high and no load, at most the rating of the resistor across it."""
    return at_most(capacitor_voltage_each, equaliser_voltage_rating)


@check(
    "bleeder voltage", of=Supply, source="common-practice", margin=0.05, person=True,
    applies=lambda supply: supply.bleeder not in (None, "none"),
    why="A bleeder that flashes over burns open, and the filter stays charged.",
    remedy="A longer resistor, or several in series.",
)  # fmt: skip
def bleeder_holds(no_load_voltage: Volt, bleeder_voltage_rating: Volt) -> Judgement:
    """Peak with the line high and no load at most the voltage that the bleeder is made for."""
    return at_most(no_load_voltage, bleeder_voltage_rating)


@check(
    "regulation with choke", of=Supply, source="common-practice", margin=0.2, applies=_sectioned,
    why="A voltage that soars when the load goes takes tubes, capacitors and insulation with it.",
    remedy="More bleeder current, a choke of more inductance, less resistance in the windings.",
)  # fmt: skip
def choke_supply_is_stiff(regulation: Ratio) -> Judgement:
    """Rise from full to light load at most 15 per cent."""
    return at_most(regulation, REGULATION_ALLOWED["choke"])


@check(
    "regulation with capacitor", of=Supply, source="common-practice", margin=0.2, applies=_capacitor_first,
    why="A voltage that soars when the load goes takes tubes, capacitors and insulation with it.",
    remedy="A larger first capacitor, a stiffer transformer, or more bleeder current.",
)  # fmt: skip
def capacitor_supply_is_stiff(regulation: Ratio) -> Judgement:
    """Rise from full to light load at most 30 per cent."""
    return at_most(regulation, REGULATION_ALLOWED["capacitor"])


@check(
    "step-start resistor", of=Supply, source="common-practice", margin=0.10, applies=_steps,
    why="While the filter charges, the resistor takes as much heat as the filter then stores; too small a one bursts.",
    remedy="A wirewound resistor of more power, or a lower resistance that is bridged sooner.",
)  # fmt: skip
def step_start_stands_the_pulse(step_start_energy: Joule, step_start_stands: Joule) -> Judgement:
    """Heat of one charge, as much as the filter then holds, at most what the resistor takes in one pulse."""
    return at_most(step_start_energy, step_start_stands)


@check(
    "step-start time", of=Supply, source="elementary", margin=0.10, applies=_steps,
    why="A resistor that is bridged too soon leaves the surge it was put in to stop; bridged late, it burns.",
    remedy="A longer delay, or a lower resistance.",
)  # fmt: skip
def step_start_waits(step_time: Second, step_start_constant: Second) -> Judgement:
    """Resistor in the line for at least three time constants of the filter."""
    return at_least(step_time, CONSTANTS_WAITED * step_start_constant)


@check(
    "line surge through step-start", of=Supply, source="common-practice", margin=0.10,
    applies=lambda supply: supply.step_start is not None and supply.fuse is not None,
    why="A surge that the fuse does not stand blows it; one that it stands can still weld the contacts of the switch.",
    remedy="A higher step-start resistance.",
)  # fmt: skip
def step_start_spares_the_fuse(step_start_surge: Ampere, fuse_rating: Ampere) -> Judgement:
    """Highest line current through the resistor at most ten times the fuse, which must be slow."""
    return at_most(step_start_surge, SURGE_OVER_FUSE * fuse_rating)


@check(
    "glow tube at low line", of=Supply, source="vr90, VR90-40 regulator circuit", margin=0.10, applies=_glows,
    why="Below its least current a glow tube goes out, and what it held at one voltage soars.",
    remedy="A lower series resistor, or less load on the regulated line.",
)  # fmt: skip
def glow_stays_lit(glow_least_current: Ampere, glow_least_current_rated: Ampere) -> Judgement:
    """Current in the tube with the line low and the heaviest load at least the rating."""
    return at_least(glow_least_current, glow_least_current_rated)


@check(
    "glow tube at high line", of=Supply, source="vr90, VR90-40 regulator circuit", margin=0.10, applies=_glows,
    why="Beyond its most current a glow tube overheats and its voltage drifts.",
    remedy="A higher series resistor, or two tubes that share the load.",
)  # fmt: skip
def glow_is_not_overrun(glow_most_current: Ampere, glow_most_current_rated: Ampere) -> Judgement:
    """Current in the tube with the line high and the lightest load at most the rating."""
    return at_most(glow_most_current, glow_most_current_rated)


@check(
    "glow tube starts", of=Supply, source="rca-rc30, voltage regulators", margin=0.05, applies=_glows,
    why="A glow tube that does not strike regulates nothing, and the screens behind it see the whole supply.",
    remedy="A higher supply voltage before the series resistor.",
)  # fmt: skip
def glow_strikes(lowest_output: Volt, glow_start: Volt) -> Judgement:
    """Supply before the resistor, line low, at least the lowest supply voltage of the data, for tubes in series."""
    return at_least(lowest_output, glow_start)


@check(
    "heat before the glow tube", of=Supply, source="common-practice", margin=0.10, applies=_glows,
    why="The series resistor is warm all day; one that is run at its rating drifts and opens.",
    remedy="A resistor of at least twice the heat.",
)  # fmt: skip
def glow_resistor_keeps_cool(glow_resistor_heat: Watt, regulator_through_power_rating: Watt) -> Judgement:
    """Heat in the series resistor, line high, at most half its rating."""
    return at_most(glow_resistor_heat, regulator_through_power_rating / 2)


@check(
    "formula against simulation", of=Supply, source="crow, the choke-input filter", margin=0.0, applies=_sectioned,
    why="Where the handbook's formula and the circuit differ, the choke is below critical or a figure is wrong.",
    remedy="Look at the least load, the inductance and the resistances of windings and chokes.",
)  # fmt: skip
def formula_agrees_with_simulation(simulated_voltage: Volt, formula_voltage: Volt) -> Judgement:
    """Simulated voltage under full load within two per cent of the formula for a choke above critical inductance."""
    return between(simulated_voltage, 0.98 * formula_voltage, 1.02 * formula_voltage)
