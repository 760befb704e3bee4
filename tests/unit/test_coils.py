"""Coils against printed tables, against rings summed one by one, and against themselves."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.physics import coils

TURNS_TABLE = {
    2: 0.1137, 3: 0.1663, 4: 0.1973, 5: 0.2180, 6: 0.2329, 8: 0.2532, 10: 0.2664, 15: 0.2857, 25: 0.3032, 30: 0.3080,
    50: 0.3182, 100: 0.3269,
}  # fmt: skip
GROVER = {
    0.01: 0.034960, 0.02: 0.061098, 0.03: 0.083907, 0.04: 0.104562, 0.1: 0.203324, 0.15: 0.266744, 0.2: 0.319825,
    0.3: 0.405269, 0.4: 0.471865, 0.5: 0.525510, 0.6: 0.569691, 0.7: 0.606689, 0.8: 0.638094, 0.9: 0.665054,
    1.0: 0.688423,
}  # fmt: skip
"""Length over diameter, coefficient; Table 36 as transcribed."""
LONG = {0.1: 0.958807, 0.2: 0.920093, 0.3: 0.883803, 0.4: 0.849853, 0.5: 0.818136, 0.6: 0.788525, 0.8: 0.735079}
"""Diameter over length, coefficient; worked out for the collection."""
INCH = 0.0254
DIAMETER = st.floats(5e-3, 0.3)
SHAPE = st.floats(0.05, 20)
TURNS = st.floats(2, 60)
SPACING = st.floats(1.05, 4)


def test_both_coefficients_agree_with_the_table():
    """Asked for within 0.1 per cent; held within 3 millionths of the coefficient's own scale."""
    for length, printed in GROVER.items():
        assert coils.nagaoka_coefficient(1.0, length) == pytest.approx(printed, rel=1e-3)
        assert coils.nagaoka_coefficient(1.0, length) == pytest.approx(printed, abs=2e-6)
        assert coils.lundin_coefficient(1.0, length) == pytest.approx(printed, abs=2e-6)


@pytest.mark.parametrize(("shape", "coefficient"), LONG.items())
def test_coefficient_of_long_coils(shape, coefficient):
    assert coils.lundin_coefficient(shape, 1.0) == pytest.approx(coefficient, abs=3e-6)
    assert coils.nagaoka_coefficient(shape, 1.0) == pytest.approx(coefficient, abs=6e-7)


@given(st.floats(-3, 3))
def test_the_closed_formula_is_the_exact_one(size):
    """Worst relative difference found for the collection is 2.5e-6."""
    shape = 10**size
    assert coils.lundin_coefficient(shape, 1.0) == pytest.approx(coils.nagaoka_coefficient(shape, 1.0), rel=2.6e-6)


def test_the_closed_formula_takes_arrays():
    shape = np.array([[0.5, 1.0], [2.0, 5.0]])
    found = coils.lundin_coefficient(shape, 1.0)
    assert found.shape == (2, 2)
    assert found[1, 0] == pytest.approx(coils.lundin_coefficient(2.0, 1.0))
    assert isinstance(float(coils.lundin_coefficient(2.0, 1.0)), float)


@pytest.mark.parametrize(("turns", "printed"), TURNS_TABLE.items())
def test_turns_correction_agrees_with_the_table(turns, printed):
    allowed = 0.0004 if turns > 2 else 0.002
    assert coils.turns_correction(turns) == pytest.approx(printed, abs=allowed)


def rosa_sum(turns):
    """Rosa's own sum for whole turns."""
    total = 0.0
    for k in range(1, turns):
        below = (k - 1) ** 2 / 2 * math.log(k - 1) if k > 1 else 0.0
        ring = (k + 1) ** 2 / 2 * math.log(k + 1) - k**2 * math.log(k) + below - 1.5
        total += (turns - k) * (math.log(k) - ring)
    return 2 / turns * total


@given(st.integers(3, 200))
def test_turns_correction_is_the_sum(turns):
    assert coils.turns_correction(turns) == pytest.approx(rosa_sum(turns), abs=0.0004)


def test_example_of_the_hand_formula():
    """Example C03: 13.793 uH by hand, 13.806 uH for the sheet."""
    assert coils.wheeler_inductance(2 * INCH, 2 * INCH, 20) * 1e6 == pytest.approx(13.793, abs=0.0005)
    coefficient = coils.nagaoka_coefficient(2 * INCH, 2 * INCH)
    assert coils.sheet_inductance(2 * INCH, 2 * INCH, 20, coefficient) * 1e6 == pytest.approx(13.806, abs=0.0005)


def test_example_of_the_round_wire_corrections():
    """Example C05: sheet 3.3972, low frequency 3.4265, skin effect 3.3479 uH."""
    sheet = coils.sheet_inductance(0.05, 0.05, 10, coils.lundin_coefficient(0.05, 0.05))
    assert sheet * 1e6 == pytest.approx(3.3972, abs=0.00005)
    low = coils.wire_correction_low_frequency(0.005, 0.002)
    assert low == pytest.approx(-0.35944, abs=0.000005)
    turns = coils.turns_correction(10)
    assert coils.corrected_inductance(sheet, 0.05, 10, low, turns) * 1e6 == pytest.approx(3.4265, abs=0.00006)
    assert coils.solenoid_inductance(0.05, 0.005, 10, 0.002) * 1e6 == pytest.approx(3.3479, abs=0.00006)


