"""What formulas refuse, and what they do at the very edge of their range."""

import math

import numpy as np
import pytest

from builder.physics import (
    amplifier,
    class_c,
    coils,
    cooling,
    exposure,
    filters,
    linear,
    matching,
    metering,
    modulation,
    network_design,
    operating,
    pulse,
    supplies,
    supply_parts,
    supply_simulation,
    waveform,
)
from builder.physics.supply_circuit import Section, SupplyCircuit
from builder.physics.tubes import Triode
from builder.physics.units import Volt, require, unit_of

TUBE = Triode(0.0003, 20.0, 2.0)
READ = operating.Readings(600.0, 0.2, 80.0, -80.0, 100.0, 20.0)
SUPPLY = SupplyCircuit("bridge", 1000.0, 60.0, 40.0, 1.6, (Section(capacitance=40e-6),))
REFUSED = [
    (amplifier.efficiency, (10.0, 0.0), "the stage draws no plate input"),
    (amplifier.plate_dissipation, (10.0, 10.1), "output cannot exceed plate input"),
    (amplifier.plate_dissipation_with_drive, (10.0, 1.0, 11.1), "output cannot exceed plate input and drive together"),
    (amplifier.per_tube, (10.0, 0), "there must be at least one tube"),
    (
        matching.link_settings_for_load,
        (7.2e6, 3e-6, 0.6e-6, 0.02, 300.0, 1500.0, 50.0, 0.0),
        "the link is too loosely coupled to load the tubes as they ask",
    ),
    (
        matching.link_coupling_for_match,
        (7.2e6, 3e-6, 0.6e-6, 300.0, 100.0, 50.0, 0.0),
        "no coupling gives the tubes the load that they ask for",
    ),
    (filters.filter_design_capacitors, (11, 0.1, 9e6, 50.0), "a filter has at most nine elements"),
    (filters.filter_design_coils, (11, 0.1, 9e6, 50.0), "a filter has at most nine elements"),
    (filters.filter_departure, (*(1e-10,) * 9, 5, 0.1, 9e6, 50.0), "the design has other parts than the filter"),
    (supply_parts.resistance_from_regulation, (700.0, 0.1, 0.0), "the transformer must be rated for a current"),
    (supply_parts.winding_resistance, (20.0, 0.5, 700.0, 0.0), "the line must have a voltage"),
    (supply_parts.regulation, (600.0, 0.0), "the supply gives no voltage under load"),
    (coils.self_resonance, (5.0, 0.0), "a resonance needs inductance and capacitance"),
    (supply_parts.step_start_surge, (240.0, 0.0), "a step-start resistor has a resistance"),
    (supply_parts.step_start_constant, (25.0, 20e-6, 700.0, 0.0), "the line must have a voltage"),
    (supply_parts.largest_equaliser, (450.0, 400.0, 1, 1e-3), "a string has two capacitors at least"),
    (supply_parts.largest_equaliser, (450.0, 800.0, 2, 0.0), "every electrolytic capacitor leaks"),
    (supply_parts.largest_equaliser, (450.0, 900.0, 2, 1e-3), "the string stands no more than is across it"),
    (supply_parts.regulator_current, (200.0, 150.0, 0.0, 0.01), "a glow tube needs a resistor before it"),
    (supply_parts.regulator_heat, (200.0, 150.0, 0.0), "a glow tube needs a resistor before it"),
    (waveform.square_component, (3.3, 1.0, 1), "the duty of a square wave lies between 0 and 1"),
    (waveform.square_component_level, (0.5, 2), "a square wave of this duty does not have this harmonic"),
    (modulation.modulating_impedance, (560.0, 0.0), "the modulated stage draws no current"),
    (modulation.depth_from_current, (0.99,), "antenna current falls under modulation"),
    (modulation.class_b_load, (100.0, 0.0), "the pair draws no plate current"),
    (pulse.mean_share, (4.0, 1.0), "the half angle lies within half a cycle"),
    (pulse.mean_share, (1.0, -1.0), "the exponent is not negative"),
    (pulse.half_angle_tetrode, (-80.0, 0.0, 200.0, 4.5), "the stage is not driven"),
    (pulse.half_angle_triode, (-80.0, 10.0, 600.0, 500.0, 20.0), "the drive must outweigh the plate swing over mu"),
    (pulse.grid_half_angle, (-80.0, 0.0), "the stage is not driven"),
    (
        operating.modulation_sweep,
        (TUBE, 600.0, operating.Bias(-80.0), 100.0, 1e9),
        "the stage has no operating point at the carrier",
    ),
    (operating.operating_point, (600.0, 0.0, 80.0, -80.0, 100.0, 20.0), "the stage draws no plate current"),
    (operating.spread, (READ, {"weather": 1.0}), "uncertainties are stated for readings only"),
    (class_c.tube_output, (80.0, 0.0), "the network must let something through"),
    (class_c.plate_swing, (80.0, 0.0), "there is no plate current"),
    (class_c.plate_load, (500.0, 0.0), "there is no plate current"),
    (class_c.swing_share, (500.0, 0.0), "there is no plate voltage"),
    (class_c.peak_plate_current, (0.1, 0.0), "the pulse has no area"),
    (class_c.emission_share, (0.5, 1.0, 0.0), "the heater takes no power"),
    (class_c.ratio_of, (0.004, 0.0), "none is to be expected"),
    (linear.two_tone_current, (0.1, 0.2), "the stage draws less with signal than without"),
    (supplies.filter_ripple, (60.0, 1.0, 4e-6), "the section must resonate below half the ripple frequency"),
    (
        supplies.two_section_ripple,
        (60.0, 1.0, 4e-6, 10.0, 10e-6),
        "the first section must resonate below half the ripple frequency",
    ),
    (
        supplies.two_section_ripple,
        (60.0, 10.0, 10e-6, 1.0, 4e-6),
        "the second section must resonate below half the ripple frequency",
    ),
    (
        supply_simulation.steady_state,
        (SUPPLY, -0.1),
        "a load is a current from zero up and a resistance above zero",
    ),
    (supply_simulation.regulation, (SUPPLY, 0.1), "regulation is found for a row of loads"),
    (supply_simulation.switch_on, (SUPPLY, 0.0, 1.0), "resistances and times are zero or more"),
    (
        supply_simulation.load_step,
        (SUPPLY, [0.0, 0.2, 0.1], [0.1] * 3, 1.0),
        "the steps of a load are in order and begin at zero",
    ),
    (supply_simulation.discharge, (SUPPLY, 100.0, 0.0, 1.0), "a bleeder of no resistance is a short circuit"),
    (metering.scale_share, (0.1, 0.0), "the meter has no range"),
    (exposure.safe_distance, (100.0, 2.15, 0.0, 0.0), "there is no density limit"),
    (network_design.load_from_supply, (2500.0, 0.0, 2.0), "the stage draws no plate current"),
    (network_design.load_from_power, (690.0, 0.0), "there is no output"),
    (network_design.pi_load_q, (5500.0, 20.0, 16.0), "the Q is too low for the step in resistance"),
    (network_design.virtual_resistance, (2000.0, 50.0, 6.2), "the Q is too low for the step in resistance"),
    (network_design.section_q, (50.0, 500.0), "the shunt capacitor stands at the higher resistance"),
    (network_design.chebyshev_prototype, (4, 0.1), "the count must be odd and the ripple above zero"),
    (
        matching.pi_tuning_setting,
        (7e6, 10e-6, 300.0, 2000.0, 50.0),
        "the coil is too large to match at this frequency",
    ),
    (
        matching.pi_load_setting,
        (7e6, 10e-6, 300.0, 2000.0, 50.0),
        "the coil is too large to match at this frequency",
    ),
    (
        matching.ends_of_settings,
        (np.array([1e-10, np.nan]), np.array([1e-9, np.nan])),
        "the network cannot match every load of this standing-wave ratio",
    ),
    (
        matching.settings_for_load,
        (7e6, 10e-6, 300.0, 2000.0, 50.0, 0.0),
        "the coil is too large to match at this frequency",
    ),
    (matching.mismatched_loads, (50.0, 0.9, 8), "a standing-wave ratio is one or more"),
    (coils.nagaoka_coefficient, (0.0, 1.0), "a coil has a diameter and a length"),
    (coils.lundin_coefficient, (1.0, 0.0), "a coil has a diameter and a length"),
    (coils.turns_correction, (0.5,), "a coil has one turn or more"),
    (coils.wire_correction, (0.001, 0.002), "the wire must be thinner than the pitch"),
    (coils.wire_correction_low_frequency, (0.001, 0.002), "the wire must be thinner than the pitch"),
    (coils.solenoid_inductance, (0.05, 0.005, 0.9, 0.002), "a coil has one turn or more"),
    (coils.solenoid_turns, (1e-9, 0.05, 0.005, 0.002), "no number of turns at this pitch gives the inductance"),
    (coils.wheeler_inductance, (0.1, 0.039, 5), "the coil must be longer than 0.8 of its radius"),
    (coils.wire_resistance, (1.0, 1e-4, 25e-6), "the wire must be five skin depths thick"),
    (coils.solenoid_q, (1e-6, 0.1, 2.6, 7e6), "the proximity factor lies between 1 and 2.5"),
    (coils.self_capacitance, (0.05, 0.004), "the length must be 0.1 to 50 diameters"),
    (cooling.airflow_needed, (500.0, 0.0, 1.0), "the air must be allowed to become warmer"),
    (cooling.air_temperature_rise, (500.0, 0.0, 1.0), "there is no airflow"),
    (cooling.altitude_factor, (5001.0,), "the altitude lies between -500 m and 5000 m"),
    (cooling.thermal_time, (1000.0, 20.0, 0.0), "nothing is heated"),
    (cooling.rise_after, (20.0, 1.0, 0.0), "the time constant must be above zero"),
    (cooling.warm_up_time, (60.0, 0.0), "the share left lies between zero and one"),
    (metering.shunt_needed, (1e-3, 50.0, 1e-3), "a shunt only serves a range above that of the movement"),
    (metering.multiplier_needed, (1e-3, 50.0, 0.05), "the movement alone drops more than the range"),
]
ALLOWED = [
    (amplifier.efficiency, (0.4, 0.5), 0.8),
    (metering.scale_share, (0.1, 0.5), 0.2),
    (modulation.modulating_impedance, (560.0, 0.5), 1120.0),
    (supplies.load_resistance, (580.0, 0.5), 1160.0),
    (supplies.load_resistance, (580.0, 0.0), math.inf),
    (exposure.safe_distance, (4 * math.pi, 0.0, 0.0, 0.5), math.sqrt(5.12)),
    (amplifier.plate_dissipation, (10.0, 10.0), 0.0),
    (amplifier.plate_dissipation_with_drive, (10.0, 1.0, 11.0), 0.0),
    (amplifier.per_tube, (10.0, 1), 10.0),
    (modulation.depth_from_current, (1.0,), 0.0),
    (supplies.discharge_time, (30e3, 20e-6, 55.0, 55.0), 0.0),
    (supplies.discharge_time, (30e3, 20e-6, 20.0, 55.0), 0.0),
    (supplies.discharge_time, (math.inf, 20e-6, 990.0, 55.0), math.inf),
    (supplies.bleeder_power, (580.0, math.inf), 0.0),
    (supplies.bleeder_current, (580.0, math.inf), 0.0),
]


