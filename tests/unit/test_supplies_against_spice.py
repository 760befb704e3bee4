"""The supply simulator against a general-purpose circuit simulator, the Debian package ngspice, on the same circuits.

Agreement that is asked for: 1 per cent of the mean output, 3 per cent of its ripple, 5 per cent of the peak current.
"""

from dataclasses import replace

import numpy as np
import pytest
import spice

from builder.physics.supply_circuit import Regulator, Section, SupplyCircuit, Swing
from builder.physics.supply_simulation import discharge, load_step, regulation, steady_state, switch_on

pytestmark = pytest.mark.skipif(spice.PROGRAM is None, reason="ngspice is not installed (Debian package ngspice)")

BRIDGE = SupplyCircuit("bridge", 1000.0, 60.0, 40.0, 1.6, (Section(capacitance=40e-6),))
CHOKE = SupplyCircuit("full wave", 1200.0, 60.0, 160.0, 0.8, (Section(choke=10.0, capacitance=8e-6),))
TWO_SECTIONS = SupplyCircuit(
    "full wave", 1100.0, 60.0, 50.0, 15.0,
    (Section(8.0, 60.0, 4e-6), Section(8.0, 60.0, 8e-6)), bleeder=25e3,
)  # fmt: skip
SWINGING = SupplyCircuit(
    "full wave", 1500.0, 60.0, 120.0, 0.8, (Section(0.0, 80.0, 8e-6, swing=Swing(20.0, 0.05, 5.0, 0.3)),)
)
VACUUM = SupplyCircuit(
    "full wave", 350.0, 60.0, 100.0, 0.0,
    (Section(capacitance=8e-6), Section(10.0, 200.0, 16e-6)), perveance=4.6e-4,
)  # fmt: skip
GLOW = SupplyCircuit(
    "full wave", 300.0, 60.0, 150.0, 0.8,
    (Section(capacitance=16e-6), Section(0.0, 1e3, 16e-6)), regulator=Regulator(210.0, 200.0, 4e3),
)  # fmt: skip
RESISTOR_SECTION = SupplyCircuit(
    "bridge", 250.0, 50.0, 40.0, 1.6, (Section(capacitance=47e-6, capacitor_resistance=2.0), Section(0.0, 470.0, 47e-6))
)
STEADY = {
    "bridge, capacitor input": (BRIDGE, 5e3, 0.8),
    "bridge, capacitor input, heavy load": (BRIDGE, 2e3, 0.5),
    "full wave, capacitor input, 50 Hz": (
        replace(BRIDGE, rectifier="full wave", drop=0.8, mains_frequency=50.0), 3e3, 0.6,
    ),
    "half wave": (SupplyCircuit("half wave", 300.0, 60.0, 60.0, 0.8, (Section(capacitance=40e-6),)), 4e3, 1.2),
    "choke input above critical": (CHOKE, 4e3, 0.8),
    "choke input below critical": (CHOKE, 25e3, 2.2),
    "two sections, mercury vapour": (TWO_SECTIONS, 5e3, 1.2),
    "resistor section, loss in the capacitor": (RESISTOR_SECTION, 5e3, 1.2),
    "doubler": (SupplyCircuit("doubler", 400.0, 60.0, 30.0, 0.8, (Section(capacitance=60e-6),)), 5e3, 1.5),
    "doubler with a choke": (
        SupplyCircuit("doubler", 300.0, 50.0, 40.0, 0.8, (Section(capacitance=50e-6), Section(3.0, 60.0, 20e-6))),
        4e3, 1.2,
    ),
    "choke that rings with the line": (
        SupplyCircuit("half wave", 300.0, 60.0, 60.0, 0.8, (Section(capacitance=5e-6), Section(3.0, 150.0, 2e-6))),
        20e3, 1.2,
    ),
    "swinging choke at full load": (SWINGING, 6e3, 1.0),
    "swinging choke at light load": (SWINGING, 20e3, 1.6),
    "vacuum rectifier, two capacitors and a choke": (VACUUM, 3e3, 0.8),
    "glow tube": (GLOW, 12e3, 0.8),
}  # fmt: skip
"""Circuit, load resistance, and a time after which the simulator has settled."""


def mean(values, time):
    return np.trapezoid(values, time) / (time[-1] - time[0])


