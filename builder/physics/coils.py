"""Coils: inductance from dimensions, turns, wire, and estimates of Q and of self-resonance."""

from __future__ import annotations

from math import log, pi
from typing import Any

import numpy as np

from .units import Celsius, Count, Farad, Henry, Hertz, Metre, Ohm, Ratio, Watt, require

PERMEABILITY = 4e-7 * pi
"""Of free space; elementary."""
COPPER = 1.72e-8
"""Resistivity of copper, ohm metre; source: skin-depth."""
UNIFORM_CURRENT = 1.25
"""Constant of the wire correction with current all through the wire; source: rosa."""
SKIN_CURRENT = 1.5
"""The same with current in the skin only, as at radio frequency; source: rosa."""
ENDLESS_TURNS = log(2 * pi) - 1.5
"""What the turns correction grows to; source: rosa."""
ONE_TURN = 0.33084
"""Second constant of the turns correction for many turns; source: rosa."""
WHEELER_LENGTH = 0.8
"""Least length over radius at which the hand formula holds within 1 per cent; source: wheeler."""
SKIN_DEPTHS = 5
"""Least wire diameter over skin depth at which the current counts as being in the skin; source: common-practice."""
SELF_CAPACITANCE = {
    0.1: 0.96, 0.2: 0.70, 0.3: 0.60, 0.4: 0.54, 0.5: 0.50, 0.7: 0.47, 1.0: 0.46, 1.5: 0.47, 2.0: 0.50, 2.5: 0.56,
    3.0: 0.61, 3.5: 0.67, 4.0: 0.72, 4.5: 0.77, 5.0: 0.81, 7.0: 1.01, 10.0: 1.32, 15.0: 1.86, 20.0: 2.36, 30.0: 3.40,
    50.0: 5.80,
}  # fmt: skip
"""Picofarad per centimetre of diameter by length over diameter; source: medhurst, 1 to 5 read, the others recalled."""
SELF_CAPACITANCE_SCALE = 1e-10
"""From picofarad per centimetre to farad per metre."""
STILL_AIR = 10.0
"""Heat that a warm surface loses to still air and by radiation, watt for each square metre and degree;
source: common-practice."""
AGREED = 1e-15
"""Difference of the two means, over their size, at which the elliptic integrals have settled."""
TRIES = 60
"""Halvings when turns are looked for; more than the digits of a number."""
MOST_TURNS = 10_000.0
"""Turns beyond which no solenoid is looked for."""


def nagaoka_coefficient(coil_diameter: Metre, coil_length: Metre) -> Ratio:
    """Inductance of a current sheet over that of an endless one of the same turns for each length; exact.

    Args:
        coil_diameter: mean, centre of wire to centre of wire; above zero.
        coil_length: turns times pitch, above zero.

    Raises:
        ValueError: a coil without size.

    Source: grover, Table 36; formula of nagaoka
    """
    require(coil_diameter > 0 and coil_length > 0, "a coil has a diameter and a length")
    shape = coil_diameter / coil_length
    first, second = _elliptic_integrals(shape**2 / (1 + shape**2))
    slant = (1 + shape**2) ** 0.5
    return float(4 / (3 * pi) * (slant * (first - second) / shape**2 + slant * second - shape))


def lundin_coefficient(coil_diameter: Metre, coil_length: Metre) -> Ratio:
    """Inductance of a current sheet over that of an endless one, by a closed formula within 3 in a million.

    Args:
        coil_diameter: mean; scalar or array, above zero.
        coil_length: turns times pitch; broadcasts with coil_diameter.

    Raises:
        ValueError: a coil without size.

    Source: lundin, as compared to grover, Table 36
    """
    require((coil_diameter > 0) & (coil_length > 0), "a coil has a diameter and a length")
    shape = np.asarray(coil_diameter / coil_length)
    slim, squat = np.minimum(shape, 1.0), np.maximum(shape, 1.0)
    long = _lundin_first(slim**2) - 4 * slim / (3 * pi)
    short = 2 / (pi * squat) * ((np.log(4 * squat) - 0.5) * _lundin_first(squat**-2.0) + _lundin_second(squat**-2.0))
    found: float = np.where(shape <= 1, long, short)[()]
    return found


