"""The cosine tip: table to its printed digits, closed forms, dense summation, and the angles at cut-off."""

import math

import numpy as np
import pytest

from builder.physics import pulse

TABLE = """
50  .1828 1.854 .1610 1.879 1.547 1.093 1.896
60  .2180 1.794 .1917 1.829 1.380  .816 1.853
65  .2353 1.760 .2068 1.801 1.292  .686 1.830
70  .2524 1.725 .2216 1.772 1.203  .563 1.805
75  .2693 1.689 .2362 1.742 1.115  .450 1.780
80  .2860 1.651 .2505 1.710 1.027  .349 1.753
90  .3183 1.571 .2782 1.645  .857  .183 1.698
110 .3786 1.404 .3290 1.509  .562 -.003 1.584
120 .4060 1.321 .3516 1.443  .445 -.037 1.528
"""
"""Half angle; exponent 1: mean, fundamental; 1.5: mean, fundamental, second, third; exponent 2: fundamental."""
ROWS = [line.split() for line in TABLE.split("\n") if line]
ANGLES = np.radians([20.0, 50.0, 75.0, 90.0, 120.0, 179.0])


def digits(text):
    """Half of the last printed digit, and a hair for a figure that ends in five."""
    return 0.5001 * 10.0 ** -len(text.partition(".")[2])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_table(row):
    half = math.radians(float(row[0]))
    found = (
        pulse.mean_share(half, 1), pulse.fundamental_ratio(half, 1), pulse.mean_share(half, 1.5),
        pulse.fundamental_ratio(half, 1.5), pulse.second_harmonic_ratio(half, 1.5),
        pulse.third_harmonic_ratio(half, 1.5), pulse.fundamental_ratio(half, 2),
    )  # fmt: skip
    for ours, printed in zip(found, row[1:], strict=True):
        assert ours == pytest.approx(float(printed), rel=0, abs=digits(printed))


def test_tip_of_120_degrees_as_simulated():
    """A circuit simulator gave these from a sampled waveform; it is 2 in the fifth place off the closed form."""
    found = pulse.shares(math.radians(60), 1.0)
    assert found == pytest.approx((0.21801, 0.39102, 0.27565, 0.13780), rel=0, abs=4e-5)


@pytest.mark.parametrize("half", ANGLES)
def test_linear_tip_has_a_closed_form(half):
    sine, cosine = math.sin(half), math.cos(half)
    found = pulse.shares(half, 1.0)
    assert found.mean == pytest.approx((sine - half * cosine) / (math.pi * (1 - cosine)), rel=1e-8)
    assert found.fundamental == pytest.approx((half - sine * cosine) / (math.pi * (1 - cosine)), rel=1e-8)
    for order, value in ((2, found.second), (3, found.third)):
        top = 2 * (math.sin(order * half) * cosine - order * math.cos(order * half) * sine)
        closed = top / (math.pi * order * (order**2 - 1) * (1 - cosine))
        assert value == pytest.approx(closed, rel=1e-7, abs=1e-8)


@pytest.mark.parametrize("exponent", [0.7, 1.35, 2.5])
@pytest.mark.parametrize("half", ANGLES)
def test_any_exponent_agrees_with_plain_summation(half, exponent):
    phase = (np.arange(200_000) + 0.5) * np.pi / 200_000
    tip = (np.maximum(np.cos(phase) - np.cos(half), 0) / (1 - np.cos(half))) ** exponent
    found = pulse.shares(half, exponent)
    for order, value in enumerate(found):
        expected = tip.mean() if order == 0 else 2 * (tip * np.cos(order * phase)).mean()
        assert value == pytest.approx(expected, rel=2e-5, abs=2e-6)


def test_arrays_go_through_case_by_case():
    found = pulse.fundamental_ratio(ANGLES, np.full(ANGLES.shape, 1.35))
    assert found.shape == ANGLES.shape
    assert found.tolist() == pytest.approx([pulse.fundamental_ratio(half, 1.35) for half in ANGLES])
    assert pulse.mean_share(ANGLES[:, None], np.array([1.0, 1.5])).shape == (6, 2)


def test_a_short_pulse_is_an_impulse():
    assert pulse.shares(1e-3, 1.35).fundamental / pulse.shares(1e-3, 1.35).mean == pytest.approx(2.0, abs=1e-5)
    assert pulse.shares(0.0, 1.35).mean == pytest.approx(0.0, abs=1e-4)


def test_cut_off_angles():
    assert math.degrees(pulse.half_angle_tetrode(-120, 200, 400, 20)) == pytest.approx(60)
    assert math.degrees(pulse.half_angle_triode(-150, 250, 2000, 2000, 40)) == pytest.approx(60)
    assert math.degrees(pulse.grid_half_angle(-100, 200)) == pytest.approx(60)
    assert pulse.half_angle_tetrode(-500, 100, 400, 20) == 0, "biased beyond the reach of the drive"
    assert pulse.half_angle_tetrode(0, 10, 400, 20) == pytest.approx(math.pi), "never cut off"


@pytest.mark.parametrize(
    ("function", "numbers", "message"),
    [
        (pulse.mean_share, (4.0,), "half a cycle"),
        (pulse.mean_share, (0.0,), "half a cycle"),
        (pulse.mean_share, (1.0, -1.0), "exponent"),
        (pulse.half_angle_tetrode, (-100, 0.0, 300, 8), "not driven"),
        (pulse.half_angle_triode, (-100, 50.0, 2000, 2000, 40), "outweigh"),
        (pulse.grid_half_angle, (-100, 0.0), "not driven"),
    ],
)
def test_refusals(function, numbers, message):
    with pytest.raises(ValueError, match=message):
        function(*numbers)