@pytest.mark.parametrize("name", STEADY)
def test_steady_state(name, tmp_path):
    circuit, load, span = STEADY[name]
    run = spice.simulate(spice.netlist(circuit, load, span, keep_from=span - 0.05), tmp_path).last(
        2, circuit.mains_frequency
    )
    found = steady_state(circuit, load=load)
    assert found.voltage == pytest.approx(mean(run.output, run.time), rel=0.003)
    assert found.ripple_peak_to_peak == pytest.approx(np.ptp(run.output), rel=0.03)
    assert found.rectifier_peak == pytest.approx(run.drawn.max(), rel=0.01)
    assert found.source_effective == pytest.approx(mean(run.winding**2, run.time) ** 0.5, rel=0.01)
    drawn = found.rectifier_mean * (1 if circuit.rectifier == "half wave" else 2)
    if circuit.rectifier != "doubler":
        assert drawn == pytest.approx(mean(run.drawn, run.time), rel=0.003)


@pytest.mark.parametrize(("circuit", "current"), [(BRIDGE, 0.3), (CHOKE, 0.25)])
def test_steady_current(circuit, current, tmp_path):
    """A load that draws the same at any voltage, such as a class C stage."""
    start = {"capacitor 0": 1300.0 if circuit is BRIDGE else 1000.0, "choke 0": current}
    text = spice.netlist(circuit, [(0, current), (2, current)], 1.2, keep_from=1.1, start=start)
    run = spice.simulate(text, tmp_path).last(2, 60.0)
    found = regulation(circuit, np.array([current / 2, current]))
    assert found.voltage[1] == pytest.approx(mean(run.output, run.time), rel=0.002)
    assert found.ripple_peak_to_peak[1] == pytest.approx(np.ptp(run.output), rel=0.02)


@pytest.mark.parametrize(
    ("circuit", "load", "span"), [(BRIDGE, 5e3, 0.2), (CHOKE, 4e3, 0.2), (TWO_SECTIONS, 5e3, 0.3), (SWINGING, 6e3, 0.2)]
)
def test_switch_on(circuit, load, span, tmp_path):
    """At a zero of the line, as the simulator's sine begins."""
    run = spice.simulate(spice.netlist(circuit, load, span), tmp_path)
    found = switch_on(circuit, load, span, phase=0.0)
    assert found.surge == pytest.approx(run.drawn.max(), rel=0.01)
    assert found.output_peak == pytest.approx(run.output.max(), rel=0.005)
    moments = np.linspace(0.02, span, 50)
    apart = np.interp(moments, found.time, found.output) - np.interp(moments, run.time, run.output)
    assert abs(apart).max() < 0.005 * circuit.driving_voltage


@pytest.mark.parametrize(
    ("circuit", "currents", "settled"), [(BRIDGE, (0.1, 0.4), 1360.0), (TWO_SECTIONS, (0.1, 0.2), None)]
)
def test_load_step(circuit, currents, settled, tmp_path):
    """From rest under the first current to the second; the simulator is left to settle before."""
    low, high = currents
    wait, after = 1.2, 0.15
    volts = settled or regulation(circuit, np.array([low])).voltage[0]
    start = {"capacitor 0": volts, "capacitor 1": volts, "choke 0": low, "choke 1": low}
    points = [(0, low), (wait, low), (wait + 1e-6, high), (wait + after, high)]
    run = spice.simulate(spice.netlist(circuit, points, wait + after, keep_from=wait, start=start), tmp_path)
    found = load_step(circuit, [0.0, 0.2], [low, high], 0.2 + after)
    moments = np.linspace(0.0, after, 60)
    apart = np.interp(moments + 0.2, found.time, found.output) - np.interp(moments + wait, run.time, run.output)
    assert abs(apart).max() < 0.004 * found.output[0]
    assert found.output_least == pytest.approx(run.output.min(), rel=0.004)


def test_discharge(tmp_path):
    """Two sections and a bleeder that works: the chokes ring, the rectifiers close the way of the first."""
    circuit = replace(TWO_SECTIONS, driving_voltage=0.0)
    start = {"capacitor 0": 1000.0, "capacitor 1": 990.0, "choke 0": 0.2, "choke 1": 0.2}
    run = spice.simulate(spice.netlist(circuit, 1e12, 0.8, start=start), tmp_path)
    found = discharge(TWO_SECTIONS, [1000.0, 990.0], 25e3, 0.8, [0.2, 0.2])
    moments = np.linspace(0.0, 0.8, 80)
    apart = np.interp(moments, found.time, found.output) - np.interp(moments, run.time, run.output)
    assert abs(apart).max() < 5.0
    assert found.output_peak == pytest.approx(run.output.max(), rel=0.003)
