"""A rectifier with its filter: the parts that a supply is made of, as they are simulated."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import inf
from typing import Any, Literal, NamedTuple

import numpy as np

from .units import Ampere, Farad, Henry, Hertz, Ohm, Volt, require

Rectifier = Literal["full wave", "bridge", "half wave", "doubler"]
RECTIFIERS: tuple[Rectifier, ...] = ("full wave", "bridge", "half wave", "doubler")
SWING_BINS = 6
"""Pieces of constant inductance between idle and full current of a swinging choke."""
DIODE_PIECES = 6
"""Chords that stand for the 3/2-power law of a vacuum rectifier, each three times as long as the one before it."""
DIODE_LIFT = 1.016
"""Chords lie below the law; lifted by this they are off by as much on either side, 1.6 per cent of the drop."""


@dataclass(frozen=True)
class Swing:
    """A swinging choke: incremental inductance falls with current along a straight line of the two logarithms.

    Below the idling current and above the full one it is constant.

    Args:
        idle_inductance: at the idling current, the larger of the two.
        idle_current: direct, above zero.
        full_inductance: at the full current.
        full_current: direct, above the idling current.

    Raises:
        ValueError: the inductance does not fall as the current rises.
    """

    idle_inductance: Henry
    idle_current: Ampere
    full_inductance: Henry
    full_current: Ampere

    def __post_init__(self) -> None:
        """Refuse what is not a swinging choke."""
        require(0 < self.idle_current < self.full_current, "a swinging choke has a full current above the idling one")
        require(0 < self.full_inductance <= self.idle_inductance, "the inductance of a swinging choke falls")

    def inductance(self, current: Any) -> Any:
        """Incremental inductance at a current; scalar or array."""
        slope = np.log(self.full_inductance / self.idle_inductance) / np.log(self.full_current / self.idle_current)
        held = np.clip(current, self.idle_current, self.full_current)
        return self.idle_inductance * (held / self.idle_current) ** slope

    @cached_property
    def pieces(self) -> Pieces:
        """Current against flux linkage as a line of straight pieces."""
        ends = np.geomspace(self.idle_current, self.full_current, SWING_BINS + 1)
        within: Any = np.linspace(ends[:-1], ends[1:], 17)
        mean = np.trapezoid(self.inductance(within), within, axis=0) / np.diff(ends)
        starts = np.concatenate([[0.0], ends])
        inductance = np.concatenate([[self.idle_inductance], mean, [self.full_inductance]])
        flux = np.concatenate([[0.0], np.cumsum(inductance[:-1] * np.diff(starts))])
        return Pieces(flux, starts, inductance)


class Pieces(NamedTuple):
    """A rising curve in straight pieces, without an end on either side; arrays over the pieces."""

    start: Any
    value: Any
    slope: Any


@dataclass(frozen=True)
class Section:
    """One step of a filter: an element in series, then a capacitor across; zero stands for a part that is not there.

    Args:
        choke: inductance at every current, unless it swings.
        resistance: winding of the choke, or a series resistor where there is no choke.
        capacitance: behind it; of each of the two for the first section of a doubler.
        capacitor_resistance: in series with the capacitor.
        swing: in place of a constant inductance.

    Raises:
        ValueError: a negative part, or a choke that no capacitor follows.
    """

    choke: Henry = 0.0
    resistance: Ohm = 0.0
    capacitance: Farad = 0.0
    capacitor_resistance: Ohm = 0.0
    swing: Swing | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be built."""
        parts = (self.choke, self.resistance, self.capacitance, self.capacitor_resistance)
        require(all(0 <= part < inf for part in parts), "the parts of a filter are zero or more")
        require(self.capacitance > 0 or not self.has_choke, "a choke is followed by a capacitor")

    @property
    def has_choke(self) -> bool:
        """Whether the series element is a choke."""
        return self.choke > 0 or self.swing is not None

    @cached_property
    def pieces(self) -> Pieces:
        """Current of the choke against its flux linkage."""
        return self.swing.pieces if self.swing else Pieces(np.zeros(1), np.zeros(1), np.array([self.choke]))