def sheet_inductance(coil_diameter: Metre, coil_length: Metre, coil_turns: Count, nagaoka_coefficient: Ratio) -> Henry:
    """Inductance of a cylindrical current sheet.

    Args:
        coil_diameter: mean.
        coil_length: turns times pitch.
        coil_turns: fractions count.
        nagaoka_coefficient: for this shape.

    Source: nbs74, formula 153
    """
    return PERMEABILITY * pi * coil_diameter**2 / 4 * coil_turns**2 / coil_length * nagaoka_coefficient


def turns_correction(coil_turns: Count) -> Ratio:
    """Rosa's correction for the spaces between turns, whole or broken numbers of them.

    Args:
        coil_turns: one or more; scalar or array. Within 0.0004 of the sum for whole turns, at one and two turns
            within 0.008 and 0.002.

    Raises:
        ValueError: less than one turn.

    Source: rosa, H, form for many turns
    """
    require(coil_turns >= 1, "a coil has one turn or more")
    return ENDLESS_TURNS - np.log(coil_turns) / (6 * coil_turns) - ONE_TURN / coil_turns  # type: ignore[no-any-return]


def wire_correction(turn_pitch: Metre, wire_diameter: Metre) -> Ratio:
    """Rosa's correction for round wire at radio frequency.

    Args:
        turn_pitch: centre to centre.
        wire_diameter: bare, at most the pitch.

    Raises:
        ValueError: turns overlap.

    Source: rosa, G with 1.5 for current in the skin
    """
    require((wire_diameter > 0) & (wire_diameter <= turn_pitch), "the wire must be thinner than the pitch")
    return SKIN_CURRENT - np.log(2 * turn_pitch / wire_diameter)  # type: ignore[no-any-return]


def wire_correction_low_frequency(turn_pitch: Metre, wire_diameter: Metre) -> Ratio:
    """Rosa's correction for round wire with current all through it, as tabulated by the Bureau.

    Args:
        turn_pitch: centre to centre.
        wire_diameter: bare, at most the pitch.

    Raises:
        ValueError: turns overlap.

    Source: rosa, G
    """
    require((wire_diameter > 0) & (wire_diameter <= turn_pitch), "the wire must be thinner than the pitch")
    return UNIFORM_CURRENT - np.log(2 * turn_pitch / wire_diameter)  # type: ignore[no-any-return]


def corrected_inductance(
    sheet_inductance: Henry,
    coil_diameter: Metre,
    coil_turns: Count,
    wire_correction: Ratio,
    turns_correction: Ratio,
) -> Henry:
    """Inductance of a single-layer coil of round wire from that of its current sheet.

    Args:
        sheet_inductance: of the same diameter, length and turns.
        coil_diameter: mean.
        coil_turns: fractions count.
        wire_correction: for wire and pitch.
        turns_correction: for the number of turns.

    Source: rosa, correction of the current sheet
    """
    correction = wire_correction + turns_correction
    return sheet_inductance - PERMEABILITY * coil_diameter / 2 * coil_turns * correction


def solenoid_inductance(coil_diameter: Metre, turn_pitch: Metre, coil_turns: Count, wire_diameter: Metre) -> Henry:
    """Inductance of a single-layer coil of round wire at radio frequency, from its dimensions.

    Leads, shields and the coil's own capacitance are left out; within about 1 per cent for an even winding.

    Args:
        coil_diameter: mean, centre of wire to centre of wire; scalar or array.
        turn_pitch: centre to centre.
        coil_turns: one or more, fractions count.
        wire_diameter: bare, at most the pitch.

    Raises:
        ValueError: turns overlap, or there is not one.

    Source: lundin, with the corrections of rosa
    """
    require(coil_turns >= 1, "a coil has one turn or more")
    length = coil_turns * turn_pitch
    sheet = sheet_inductance(coil_diameter, length, coil_turns, lundin_coefficient(coil_diameter, length))
    wire = wire_correction(turn_pitch, wire_diameter)
    return corrected_inductance(sheet, coil_diameter, coil_turns, wire, turns_correction(coil_turns))