def rings(diameter, pitch, turns, wire):
    """Maxwell's rings: mutual inductance of circular filaments and the ring's own, current in the skin."""
    radius = diameter / 2
    apart = np.abs(np.subtract.outer(np.arange(turns), np.arange(turns)))[~np.eye(turns, dtype=bool)] * pitch
    angle = (np.arange(20000) + 0.5) * 2 * np.pi / 20000
    square = np.unique(apart.round(12), return_counts=True)
    mutual = sum(
        count * coils.PERMEABILITY * radius**2 / 2 * np.mean(np.cos(angle) * 2 * np.pi / np.sqrt(
            2 * radius**2 * (1 - np.cos(angle)) + distance**2)) for distance, count in zip(*square, strict=True)
    )  # fmt: skip
    return mutual + turns * coils.PERMEABILITY * radius * (math.log(8 * radius / (wire / 2)) - 2)


@pytest.mark.parametrize(
    ("diameter", "pitch", "turns", "wire"),
    [(0.05, 0.005, 10, 0.002), (0.06, 0.008, 8, 0.004), (0.03, 0.0025, 24, 0.0015), (0.1, 0.012, 5, 0.006)],
)
def test_coil_agrees_with_its_rings(diameter, pitch, turns, wire):
    """An independent way to the same figure (check F06): within 0.3 per cent."""
    found = coils.solenoid_inductance(diameter, pitch, turns, wire)
    assert found == pytest.approx(rings(diameter, pitch, turns, wire), rel=3e-3)


@given(DIAMETER, st.floats(0.45, 10), TURNS)
def test_the_hand_formula_is_within_its_claim(diameter, shape, turns):
    length = shape * diameter
    sheet = coils.sheet_inductance(diameter, length, turns, coils.lundin_coefficient(diameter, length))
    assert coils.wheeler_inductance(diameter, length, turns) == pytest.approx(sheet, rel=0.01)


@given(DIAMETER, SPACING, TURNS)
def test_turns_come_back(diameter, spacing, turns):
    wire = diameter / 40
    wanted = coils.solenoid_inductance(diameter, spacing * wire, turns, wire)
    assert coils.solenoid_turns(wanted, diameter, spacing * wire, wire) == pytest.approx(turns, rel=1e-9)


@given(DIAMETER, SPACING, TURNS, st.floats(0.1, 10))
def test_inductance_grows_with_size(diameter, spacing, turns, scale):
    wire = diameter / 40
    small = coils.solenoid_inductance(diameter, spacing * wire, turns, wire)
    large = coils.solenoid_inductance(scale * diameter, scale * spacing * wire, turns, scale * wire)
    assert large == pytest.approx(scale * small)


@given(st.floats(1e-9, 1e-2), st.floats(1e-9, 1e-6))
def test_toroid_turns_come_back(wanted, per_turn):
    turns = coils.toroid_turns(wanted, per_turn)
    assert coils.toroid_inductance(per_turn, turns) == pytest.approx(wanted)


def test_turns_on_an_iron_powder_core():
    """Example C16: 49.5 turns for 12 uH on T50-2, 49 uH for a hundred turns."""
    assert coils.toroid_turns(12e-6, 4.9e-9) == pytest.approx(49.5, abs=0.05)


def test_wire_of_a_flat_spiral_of_one_turn():
    assert coils.wire_length(0.05, 0.0, 1) == pytest.approx(math.pi * 0.05)
    assert coils.wire_length(3 / math.pi, 4.0, 1) == pytest.approx(5)


def test_estimates_of_a_transmitting_coil_are_in_the_range_of_such_coils():
    """Ten turns of 4 mm tube, 60 mm diameter, on 7 MHz: some hundreds, and resonance far above."""
    inductance = coils.solenoid_inductance(0.06, 0.008, 10, 0.004)
    wire = coils.wire_length(0.06, 0.08, 10)
    resistance = coils.wire_resistance(wire, 0.004, coils.skin_depth(7e6))
    assert 300 < coils.solenoid_q(inductance, resistance, 2.5, 7e6) < 1000
    assert coils.solenoid_q(inductance, resistance, 1.3, 7e6) > coils.solenoid_q(inductance, resistance, 2.5, 7e6)
    resonance = coils.self_resonance(inductance, coils.self_capacitance(0.06, 0.08))
    assert 20e6 < resonance < 80e6


def test_self_capacitance_follows_its_table():
    assert coils.self_capacitance(0.01, 0.01) == pytest.approx(0.46e-12)
    assert coils.self_capacitance(0.01, np.array([0.02, 0.0225])) == pytest.approx([0.50e-12, 0.53e-12])


@given(DIAMETER, st.floats(0.1, 50))
def test_self_capacitance_stays_within_its_table(diameter, shape):
    found = coils.self_capacitance(diameter, min(max(shape, 0.1001), 49.9) * diameter)
    assert 0.46e-10 * diameter <= found <= 5.8e-10 * diameter
