"""Any network of lumped parts between a tube and its load, solved as a chain of two-ports."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import zip_longest
from math import inf, pi
from typing import Any, NamedTuple

import numpy as np

from .network_design import chebyshev_prototype
from .units import Count, Decibel, Farad, Henry, Hertz, Ohm, Ratio, Watt

HIGHEST_HARMONIC = 10
"""Harmonic up to which attenuation is told; above it strays of the layout rule; source: common-practice."""


@dataclass(frozen=True)
class Element:
    """One part of a ladder.

    Args:
        kind: ``series`` or ``shunt``, and ``coil``, ``capacitor`` or ``resistor``; or ``coupled coils``.
        value: inductance, capacitance or resistance; of coupled coils the one at the source.
        q: unloaded Q; endless without loss; of coupled coils that of each. Not used for resistors.
        q_frequency: where that Q holds, its resistance growing with the root of frequency; zero for a constant Q.
        secondary: the other of coupled coils.
        coupling: of coupled coils, mutual inductance over the mean of the two.
    """

    kind: str
    value: float
    q: float = inf
    q_frequency: float = 0.0
    secondary: float = 0.0
    coupling: float = 0.0

    def impedance(self, frequency: Any) -> Any:
        """Complex impedance with loss, shape (n_freq,)."""
        angular = 2 * pi * frequency
        if self.kind.endswith("resistor"):
            return self.value + 0j * angular
        if self.kind.endswith("capacitor"):
            return (1 / self._q_at(frequency) - 1j) / (angular * self.value)
        return angular * self.value * (1 / self._q_at(frequency) + 1j)

    def matrix(self, frequency: Any) -> Any:
        """Chain matrix, shape (n_freq, 2, 2)."""
        impedance = self.impedance(frequency)
        one, none = np.ones_like(impedance), np.zeros_like(impedance)
        if self.kind.startswith("series"):
            return _matrices(one, impedance, none, one)
        if self.kind.startswith("shunt"):
            return _matrices(one, none, 1 / impedance, one)
        mutual = 2j * pi * frequency * self.coupling * (self.value * self.secondary) ** 0.5
        other = impedance * (self.secondary / self.value)
        return _matrices(impedance / mutual, impedance * other / mutual - mutual, 1 / mutual, other / mutual)

    def _q_at(self, frequency: Any) -> Any:
        return self.q * (frequency / self.q_frequency) ** 0.5 if self.q_frequency else self.q


@dataclass(frozen=True)
class Driven:
    """What a source does to a ladder.

    Args:
        voltage: at each node from source to load, complex, shape (n_elements + 1, n_freq).
        current: towards the load at each node, complex, shape (n_elements + 1, n_freq).
        branch_voltage: across each element, shape (n_elements, n_freq); of coupled coils at the source side.
        branch_current: through each element, shape (n_elements, n_freq); of coupled coils at the source side.
    """

    voltage: Any
    current: Any
    branch_voltage: Any
    branch_current: Any

    @property
    def input_power(self) -> Any:
        """Mean power out of the source, phasors being peaks, shape (n_freq,)."""
        return (self.voltage[0] * self.current[0].conj()).real / 2

    @property
    def output_power(self) -> Any:
        """Mean power into the load, shape (n_freq,)."""
        return (self.voltage[-1] * self.current[-1].conj()).real / 2


@dataclass(frozen=True)
class Ladder:
    """Elements in order from source to load, linear and lumped.

    Source: elementary, chain matrices of two-ports
    """

    elements: tuple[Element, ...]

    @classmethod
    def pi(cls, tuning: Farad, tank_coil: Henry, load_capacitor: Farad, coil_q: Ratio = inf) -> Ladder:
        """Pi network; tuning is the capacitor and the output capacitance of the tube together."""
        return cls(
            (
                Element("shunt capacitor", tuning),
                Element("series coil", tank_coil, coil_q),
                Element("shunt capacitor", load_capacitor),
            )
        )

    @classmethod
    def pi_l(
        cls, tuning: Farad, tank_coil: Henry, load_capacitor: Farad, output_coil: Henry, coil_q: Ratio = inf
    ) -> Ladder:
        """Pi network followed by a series coil."""
        first = cls.pi(tuning, tank_coil, load_capacitor, coil_q)
        return cls((*first.elements, Element("series coil", output_coil, coil_q)))

    @classmethod
    def linked_tank(
        cls,
        tuning: Farad,
        tank_coil: Henry,
        link_coil: Henry,
        coupling: Ratio,
        coil_q: Ratio = inf,
        link_capacitor: Farad = 0.0,
    ) -> Ladder:
        """Parallel tank with a link coil at its cold end, and a capacitor in series with the link where it has one."""
        link = Element("coupled coils", tank_coil, coil_q, secondary=link_coil, coupling=coupling)
        behind = (Element("series capacitor", link_capacitor),) if link_capacitor else ()
        return cls((Element("shunt capacitor", tuning), link, *behind))

    @classmethod
    def l_section(cls, shunt_capacitor: Farad, series_coil: Henry, coil_q: Ratio = inf) -> Ladder:
        """Shunt capacitor at the high side, series coil to the low side."""
        return cls((Element("shunt capacitor", shunt_capacitor), Element("series coil", series_coil, coil_q)))

    @classmethod
    def output_network(
        cls,
        tuning: Farad,
        tank_coil: Henry,
        load_capacitor: Farad = 0.0,
        output_coil: Henry = 0.0,
        coil_q: Ratio = inf,
    ) -> Ladder:
        """Pi, pi-L or L, whichever parts there are; those of no size are left out."""
        parts = (
            Element("shunt capacitor", tuning),
            Element("series coil", tank_coil, coil_q),
            Element("shunt capacitor", load_capacitor),
            Element("series coil", output_coil, coil_q),
        )
        return cls(tuple(part for part in parts if part.value))

    @classmethod
    def of_parts(cls, capacitors: Iterable[Farad], coils: Iterable[Henry], coil_q: Ratio = inf) -> Ladder:
        """Shunt capacitors with series coils between them, a capacitor first; those of no size are left out."""
        pairs = zip_longest(capacitors, coils, fillvalue=0.0)
        elements = (
            element
            for capacitor, coil in pairs
            for element in (Element("shunt capacitor", capacitor), Element("series coil", coil, coil_q))
        )
        return cls(tuple(element for element in elements if element.value))

    @classmethod
    def low_pass_filter(cls, elements_count: Count, ripple: Decibel, edge: Hertz, line: Ohm) -> Ladder:
        """Chebyshev filter, or half-wave filter where there is no ripple; nothing where there are no elements.

        A half-wave filter has five elements for one section and four more for each further one; edge is then its
        design frequency.
        """
        if not elements_count:
            return cls(())
        if not ripple:
            return cls.half_wave(line, edge, int(elements_count - 1) // 4)
        return cls.low_pass(chebyshev_prototype(elements_count, ripple), edge, line)

    def followed_by(self, other: Ladder) -> Ladder:
        """This and another one behind it."""
        return Ladder((*self.elements, *other.elements))

    @classmethod
    def low_pass(cls, prototype: Iterable[Ratio], cut_off: Hertz, line: Ohm, coil_q: Ratio = inf) -> Ladder:
        """Low-pass filter of a prototype, shunt capacitor first; cut_off is where the prototype has its edge."""
        angular = 2 * pi * cut_off
        return cls(
            tuple(
                Element("series coil", g * line / angular, coil_q)
                if at % 2
                else Element("shunt capacitor", g / (angular * line))
                for at, g in enumerate(prototype)
            )
        )

    @classmethod
    def half_wave(cls, line: Ohm, carrier_frequency: Hertz, sections: int = 1, coil_q: Ratio = inf) -> Ladder:
        """Half-wave filter: each section is two equal pi networks whose reactances are the line's at the carrier."""
        inner = (1.0, 2.0) * (2 * sections - 1)
        return cls.low_pass((1.0, *inner, 1.0, 1.0), carrier_frequency, line, coil_q)

    def chain(self, frequency: Any) -> Any:
        """Chain matrix of the whole, shape (n_freq, 2, 2)."""
        frequency = np.atleast_1d(np.asarray(frequency, dtype=float))
        product = np.broadcast_to(np.eye(2, dtype=complex), (frequency.size, 2, 2))
        for element in self.elements:
            product = product @ element.matrix(frequency)
        return product

    def input_impedance(self, frequency: Any, load: Any) -> Any:
        """What the source sees, complex, shape (n_freq,); load is complex, a scalar or of shape (n_freq,)."""
        (a, b), (c, d) = np.moveaxis(self.chain(frequency), 0, -1)
        return (a * load + b) / (c * load + d)

    def scattering(self, frequency: Any, line: Ohm) -> Any:
        """Scattering matrix between equal real lines, shape (n_freq, 2, 2)."""
        (a, b), (c, d) = np.moveaxis(self.chain(frequency), 0, -1)
        b, c = b / line, c * line
        whole = a + b + c + d
        through = 2 / whole
        return _matrices((a + b - c - d) / whole, (a * d - b * c) * through, through, (b - a - c + d) / whole)

    def driven(self, frequency: Any, load: Any, source_current: Any) -> Driven:
        """Voltages and currents everywhere for a current source, such as a tube with its harmonics.

        Args:
            frequency: one, or the carrier and its harmonics, shape (n_freq,).
            load: complex, a scalar or of shape (n_freq,).
            source_current: peak phasor, a scalar or of shape (n_freq,); the output capacitance of the
                tube is the first element, or part of it.
        """
        frequency = np.atleast_1d(np.asarray(frequency, dtype=float))
        state = np.stack([np.ones(frequency.size, dtype=complex), np.ones(frequency.size) / load])
        states = [state]
        for element in reversed(self.elements):
            state = np.einsum("fij,jf->if", element.matrix(frequency), state)
            states.append(state)
        whole = np.stack(states[::-1]) * (source_current / state[1])
        voltage, current = whole[:, 0], whole[:, 1]
        branches = [self._branch(at, frequency, voltage, current) for at in range(len(self.elements))]
        return Driven(voltage, current, np.array([v for v, _i in branches]), np.array([i for _v, i in branches]))

    def _branch(self, at: int, frequency: Any, voltage: Any, current: Any) -> tuple[Any, Any]:
        element = self.elements[at]
        if element.kind.startswith("series"):
            return voltage[at] - voltage[at + 1], current[at]
        if element.kind.startswith("shunt"):
            return voltage[at], voltage[at] / element.impedance(frequency)
        return voltage[at], current[at]

    def efficiency(self, frequency: Any, load: Any) -> Any:
        """Power into the load over power from the source, shape (n_freq,)."""
        found = self.driven(frequency, load, 1.0)
        return found.output_power / found.input_power

    def harmonic_attenuation(self, carrier_frequency: Hertz, load: Any, highest: int = HIGHEST_HARMONIC) -> Any:
        """Load voltage of the carrier over that of each harmonic for equal currents from the tube.

        Args:
            carrier_frequency: of the fundamental.
            load: same at all frequencies, or of shape (highest,).
            highest: harmonic.

        Returns:
            Levels of harmonic 1 (zero) to highest, shape (highest,).
        """
        found = np.abs(self.driven(carrier_frequency * np.arange(1, highest + 1), load, 1.0).voltage[-1])
        return 20 * np.log10(found[0] / found)

    def stresses(self, frequency: Hertz, load: complex, output_power: Watt, crest_factor: Ratio) -> tuple[Any, Any]:
        """Peak voltage and effective current of each element at a given power in the load.

        Args:
            frequency: one.
            load: impedance.
            output_power: mean, into the load.
            crest_factor: crest of the envelope over its mean height, 1 for telegraphy; it raises voltages only.

        Returns:
            Peak voltages and effective currents, shape (n_elements,) each.
        """
        found = self.driven(frequency, load, 1.0)
        scale = (output_power / found.output_power[0]) ** 0.5
        voltage, current = np.abs(found.branch_voltage[:, 0]), np.abs(found.branch_current[:, 0])
        return crest_factor * scale * voltage, scale * current / 2**0.5