def solenoid_turns(wanted_inductance: Henry, coil_diameter: Metre, turn_pitch: Metre, wire_diameter: Metre) -> Count:
    """Turns of a single-layer coil of round wire for a wanted inductance, at a given pitch.

    Args:
        wanted_inductance: at radio frequency.
        coil_diameter: mean.
        turn_pitch: centre to centre.
        wire_diameter: bare, at most the pitch.

    Raises:
        ValueError: one turn is too much, or ten thousand are too few.

    Source: lundin, with the corrections of rosa, solved for turns
    """
    low, high = 1.0, MOST_TURNS
    least = solenoid_inductance(coil_diameter, turn_pitch, low, wire_diameter)
    most = solenoid_inductance(coil_diameter, turn_pitch, high, wire_diameter)
    require(least <= wanted_inductance <= most, "no number of turns at this pitch gives the inductance")
    for _try in range(TRIES):
        middle = (low + high) / 2
        below = solenoid_inductance(coil_diameter, turn_pitch, middle, wire_diameter) < wanted_inductance
        low, high = (middle, high) if below else (low, middle)
    return (low + high) / 2


def mean_diameter(form_diameter: Metre, wire_diameter: Metre) -> Metre:
    """Diameter of a coil from centre of wire to centre of wire.

    Args:
        form_diameter: of the form, or inside of an air-wound coil.
        wire_diameter: outside.

    Source: elementary, half a wire on each side
    """
    return form_diameter + wire_diameter


def turn_pitch(coil_length: Metre, coil_turns: Count) -> Metre:
    """Distance from turn to turn of an even winding.

    Args:
        coil_length: of the winding.
        coil_turns: fractions count.

    Source: elementary, an even winding
    """
    return coil_length / coil_turns


def wheeler_inductance(coil_diameter: Metre, coil_length: Metre, coil_turns: Count) -> Henry:
    """Hand check of a single-layer coil, within 1 per cent of the current sheet for coils not too short.

    Args:
        coil_diameter: mean; scalar or array.
        coil_length: at least 0.8 times the radius.
        coil_turns: fractions count.

    Raises:
        ValueError: the coil is too short for the formula.

    Source: wheeler, formula for single-layer coils, in inches and microhenries
    """
    require(coil_length >= WHEELER_LENGTH * coil_diameter / 2, "the coil must be longer than 0.8 of its radius")
    inches = 1 / 0.0254
    radius = coil_diameter / 2
    return 1e-6 * inches * radius**2 * coil_turns**2 / (9 * radius + 10 * coil_length)


def wire_length(coil_diameter: Metre, coil_length: Metre, coil_turns: Count) -> Metre:
    """Wire in a single-layer coil, leads not counted.

    Args:
        coil_diameter: mean; scalar or array.
        coil_length: turns times pitch.
        coil_turns: fractions count.

    Source: elementary, a helix unrolled
    """
    length: float = ((pi * coil_diameter * coil_turns) ** 2 + coil_length**2) ** 0.5
    return length


def toroid_inductance(inductance_per_turn: Henry, coil_turns: Count) -> Henry:
    """Inductance on a toroid core, below saturation.

    Args:
        inductance_per_turn: the core's constant for one turn: the maker's inductance of a hundred turns over ten
            thousand, or of a thousand turns over a million.
        coil_turns: passes through the hole.

    Source: toroid-notes, L = A_L N^2
    """
    return inductance_per_turn * coil_turns**2


def toroid_turns(wanted_inductance: Henry, inductance_per_turn: Henry) -> Count:
    """Turns on a toroid core for a wanted inductance, before rounding to whole ones.

    Args:
        wanted_inductance: below saturation.
        inductance_per_turn: the core's constant for one turn.

    Source: toroid-notes, N = sqrt(L / A_L)
    """
    turns: float = (wanted_inductance / inductance_per_turn) ** 0.5
    return turns


def skin_depth(carrier_frequency: Hertz) -> Metre:
    """Depth in copper at which the current has fallen to 37 per cent.

    Args:
        carrier_frequency: above zero; scalar or array.

    Source: skin-depth
    """
    depth: float = (COPPER / (pi * carrier_frequency * PERMEABILITY)) ** 0.5
    return depth


