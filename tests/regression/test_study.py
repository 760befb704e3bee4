"""Numbered cases of the project's own study of large-signal models: pulses, meters, drive and modulation sweep."""

from functools import partial

import numpy as np
import pytest
import yaml
from cases import HOME

from builder.physics import operating, pulse
from builder.physics.operating import Bias, Readings
from builder.physics.tubes import Tetrode, Triode, currents

CASES = yaml.safe_load((HOME / "regression" / "study.yaml").read_text(encoding="utf-8"))
FINE = 8192
HAND_MEAN = np.array([0.5, 1, 1, 1, 1, 1]) / 12
HAND_FUNDAMENTAL = np.array([1, 1.93, 1.73, 1.41, 1, 0.52]) / 12
"""Weights of currents at 0, 15 ... 75 degrees."""


def model(inputs):
    parameters = inputs["model"]
    return Triode(*parameters) if len(parameters) == 3 else Tetrode(*parameters)


def at_swing(inputs):
    return operating.operation_at_swing(
        model(inputs), inputs["plate"], inputs["bias"], inputs["drive"], inputs["swing"], inputs["screen"]
    )


def waves(inputs, phase):
    cosine = np.cos(phase)
    grid, plate = inputs["bias"] + inputs["drive"] * cosine, inputs["plate"] - inputs["swing"] * cosine
    return currents(model(inputs), grid, np.maximum(plate, 0.0), inputs["screen"])


def integrals(inputs):
    """Mean currents and the plate's fundamental, from many phases."""
    phase = (np.arange(FINE) + 0.5) * np.pi / FINE
    found = waves(inputs, phase)
    means = {name: values.mean() for name, values in found._asdict().items()}
    return means | {"fundamental": (2 * found.plate * np.cos(phase)).mean()}


def of_pulse(inputs):
    half = np.radians(inputs["half_angle_degrees"])
    linear, usual, square = (pulse.shares(half, exponent) for exponent in (1.0, 1.5, 2.0))
    return {
        "mean_linear": linear.mean, "fundamental_linear": linear.fundamental / linear.mean,
        "mean": usual.mean, "fundamental": usual.fundamental / usual.mean, "second": usual.second / usual.mean,
        "third": usual.third / usual.mean, "fundamental_square": square.fundamental / square.mean,
    }  # fmt: skip


def of_fifteen_degrees(inputs):
    by_hand = waves(inputs, np.radians(15) * np.arange(6))
    found = {name: values @ HAND_MEAN for name, values in by_hand._asdict().items()}
    found["fundamental"] = by_hand.plate @ HAND_FUNDAMENTAL
    return {name: found[name] / whole - 1 for name, whole in integrals(inputs).items()}


def of_sampling(inputs):
    found, whole = at_swing(inputs), integrals(inputs)
    ours = {"plate": found.plate_current, "fundamental": found.fundamental_current, "grid": found.grid_current}
    return {name: value / whole[name] - 1 for name, value in ours.items()}


def of_spread(inputs):
    readings = Readings(
        inputs["plate"], inputs["current"] / 1000, inputs["output"], inputs["bias"], inputs["drive"], inputs["mu"],
        inputs["screen"] or None, inputs["grid"] / 1000, tank_efficiency=1.0,
    )  # fmt: skip
    point, sigma = operating.operating_point(*readings), operating.spread(readings)
    return {name: abs(getattr(sigma, name) / value) for name, value in point._asdict().items()}


def carrier(inputs):
    """Drive and load that belong to the column, and a sweep with any bias."""
    stage = (model(inputs), inputs["plate"])
    meters = (inputs["bias"], inputs["current"] / 1000, inputs["output"], inputs["screen"])
    found = operating.operation_from_meters(*stage, *meters)
    rest = (found.peak_drive, found.load_resistance, inputs["screen"])
    return found, lambda bias, **more: operating.modulation_sweep(*stage, bias, *rest, **more)


def of_sweep(inputs):
    found, sweep = carrier(inputs)
    fixed = sweep(Bias(inputs["bias"]))
    leaking = sweep(Bias(0.0, -inputs["bias"] / found.grid_current))
    at = partial(np.interp, xp=fixed.voltage_ratio, fp=fixed.swing_ratio)
    return {
        "half": at(0.5), "half_more": at(1.5), "twice": fixed.crest, "distortion": fixed.distortion,
        "twice_on_leak": leaking.crest, "distortion_on_leak": leaking.distortion,
    }  # fmt: skip


def of_fixed_screen(inputs):
    found, sweep = carrier(inputs)
    fixed = sweep(Bias(inputs["bias"]), screen_follows=0)
    quarter = np.interp(0.25, fixed.voltage_ratio, fixed.operation.screen_current)
    return {
        "twice": fixed.crest, "distortion": fixed.distortion,
        "screen_current_at_a_quarter": quarter / found.screen_current,
    }  # fmt: skip


def of_sensitivity(inputs):
    """Slope of plate current over drive by the hand rule, and error of drive from 3 per cent of plate current."""
    tube, plate, swing = model(inputs), inputs["plate"], inputs["swing"]
    pull = inputs["screen"] if isinstance(tube, Tetrode) else plate - swing
    slope = 1.5 * inputs["drive"] / (inputs["drive"] + inputs["bias"] + pull / tube.mu)
    current = at_swing(inputs).plate_current
    more = operating.operation_at_current(tube, plate, inputs["bias"], swing, 1.03 * current, inputs["screen"])
    return {"rule": slope, "drive_of_current": more.peak_drive / inputs["drive"] - 1}


WORKED_OUT = {
    "pulse": of_pulse, "fifteen_degrees": of_fifteen_degrees, "sampling": of_sampling, "sensitivity": of_sensitivity,
    "spread": of_spread, "sweep": of_sweep, "fixed_screen": of_fixed_screen,
}  # fmt: skip


def bounds(expected, tolerance):
    """Least and greatest allowed value: round a figure, or of a range that the study gives."""
    low, high = expected if isinstance(expected, list) else (expected, expected)
    slack = max(tolerance.get("absolute", 0.0), tolerance.get("share", 0.0) * abs(high))
    return low - slack, high + slack


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['number']}-{case['of']}")
def test_case_of_the_study(case):
    found = WORKED_OUT[case["of"]](case["inputs"])
    for name, expected in case["expected"].items():
        low, high = bounds(expected, case["tolerance"])
        assert low <= found[name] <= high, f"{name}: {found[name]:.5g} against {expected}"


def test_cases_are_numbered_and_labelled():
    assert [case["number"] for case in CASES] == [f"S{index + 1}" for index in range(len(CASES))]
    assert {case["kind"] for case in CASES} == {"computed"}
    assert {case["of"] for case in CASES} == set(WORKED_OUT)
    assert all({"inputs", "expected", "tolerance"} <= set(case) for case in CASES)