@dataclass(frozen=True)
class Regulator:
    """A string of glow tubes behind a resistor; the load is across the string, the bleeder before the resistor.

    The higher voltage at which the tubes strike is not modelled.

    Args:
        voltage: of the string where its current begins.
        dynamic_resistance: of the string.
        series_resistance: between filter and string.

    Raises:
        ValueError: nothing stands between the filter and the string.
    """

    voltage: Volt
    dynamic_resistance: Ohm
    series_resistance: Ohm

    def __post_init__(self) -> None:
        """Refuse what would burn out."""
        require(self.voltage > 0 and self.dynamic_resistance >= 0, "a glow tube has a voltage, its resistance may be 0")
        require(self.series_resistance > 0, "a glow tube works behind a resistor")


@dataclass(frozen=True)
class SupplyCircuit:
    """A transformer, its rectifier and the filter behind it, from the winding to the load.

    A first section with a choke makes it choke input, one without makes it capacitor input. A doubler has its two
    first capacitors in series, charged in alternate half cycles; one that runs empty between charges cannot be
    simulated. Magnetising current, leakage inductance and saturation of the transformer are not modelled.

    Args:
        rectifier: ``full wave`` for a centre-tapped secondary, ``bridge``, ``half wave`` or ``doubler``.
        driving_voltage: effective, open circuit; half of a centre-tapped secondary, otherwise the whole.
        mains_frequency: of the line.
        source_resistance: of the transformer, as seen from the part of the secondary that conducts.
        drop: constant, of every rectifier in the path together.
        drop_resistance: of the same path, added to the constant drop.
        perveance: of a vacuum rectifier, current over the 3/2 power of its drop, whole path; zero without one.
        sections: of the filter, from the rectifier to the load.
        bleeder: across the end of the filter; endless where there is none.
        regulator: behind the filter.

    Raises:
        ValueError: values that no circuit can have.
    """

    rectifier: Rectifier
    driving_voltage: Volt
    mains_frequency: Hertz
    source_resistance: Ohm
    drop: Volt
    sections: tuple[Section, ...]
    drop_resistance: Ohm = 0.0
    perveance: float = 0.0
    bleeder: Ohm = inf
    regulator: Regulator | None = None

    def __post_init__(self) -> None:
        """Refuse what has no steady state or no meaning."""
        require(self.rectifier in RECTIFIERS, "the rectifier must be one of " + ", ".join(RECTIFIERS))
        require(0 <= self.driving_voltage < inf, "the driving voltage is zero or more")
        require(0 < self.mains_frequency < inf, "the mains frequency is above zero")
        drops = (self.source_resistance, self.drop, self.drop_resistance, self.perveance)
        require(all(0 <= part < inf for part in drops), "resistances and drops are zero or more")
        require(self.bleeder > 0, "a bleeder of no resistance is a short circuit")
        require(bool(self.sections) and self.sections[0].capacitance > 0, "the first section has a capacitor")
        later = self.sections[1:]
        require(all(part.has_choke or part.resistance > 0 for part in later), "something stands between two capacitors")
        require(self.choke_input or self.charging_resistance > 0, "a capacitor input needs resistance in its source")
        require(not (self.choke_input and self.rectifier == "doubler"), "a doubler charges capacitors, not a choke")

    @property
    def choke_input(self) -> bool:
        """Whether the filter begins with a choke."""
        return bool(self.sections) and self.sections[0].has_choke

    @property
    def charging_resistance(self) -> Ohm:
        """Everything in series with the rectifier, the first element of the filter included."""
        return self.source_resistance + self.drop_resistance + self.sections[0].resistance

    @property
    def peak_voltage(self) -> Volt:
        """Of the driving voltage."""
        return float(2**0.5 * self.driving_voltage)

    @property
    def half_cycles(self) -> int:
        """Half cycles of the mains after which everything repeats; the halves of a doubler change places."""
        return 2 if self.rectifier == "half wave" else 1

    @cached_property
    def diode(self) -> Pieces:
        """Voltage across the vacuum rectifier against its current, in chords of the 3/2-power law."""
        if not self.perveance or not self.driving_voltage:
            return Pieces(np.zeros(1), np.zeros(1), np.zeros(1))
        most = self.perveance * (self.peak_voltage / 2) ** 1.5
        current = np.concatenate([[0.0], most / 3.0 ** np.arange(DIODE_PIECES - 1, -1, -1.0)])
        voltage = DIODE_LIFT * (current / self.perveance) ** (2 / 3)
        return Pieces(current[:-1], voltage[:-1], np.diff(voltage) / np.diff(current))