@pytest.mark.parametrize(("function", "numbers", "message"), REFUSED)
def test_refuses(function, numbers, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared below
        function(*numbers)
    assert str(caught.value) == message


@pytest.mark.parametrize(("function", "numbers", "result"), ALLOWED)
def test_allows_the_edge(function, numbers, result):
    assert function(*numbers) == pytest.approx(result)


def test_every_refusal_is_tried():
    from inspect import getsource

    from cases import formulas

    refusing = {function for function in formulas().values() if "require(" in getsource(function)}
    assert refusing == {function for function, _numbers, _message in REFUSED}


def test_arrays_are_refused_as_a_whole():
    require(np.array([True, True]), "x")
    with pytest.raises(ValueError, match="must hold"):
        require(np.array([True, False]), "must hold")
    heat = amplifier.plate_dissipation(np.array([100.0, 120.0]), np.array([70.0, 80.0]))
    assert heat.tolist() == [30.0, 40.0]


def test_units_are_read_from_annotations():
    assert unit_of(Volt).symbol == "V"
    assert unit_of(float) is None


def test_ripple_at_twice_the_resonance_is_refused_and_just_above_is_not():
    """Below half the ripple frequency the divider holds; the limit itself is outside."""
    inductance = 4 / (4 * math.pi * 60) ** 2 / 10e-6
    with pytest.raises(ValueError, match="resonate"):
        supplies.filter_ripple(60.0, inductance * 0.999, 10e-6)
    assert supplies.filter_ripple(60.0, inductance * 1.001, 10e-6) == pytest.approx(2**0.5 / 9, rel=0.01)
