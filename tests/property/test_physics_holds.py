"""What must hold for any numbers: energy is kept, powers are in order, formulas undo each other."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import ufloat

from builder.examination.judge import Verdict, agrees, at_least, at_most, between
from builder.examination.sheet import lifted
from builder.physics import amplifier, envelope, exposure, metering, modulation, protection, supplies

VOLTS = st.floats(1, 1e4)
AMPERES = st.floats(1e-6, 10)
WATTS = st.floats(1e-3, 1e4)
DEPTH = st.floats(0, 1)
OHMS = st.floats(1, 1e7)
FARADS = st.floats(1e-9, 1e-3)
MAINS = st.sampled_from([50.0, 60.0])
COUNT = st.integers(1, 12)


@given(VOLTS, AMPERES, DEPTH)
def test_energy_in_is_energy_out_and_heat(voltage, current, share):
    taken = amplifier.dc_input(voltage, current)
    output = share * taken
    assert amplifier.plate_dissipation(taken, output) + output == pytest.approx(taken)
    assert amplifier.efficiency(output, taken) == pytest.approx(share)


@given(WATTS, WATTS, DEPTH)
def test_drive_that_is_fed_through_is_energy_as_well(taken, drive, share):
    output = share * (taken + drive)
    assert amplifier.plate_dissipation_with_drive(taken, drive, output) + output == pytest.approx(taken + drive)


@given(WATTS, COUNT)
def test_shares_make_the_whole(total, count):
    assert amplifier.per_tube(total, count) * count == pytest.approx(total)
    assert supplies.share_of_string(total, count) * count == pytest.approx(total)
    assert supplies.product(supplies.share_of_string(total, count), count) == pytest.approx(total)


@given(AMPERES, OHMS, st.floats(1.01, 1e4))
def test_a_shunt_and_its_range_undo_each_other(movement, resistance, times):
    shunt = metering.shunt_needed(movement, resistance, times * movement)
    assert metering.shunted_full_scale(movement, resistance, shunt) == pytest.approx(times * movement)
    burden = metering.voltage_burden(movement, resistance)
    assert shunt * (times - 1) * movement == pytest.approx(burden), "shunt and movement drop the same"


@given(AMPERES, OHMS, st.floats(1.01, 1e4))
def test_a_multiplier_and_its_range_undo_each_other(movement, resistance, times):
    volts = times * movement * resistance
    multiplier = metering.multiplier_needed(movement, resistance, volts)
    assert metering.multiplied_full_scale(movement, resistance, multiplier) == pytest.approx(volts)


@given(st.floats(0, 0.1), OHMS, st.floats(0, 0.1), OHMS, st.floats(0, 0.1))
def test_resistors_never_make_a_movement_better(quality, resistance, off, other, tolerance):
    """The budget is at least the class, and at most class and all tolerances together."""
    for error in (
        metering.shunted_error(quality, resistance, off, other, tolerance),
        metering.multiplied_error(quality, resistance, other, tolerance),
    ):
        assert quality * (1 - 1e-12) <= error <= (quality + off + tolerance) * (1 + 1e-12)
        assert metering.uncorrected_error(error, -tolerance) == pytest.approx(error + tolerance)


@given(st.integers(0, 36))
def test_six_gauges_halve_the_diameter(gauge):
    """The trade's rule; the series itself gives 2.005."""
    ratio = protection.gauge_diameter(gauge) / protection.gauge_diameter(gauge + 6)
    assert ratio == pytest.approx(2, rel=0.005)


@given(AMPERES, OHMS, st.floats(0.1, 2))
def test_diodes_never_raise_b_minus(current, resistance, clamp):
    clamped = protection.clamped_rise(current, resistance, clamp)
    assert clamped <= clamp
    assert clamped <= protection.open_rise(current, resistance)


@given(WATTS, DEPTH)
def test_powers_of_a_modulated_carrier_are_in_order(carrier, depth):
    mean, crest = modulation.mean_power(carrier, depth), modulation.peak_envelope_power(carrier, depth)
    assert carrier <= mean * (1 + 1e-12)
    assert mean <= crest * (1 + 1e-12)
    sidebands = modulation.sideband_share(depth) * mean
    assert carrier + sidebands == pytest.approx(mean)


