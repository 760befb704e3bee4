"""Heat into air and back, and warming up."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.physics import cooling

CUBIC_FEET_PER_MINUTE = 60 / 0.3048**3
WATTS = st.floats(1, 5000)
RISE = st.floats(1, 60)
HEIGHT = st.floats(0, 5000)
SECONDS = st.floats(1, 1e5)


def test_a_kilowatt_and_twenty_degrees():
    """Example cool_1000w: 87.8 cubic feet per minute by the Fahrenheit form, 88 by the rounded Celsius one."""
    found = cooling.airflow_needed(1000.0, 20.0, 1.0) * CUBIC_FEET_PER_MINUTE
    assert found == pytest.approx(87.8, abs=0.1)


def test_half_a_kilowatt_and_thirty_degrees_fahrenheit():
    """Example cool_500w_F: 52.67 cubic feet per minute."""
    found = cooling.airflow_needed(500.0, 30 / 1.8, 1.0) * CUBIC_FEET_PER_MINUTE
    assert found == pytest.approx(52.67, rel=0.002)


@given(WATTS, RISE, HEIGHT)
def test_the_rise_comes_back(heat, rise, height):
    factor = cooling.altitude_factor(height)
    flow = cooling.airflow_needed(heat, rise, factor)
    assert cooling.air_temperature_rise(heat, flow, factor) == pytest.approx(rise)
    mass_flow = flow * cooling.AIR_DENSITY / factor
    assert mass_flow * cooling.AIR_HEAT * rise == pytest.approx(heat)


def test_thin_air_carries_less():
    assert cooling.altitude_factor(0.0) == 1
    assert np.all(np.diff(cooling.altitude_factor(np.linspace(-500, 5000, 50))) > 0)
    assert cooling.air_temperature_rise(500.0, 0.01, 1.2) > cooling.air_temperature_rise(500.0, 0.01, 1.0)


def test_outlet_is_inlet_and_rise():
    assert cooling.outlet_temperature(25.0, cooling.air_temperature_rise(1206.0, 0.05, 1.0)) == pytest.approx(45)


@given(RISE, SECONDS, st.floats(0.01, 1))
def test_after_the_warm_up_time_the_share_is_left(rise, constant, share):
    time = cooling.warm_up_time(constant, share)
    assert rise - cooling.rise_after(rise, time, constant) == pytest.approx(share * rise)


@given(WATTS, RISE, SECONDS)
def test_warming_begins_with_all_heat_stored(heat, rise, capacity):
    """In the first moment nothing is carried off: the slope is heat over heat capacity."""
    constant = cooling.thermal_time(capacity, rise, heat)
    moment = constant * 1e-6
    assert cooling.rise_after(rise, moment, constant) / moment == pytest.approx(heat / capacity, rel=1e-5)
    assert cooling.rise_after(rise, 40 * constant, constant) == pytest.approx(rise)


def test_one_time_constant_is_63_per_cent():
    assert cooling.rise_after(100.0, 60.0, 60.0) == pytest.approx(100 * (1 - 1 / math.e))