def wire_resistance(wire_length: Metre, wire_diameter: Metre, skin_depth: Metre) -> Ohm:
    """Resistance of straight round copper wire or tube at radio frequency, silver or tarnish not counted.

    Args:
        wire_length: of the wire.
        wire_diameter: outside, at least five times the skin depth.
        skin_depth: at that frequency.

    Raises:
        ValueError: the wire is too thin for its current to be in the skin.

    Source: terman43-rf, sec. 2 (page not verified)
    """
    require(wire_diameter >= SKIN_DEPTHS * skin_depth, "the wire must be five skin depths thick")
    return COPPER * wire_length / (pi * skin_depth * (wire_diameter - skin_depth))


def solenoid_q(
    coil_inductance: Henry, wire_resistance: Ohm, proximity_factor: Ratio, carrier_frequency: Hertz
) -> Ratio:
    """Estimate of the unloaded Q of a single-layer coil in the open, far below its self-resonance.

    Former, shield and joints come off it: a built coil reaches half to all of this. It is no substitute for a reading.

    Args:
        coil_inductance: at low frequency.
        wire_resistance: of the same wire laid straight.
        proximity_factor: rise of resistance by coiling, 1.3 for wide to 2.5 for close spacing.
        carrier_frequency: at which; scalar or array.

    Raises:
        ValueError: a factor outside 1 to 2.5, for which nothing is known.

    Source: terman43-rf, sec. 2 (page not verified)
    """
    require((proximity_factor >= 1) & (proximity_factor <= 2.5), "the proximity factor lies between 1 and 2.5")
    return 2 * pi * carrier_frequency * coil_inductance / (proximity_factor * wire_resistance)


def coil_temperature_rise(coil_loss: Watt, coil_diameter: Metre, coil_length: Metre) -> Celsius:
    """Estimate of how much warmer than still air a coil becomes, the cylinder of its winding losing the heat.

    Args:
        coil_loss: heat.
        coil_diameter: mean.
        coil_length: of the winding.

    Source: common-practice
    """
    return coil_loss / (STILL_AIR * pi * coil_diameter * coil_length)


def self_capacitance(coil_diameter: Metre, coil_length: Metre) -> Farad:
    """Self-capacitance of a single-layer coil in the open with one end grounded; the table claims 5 per cent.

    Lengths of 1 to 5 diameters are read, 0.1 to 1 and 5 to 50 are recalled; straight lines between.

    Args:
        coil_diameter: mean; scalar or array.
        coil_length: 0.1 to 50 diameters.

    Raises:
        ValueError: the shape lies outside the table.

    Source: medhurst, H table, C = H D
    """
    shape = coil_length / coil_diameter
    rows = np.array([*SELF_CAPACITANCE.items()])
    require((shape >= rows[0, 0]) & (shape <= rows[-1, 0]), "the length must be 0.1 to 50 diameters")
    found: Any = np.interp(shape, rows[:, 0], rows[:, 1]) * SELF_CAPACITANCE_SCALE * coil_diameter
    if np.ndim(found):
        return found  # type: ignore[no-any-return]
    return float(found)


def self_resonance(coil_inductance: Henry, self_capacitance: Farad) -> Hertz:
    """Resonance of a coil with a capacitance: its own, as an estimate in the open, or one that is fitted.

    Args:
        coil_inductance: at low frequency.
        self_capacitance: with one end grounded, or of the capacitor.

    Raises:
        ValueError: one of them is nothing.

    Source: elementary, resonance
    """
    require(coil_inductance * self_capacitance > 0, "a resonance needs inductance and capacitance")
    found: float = 1 / (2 * pi * (coil_inductance * self_capacitance) ** 0.5)
    return found


def _elliptic_integrals(parameter: float) -> tuple[float, float]:
    """Complete elliptic integrals of the first and second kind by the arithmetic-geometric mean."""
    mean, root, lack, weight = 1.0, (1 - parameter) ** 0.5, parameter / 2, 1.0
    while abs(mean - root) > AGREED * mean:
        half = (mean - root) / 2
        mean, root, weight = (mean + root) / 2, (mean * root) ** 0.5, weight * 2
        lack += weight * half**2 / 2
    first = pi / (2 * mean)
    return first, first * (1 - lack)


def _lundin_first(square: Any) -> Any:
    return (1 + 0.383901 * square + 0.017108 * square**2) / (1 + 0.258952 * square)


def _lundin_second(square: Any) -> Any:
    return 0.093842 * square + 0.002029 * square**2 - 0.000801 * square**3
