"""What must hold for any supply: charge and energy are kept, more load gives less voltage, scale does not matter."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.physics import supplies
from builder.physics.supply_circuit import Section, SupplyCircuit, Swing
from builder.physics.supply_simulation import discharge, load_step, regulation, steady_state, switch_on

FEW = settings(max_examples=25)
LEGS = {"full wave": 2, "bridge": 2, "half wave": 1, "doubler": 2}
SHARE = st.floats(0.005, 0.2)
OMEGA_R_C = st.floats(3.0, 100.0)
LOAD = 4000.0


@st.composite
def capacitor_inputs(draw, rectifiers=tuple(LEGS)):
    """A supply for a load of 4 kohm, by the ratios that matter."""
    frequency, volts = draw(st.sampled_from([50.0, 60.0])), draw(st.floats(100.0, 3000.0))
    rectifier, drop = draw(st.sampled_from(rectifiers)), draw(st.floats(0.0, 0.02)) * volts
    times = 4 if rectifier == "doubler" else 1
    section = Section(capacitance=times * draw(OMEGA_R_C) / (2 * math.pi * frequency * LOAD))
    return SupplyCircuit(rectifier, volts, frequency, draw(SHARE) * LOAD / times, drop, (section,))


@st.composite
def choke_inputs(draw):
    """A supply with choke input, from a quarter of the critical inductance to four times."""
    frequency, volts = draw(st.sampled_from([50.0, 60.0])), draw(st.floats(100.0, 3000.0))
    inductance = draw(st.floats(0.25, 4.0)) * supplies.critical_inductance(LOAD, frequency)
    resonance = draw(st.floats(3.0, 10.0))
    capacitance = (resonance / (4 * math.pi * frequency)) ** 2 / inductance
    swing = draw(st.sampled_from([None, Swing(2 * inductance, volts / 20e3, inductance / 2, volts / 2e3)]))
    section = Section(0.0 if swing else inductance, draw(SHARE) * LOAD, capacitance, swing=swing)
    return SupplyCircuit(draw(st.sampled_from(["full wave", "bridge"])), volts, frequency, 20.0, 0.0, (section,))


ANY = st.one_of(capacitor_inputs(), choke_inputs())


def drawn(found, circuit):
    return found.rectifier_mean * LEGS[circuit.rectifier]


@FEW
@given(ANY)
def test_charge_that_goes_in_comes_out(circuit):
    """No capacitor gains any in a whole period; a doubler hands each charge on at twice the voltage."""
    found = steady_state(circuit, load=LOAD)
    times = 2 if circuit.rectifier == "doubler" else 1
    assert drawn(found, circuit) == pytest.approx(times * found.voltage / LOAD, rel=1e-4)


@FEW
@given(ANY)
def test_energy_that_goes_in_comes_out(circuit):
    """Into the load, and into the resistance and drop before it."""
    found = steady_state(circuit, load=LOAD)
    effective = found.rectifier_effective * LEGS[circuit.rectifier] ** 0.5
    lost = circuit.charging_resistance * effective**2 + circuit.drop * drawn(found, circuit)
    given_out = found.voltage**2 * (1 + found.ripple**2) / LOAD
    assert found.source_power == pytest.approx(lost + given_out, rel=1e-3)


@FEW
@given(choke_inputs(), st.floats(0.02, 1.0), st.floats(2e4, 1e5))
def test_mean_of_the_choke_is_the_load_and_the_bleeder(circuit, share, bleeder):
    current = share * circuit.driving_voltage / LOAD
    found = steady_state(replace(circuit, bleeder=bleeder), current)
    assert drawn(found, circuit) == pytest.approx(current + found.voltage / bleeder, rel=1e-4)
    assert found.choke_least[0] <= drawn(found, circuit) <= found.choke_peak[0]


@FEW
@given(ANY)
def test_more_load_never_gives_more_voltage(circuit):
    """More current lowers the output, and no output is above the peak."""
    row = regulation(circuit, np.linspace(0.0, 0.4, 8) * circuit.driving_voltage / LOAD)
    assert (np.diff(row.voltage) < 0).all()
    times = 2 if circuit.rectifier == "doubler" else 1
    assert row.voltage[0] <= times * circuit.peak_voltage
    assert (np.diff(row.source_effective) > 0).all()


@FEW
@given(ANY, st.floats(0.1, 10.0))
def test_scale_does_not_matter(circuit, times):
    """All voltages by a factor, all resistances kept: every current by the factor."""
    sections = tuple(
        replace(section, swing=section.swing and replace(
            section.swing, idle_current=section.swing.idle_current * times,
            full_current=section.swing.full_current * times,
        ))
        for section in circuit.sections
    )  # fmt: skip
    scaled = replace(
        circuit, driving_voltage=circuit.driving_voltage * times, drop=circuit.drop * times, sections=sections
    )
    one, other = steady_state(circuit, load=LOAD), steady_state(scaled, load=LOAD)
    for name in ("voltage", "ripple_peak_to_peak", "rectifier_peak", "source_effective"):
        assert getattr(other, name) == pytest.approx(times * getattr(one, name), rel=1e-4)


@FEW
@given(ANY)
def test_the_waveform_has_the_mean_and_the_ripple_that_are_told(circuit):
    found = steady_state(circuit, load=LOAD)
    assert np.trapezoid(found.output_voltage, found.time) * circuit.mains_frequency == pytest.approx(
        found.voltage, rel=0.002
    )
    assert np.ptp(found.output_voltage) == pytest.approx(found.ripple_peak_to_peak, rel=0.02)
    assert found.output_voltage[0] == pytest.approx(found.output_voltage[-1], rel=1e-3)


@FEW
@given(st.floats(1e-6, 1e-4), st.floats(1e3, 1e6), st.floats(10.0, 3000.0), st.floats(0.1, 5.0))
def test_discharge_is_the_exponential(capacitance, bleeder, volts, constants):
    circuit = SupplyCircuit("bridge", 1000.0, 50.0, 20.0, 1.0, (Section(capacitance=capacitance),))
    span = constants * bleeder * capacitance
    found = discharge(circuit, volts, bleeder, span)
    assert found.output == pytest.approx(supplies.decay(found.time, bleeder, capacitance, volts), rel=1e-5, abs=1e-6)
    assert found.time[-1] == pytest.approx(span, rel=1e-4, abs=1e-7)


@FEW
@given(ANY, st.floats(0.0, math.pi))
def test_switching_on_stays_within_bounds(circuit, phase):
    """No surge above the peak over the resistance, no output above twice the peak of each half."""
    found = switch_on(circuit, LOAD, 0.1, phase)
    times = 2 if circuit.rectifier == "doubler" else 1
    assert 0 < found.surge <= (circuit.peak_voltage - circuit.drop) / circuit.charging_resistance * (1 + 1e-6)
    assert (2 if circuit.choke_input else 1) * times * circuit.peak_voltage >= found.output_peak
    assert (np.diff(found.time) >= 0).all()
    assert found.source_current.min() > -1e-3 * found.surge


@FEW
@given(capacitor_inputs(("bridge", "full wave")), st.floats(0.05, 0.3), st.floats(0.05, 0.3))
def test_a_load_step_ends_where_the_second_load_rests(circuit, first, second):
    currents = np.array([first, second]) * circuit.driving_voltage / LOAD
    constant = circuit.sections[0].capacitance * LOAD
    span = 0.05 + 3 * constant
    found = load_step(circuit, [0.0, 0.05], currents, span)
    rest = steady_state(circuit, currents[1])
    late = found.time > span - 0.5 / circuit.mains_frequency
    assert found.output[late].max() == pytest.approx(rest.output_voltage.max(), rel=0.02)