def _matrices(a: Any, b: Any, c: Any, d: Any) -> Any:
    return np.moveaxis(np.array([[a, b], [c, d]]), -1, 0)


class FilterParts(NamedTuple):
    """Parts of a low-pass filter from the network to the antenna; zero where there is none.

    Args:
        first_capacitor: nearest the network.
        second_capacitor: behind the first coil.
        third_capacitor: behind the second coil.
        fourth_capacitor: behind the third coil.
        fifth_capacitor: behind the fourth coil.
        first_coil: behind the first capacitor.
        second_coil: behind the second capacitor.
        third_coil: behind the third capacitor.
        fourth_coil: behind the fourth capacitor.
    """

    first_capacitor: Farad
    second_capacitor: Farad
    third_capacitor: Farad
    fourth_capacitor: Farad
    fifth_capacitor: Farad
    first_coil: Henry
    second_coil: Henry
    third_coil: Henry
    fourth_coil: Henry

    @property
    def capacitors(self) -> tuple[Farad, ...]:
        """Shunt capacitors."""
        return self[:5]

    @property
    def coils(self) -> tuple[Henry, ...]:
        """Series coils."""
        return self[5:]

    def ladder(self, coil_q: Ratio = inf) -> Ladder:
        """The filter as a chain of elements.

        Args:
            coil_q: unloaded, of its coils; without loss if left out.
        """
        return Ladder.of_parts(self.capacitors, self.coils, coil_q)