@given(VOLTS, AMPERES, DEPTH)
def test_audio_makes_the_sidebands(voltage, current, depth):
    """At any constant efficiency the power that modulation adds is the audio that goes in."""
    taken = amplifier.dc_input(voltage, current)
    audio = modulation.audio_power_needed(depth, voltage, current)
    assert modulation.mean_power(taken, depth) == pytest.approx(taken + audio)


@given(st.floats(1e-3, 1))
def test_depth_comes_back_from_the_current(depth):
    assert modulation.depth_from_current(modulation.antenna_current_rise(depth)) == pytest.approx(depth, rel=1e-6)


@given(st.floats(0, 1), VOLTS)
def test_depth_comes_back_from_the_envelope(depth, carrier):
    crest, trough = carrier * (1 + depth), carrier * (1 - depth)
    assert modulation.depth_from_envelope(crest, trough) == pytest.approx(depth, abs=1e-9)


@given(st.floats(0, 1.5), st.floats(0, 2))
def test_envelope_stays_between_its_peaks(negative, positive):
    phase = np.linspace(0, 2 * np.pi, 721)
    height = envelope.sine_envelope(phase, negative, positive)
    assert height.max() == pytest.approx(1 + positive)
    assert height.min() == pytest.approx(max(0.0, 1 - negative))
    assert np.all(np.abs(envelope.carrier_under(height, phase, 20)) <= height + 1e-12)
    _across, along = envelope.trapezoid(negative, positive)
    assert along.max() == pytest.approx(height.max())
    assert along[0] == pytest.approx(height.min())


@given(OHMS, FARADS, VOLTS, st.floats(1, 1000))
def test_after_the_discharge_time_the_voltage_is_safe(bleeder, capacitance, safe, ratio):
    start = safe * ratio
    time = supplies.discharge_time(bleeder, capacitance, start, safe)
    assert supplies.decay(time, bleeder, capacitance, start) == pytest.approx(safe)


@given(OHMS, FARADS, VOLTS)
def test_what_is_safe_already_needs_no_time(bleeder, capacitance, voltage):
    assert supplies.discharge_time(bleeder, capacitance, voltage, 2 * voltage) == 0


@given(OHMS, FARADS, VOLTS)
def test_the_bleeder_turns_all_of_the_energy_into_heat(bleeder, capacitance, start):
    time = np.linspace(0, 20 * bleeder * capacitance, 20001)
    heat = supplies.bleeder_power(supplies.decay(time, bleeder, capacitance, start), bleeder)
    assert np.trapezoid(heat, time) == pytest.approx(supplies.stored_energy(capacitance, start), rel=1e-3)


@given(VOLTS, OHMS)
def test_bleeder_obeys_ohm(voltage, bleeder):
    current = supplies.bleeder_current(voltage, bleeder)
    assert supplies.bleeder_power(voltage, bleeder) == pytest.approx(voltage * current)
    assert supplies.load_resistance(voltage, current) == pytest.approx(bleeder)
    assert amplifier.resistor_power(bleeder, current) == pytest.approx(voltage * current)


@given(VOLTS, MAINS, OHMS)
def test_at_critical_inductance_the_current_just_touches_zero(driving, mains, load):
    """The crest of the second harmonic equals the mean current; first harmonic only, no drops."""
    choke = supplies.critical_inductance(load, mains)
    mean = supplies.choke_input_voltage(driving, 0.0, 0.0, 0.0) / load
    assert supplies.choke_ripple_current(2**0.5 * driving, mains, choke) == pytest.approx(mean)


@given(VOLTS, st.floats(1, 1.2))
def test_inverse_voltages_are_in_proportion(driving, high):
    bridge = supplies.inverse_voltage_bridge(driving, high)
    assert supplies.inverse_voltage_centre_tap(driving, high) == pytest.approx(2 * bridge)
    assert supplies.inverse_voltage_half_wave(driving, high) == pytest.approx(2 * bridge)
    assert supplies.no_load_voltage(driving, high) == pytest.approx(bridge)


