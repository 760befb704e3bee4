"""What formulas refuse, and what they do at the very edge of their range."""

import math

import numpy as np
import pytest

from builder.physics import amplifier, exposure, metering, modulation, supplies
from builder.physics.units import Volt, require, unit_of

REFUSED = [
    (amplifier.efficiency, (10.0, 0.0), "the stage draws no plate input"),
    (amplifier.plate_dissipation, (10.0, 10.1), "output cannot exceed plate input"),
    (amplifier.plate_dissipation_with_drive, (10.0, 1.0, 11.1), "output cannot exceed plate input and drive together"),
    (amplifier.per_tube, (10.0, 0), "there must be at least one tube"),
    (modulation.modulating_impedance, (560.0, 0.0), "the modulated stage draws no current"),
    (modulation.depth_from_current, (0.99,), "antenna current falls under modulation"),
    (modulation.class_b_load, (100.0, 0.0), "the pair draws no plate current"),
    (supplies.load_resistance, (580.0, 0.0), "nothing is drawn from the supply"),
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
    (metering.scale_share, (0.1, 0.0), "the meter has no range"),
    (exposure.safe_distance, (100.0, 2.15, 0.0, 0.0), "there is no density limit"),
]
ALLOWED = [
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