@given(st.floats(1, 50), st.floats(2e-6, 1e-4), st.floats(1, 50), st.floats(2e-6, 1e-4), MAINS)
def test_a_second_section_never_adds_ripple(choke, capacitor, second_choke, second_capacitor, mains):
    angular = 4 * math.pi * mains
    assume(angular**2 * choke * capacitor > 4)
    assume(angular**2 * second_choke * second_capacitor > 4)
    one = supplies.filter_ripple(mains, choke, capacitor)
    assert supplies.two_section_ripple(mains, choke, capacitor, second_choke, second_capacitor) < one


@given(AMPERES, MAINS, FARADS, VOLTS)
def test_half_wave_has_twice_the_ripple(current, mains, capacitance, voltage):
    full = supplies.capacitor_ripple(current, mains, capacitance, voltage)
    assert supplies.half_wave_ripple(current, mains, capacitance, voltage) == pytest.approx(2 * full)


@given(OHMS, st.floats(0.1, 10))
def test_a_transformer_turned_round_undoes_itself(load, ratio):
    assert modulation.reflected_load(modulation.reflected_load(load, ratio), 1 / ratio) == pytest.approx(load)


@given(st.floats(1e6, 3e7), st.floats(0, 1e4), st.floats(0, 1e3))
def test_the_carrier_lies_in_its_emission(carrier, sideband, error):
    low, high = modulation.emission_low(carrier, sideband, error), modulation.emission_high(carrier, sideband, error)
    assert low <= carrier <= high
    assert high - low == pytest.approx(modulation.necessary_bandwidth(sideband) + 2 * error, abs=1e-6)


@given(st.floats(-1e3, 1e3), st.floats(0, 0.1), st.floats(0, 0.1), st.floats(0, 1e3))
def test_uncertainty_is_never_negative(reading, of_reading, of_scale, scale):
    found = metering.standard_uncertainty(reading, of_reading, of_scale, scale)
    assert found >= 0
    assert found == metering.standard_uncertainty(-reading, of_reading, of_scale, scale)


@given(WATTS, WATTS, WATTS)
def test_levels_add_where_powers_multiply(first, second, third):
    assert metering.decibels(first, second) + metering.decibels(second, third) == pytest.approx(
        metering.decibels(first, third), abs=1e-9
    )


@given(WATTS, st.floats(0, 25), st.floats(0, 5), st.floats(1, 1000))
def test_at_the_safe_distance_the_density_is_the_limit(power, gain, loss, limit):
    distance = exposure.safe_distance(power, gain, loss, limit)
    radiated = power * 10 ** ((gain - loss) / 10)
    assert 2.56 * radiated / (4 * math.pi * distance**2) == pytest.approx(limit)
    assert exposure.average_power(power, 1.0, 1.0) == power


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6), st.floats(0, 0.9))
def test_verdicts_agree_with_plain_comparison(value, limit, margin):
    assert (at_most(value, limit).verdict(margin) is Verdict.BEYOND) == (value > limit)
    assert (at_least(value, limit).verdict(margin) is Verdict.BEYOND) == (value < limit)
    low, high = min(value, limit), max(value, limit)
    assert between((low + high) / 2, low, high).verdict(0) is not Verdict.BEYOND
    assert agrees(value, value, margin).verdict(0) is not Verdict.BEYOND


@given(st.floats(1, 1e6), st.floats(1, 1e6), st.floats(1e-6, 1e6))
def test_a_worse_meter_never_makes_a_surer_verdict(value, limit, sigma):
    """What is told with a poor meter is told the same with a good one."""
    poor = at_most(ufloat(value, 2 * sigma), limit).verdict(0)
    good = at_most(ufloat(value, sigma), limit).verdict(0)
    assert poor in {good, Verdict.NOT_SHOWN}


@given(VOLTS, AMPERES, st.floats(1e-4, 0.1), st.floats(1e-4, 0.1))
def test_lifted_product_adds_relative_uncertainties(voltage, current, first, second):
    found = lifted(amplifier.dc_input, [ufloat(voltage, first * voltage), ufloat(current, second * current)])
    assert found.nominal_value == pytest.approx(voltage * current)
    assert found.std_dev == pytest.approx(math.hypot(first, second) * voltage * current, rel=1e-3)
