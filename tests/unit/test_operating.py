"""Operating points: reference cases, round trips, energy, saturation, bias, sweep and what the meters say."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.physics import operating, pulse
from builder.physics.operating import Bias, Readings
from builder.physics.tubes import Tetrode, Triode, currents

BEAM = Tetrode(0.00065, 8.5, 8.0, 5.5, 0.35)
POWER = Triode(0.0006, 35.0, 2.5)
AUDIO = Triode(0.00083, 160.0, 1.85)
PM_STAGE = (BEAM, 1600.0, Bias(-130.0), 210.0, 5400.0, 400.0)
CLOSE = {
    "plate_current": 0.002, "fundamental_current": 0.002, "output_power": 0.002, "plate_swing": 0.002,
}  # fmt: skip
NAMES = {
    "E1": "plate_swing", "Ib": "plate_current", "I1": "fundamental_current", "I2": "second_harmonic_current",
    "I3": "third_harmonic_current", "Ic1": "grid_current", "Ic2": "screen_current", "ipk": "peak_plate_current",
    "Po": "output_power", "Pd": "plate_dissipation", "Pdr": "drive_power", "Pg1": "grid_dissipation",
    "eff": "efficiency",
}  # fmt: skip
REFERENCE = {
    "N1": (
        lambda: operating.operation_at_swing(BEAM, 2000, -120, 205, 1750.0, 400),
        (
            "E1 1750.0 Ib 0.181522 I1 0.318249 I2 0.207736 I3 0.0864556 Ic1 0.0100511 Ic2 0.0333887 ipk 0.762316 "
            "Po 278.468 Pd 84.5768 Pdr 1.89563 Pg1 0.689497 eff 0.76703"
        ),
    ),
    "N2": (
        lambda: operating.operation_into_load(BEAM, 2000, -175, 285, 4700, 350),
        (
            "E1 1698.31 Ib 0.200422 I1 0.361342 I2 0.259836 I3 0.137703 Ic1 0.0137751 Ic2 0.0329664 ipk 0.957145 "
            "Po 306.835 Pd 94.0093 Pdr 3.64955 Pg1 1.23891 eff 0.76547"
        ),
    ),
    "N3": (
        lambda: operating.operation_into_load(POWER, 2500, -180, 350, 4500),
        (
            "E1 2108.73 Ib 0.264625 I1 0.468606 I2 0.316676 I3 0.144029 Ic1 0.0509937 Ic2 0.0 ipk 1.15793 "
            "Po 494.082 Pd 167.481 Pdr 16.5219 Pg1 7.34307 eff 0.74684"
        ),
    ),
    "N4": (
        lambda: operating.operation_into_load(AUDIO, 1500, -4.5, 85, 3100),
        (
            "E1 808.457 Ib 0.162127 I1 0.260793 I2 0.124187 I3 0.0161572 Ic1 0.0243335 Ic2 0.0 ipk 0.547438 "
            "Po 105.42 Pd 137.771 Pdr 1.76595 Pg1 1.65645 eff 0.43349"
        ),
    ),
}
"""Worked out once with 8192 phases by another program."""


@pytest.mark.parametrize("name", REFERENCE)
def test_reference_case(name):
    make, text = REFERENCE[name]
    found, words = make(), text.split()
    for short, printed in zip(words[::2], words[1::2], strict=True):
        field = NAMES[short]
        assert getattr(found, field) == pytest.approx(float(printed), rel=CLOSE.get(field, 0.005)), field
    assert not found.saturated


STAGES = [
    (BEAM, np.array([1250.0, 2000.0, 1600.0]), np.array([-75.0, -120.0, -130.0]), np.array([160.0, 205.0, 210.0]),
     np.array([300.0, 400.0, 400.0])),
    (POWER, np.array([1500.0, 2000.0, 2500.0]), np.array([-120.0, -160.0, -180.0]), np.array([240.0, 330.0, 350.0]),
     np.zeros(3)),
]  # fmt: skip
SIDES = pytest.mark.parametrize("side", [False, True], ids=["grid-driven", "cathode-driven"])


@SIDES
@pytest.mark.parametrize(("tube", "plate", "bias", "drive", "screen"), STAGES, ids=["tetrode", "triode"])
def test_every_solve_finds_its_way_back(tube, plate, bias, drive, screen, side):
    """Forward from drive and swing, then back from load, output, plate current, and from both meters together."""
    swing = 0.85 * plate
    first = operating.operation_at_swing(tube, plate, bias, drive, swing, screen, cathode_driven=side)
    output, current, load = first.output_power, first.plate_current, first.load_resistance
    back = [
        operating.operation_into_load(tube, plate, bias, drive, load, screen, cathode_driven=side),
        operating.operation_at_power(tube, plate, bias, drive, output, screen, cathode_driven=side),
        operating.operation_at_current(tube, plate, bias, swing, current, screen, cathode_driven=side),
        operating.operation_from_meters(tube, plate, bias, current, output, screen, cathode_driven=side),
    ]
    for found in back:
        assert not found.saturated.any()
        assert found.plate_swing == pytest.approx(swing, rel=1e-6)
        assert found.peak_drive == pytest.approx(drive, rel=1e-6)
        assert found.plate_dissipation == pytest.approx(first.plate_dissipation, rel=1e-5)


@given(st.floats(0.3, 0.98), st.floats(0.3, 1.2), st.sampled_from([0, 1, 2]), st.booleans(), st.booleans())
def test_energy_in_is_energy_out(share, more, case, triode, at_cathode):
    """Supplies and drive together feed plate, grid, screen and load, whichever electrode is driven."""
    tube, plate, bias, drive, screen = STAGES[int(triode)]
    e_plate, e_bias, e_drive, e_screen = plate[case], bias[case], more * drive[case], screen[case]
    found = operating.operation_at_swing(
        tube, e_plate, e_bias, e_drive, share * e_plate, e_screen, cathode_driven=at_cathode
    )
    phase = (np.arange(4096) + 0.5) * np.pi / 4096
    feed = at_cathode * e_drive * np.cos(phase)
    grid, anode = e_bias + e_drive * np.cos(phase), e_plate - share * e_plate * np.cos(phase) + feed
    at_screen = e_screen + feed
    flows = currents(tube, grid, np.maximum(anode, 0), at_screen)
    heat = (anode * flows.plate + grid * flows.grid + at_screen * flows.screen).mean()
    supplied = found.plate_current * e_plate + found.grid_current * e_bias + found.screen_current * e_screen
    assert supplied + found.drive_power - found.output_power == pytest.approx(heat, rel=0.01, abs=0.01)
    assert found.plate_dissipation == pytest.approx((anode * flows.plate).mean(), rel=0.01, abs=0.01)
    assert found.grid_dissipation == pytest.approx((grid * flows.grid).mean(), rel=0.01, abs=0.01)


def test_too_high_a_load_saturates_and_is_said():
    loads = np.array([4700.0, 1e6])
    found = operating.operation_into_load(BEAM, 2000, -175, 285, loads, 350)
    assert found.saturated.tolist() == [False, True]
    assert found.plate_swing[0] == pytest.approx(1698.3, rel=1e-3)
    assert all(np.isnan(getattr(found, name)[1]) for name in found._fields[:-1]), "no figure is given for it"


def test_what_cannot_be_had_is_said():
    assert operating.operation_at_power(BEAM, 2000, -120, 205, 2000.0, 400).saturated
    assert operating.operation_at_current(POWER, 500, -180, 499.9, 5.0).saturated
    assert operating.operation_from_meters(BEAM, 2000, -120, 0.18, 355.0, 400).saturated
    with pytest.raises(ValueError, match="no plate voltage"):
        operating.operation_into_load(BEAM, 0.0, -120, 205, 5000, 400)


def test_scalars_stay_scalars_and_arrays_keep_their_shape():
    assert np.ndim(operating.operation_into_load(BEAM, 2000, -175, 285, 4700, 350).plate_current) == 0
    grid = operating.operation_into_load(BEAM, np.full((2, 3), 2000.0), -175, 285, 4700, 350)
    assert {np.shape(value) for value in grid} == {(2, 3)}


@pytest.mark.parametrize("leak", [5e3, 12.7e3, 40e3])
@pytest.mark.parametrize("stage", [(BEAM, 2000.0, 285.0, 4700.0, 350.0), (POWER, 2500.0, 350.0, 4500.0, 0.0)])
def test_bias_balances(stage, leak):
    tube, plate, drive, load, screen = stage
    for bias in (Bias(0, leak), Bias(-50, leak), Bias(-20, leak, 100.0)):
        found = operating.operation_with_bias(tube, plate, bias, drive, load, screen)
        cathode = found.plate_current + found.screen_current + found.grid_current
        made = -bias.grid_leak * found.grid_current - bias.cathode_resistance * cathode
        assert found.grid_bias == pytest.approx(bias.fixed + made, abs=1e-3)
        assert found.plate_swing == pytest.approx(load * found.fundamental_current, rel=1e-6)


def bias_by_halving(tube, plate, bias, drive, load, screen):
    """Slow and sure: the bias that the electrode currents make rises with the bias, so it meets it once."""
    low, high = -1000.0, bias.fixed
    for _halving in range(60):
        middle = (low + high) / 2
        found = operating.operation_into_load(tube, plate, middle, drive, load, screen)
        cathode = found.plate_current + found.screen_current + found.grid_current
        made = bias.grid_leak * found.grid_current + bias.cathode_resistance * cathode
        low, high = (low, middle) if middle + made > bias.fixed else (middle, high)
    return middle


LEAKY = [Bias(-30.0, 12e3), Bias(0.0, 40e3), Bias(-20.0, 3e3, 150.0)]


@pytest.mark.parametrize("bias", LEAKY)
def test_halving_agrees_with_newton(bias):
    """The guard that takes over where Newton fails comes to the same bias, and so does plain halving."""
    point, _shape = operating._points(2000.0, bias.fixed, 350.0, 285.0, 0.0, cathode_driven=False)
    guarded, swing = operating._bias_in_bracket(BEAM, point, np.array([4700.0]), bias)
    fast = operating.operation_with_bias(BEAM, 2000, bias, 285, 4700, 350)
    assert guarded[0] == pytest.approx(fast.grid_bias, rel=1e-6)
    assert swing[0] == pytest.approx(fast.plate_swing, rel=1e-6)
    assert bias_by_halving(BEAM, 2000, bias, 285, 4700, 350) == pytest.approx(fast.grid_bias, rel=1e-6)


@pytest.mark.parametrize("bias", [Bias(-130.0), Bias(0.0, 20e3), Bias(-60.0, 0.0, 300.0)])
@pytest.mark.parametrize("load", [5400.0, 7000.0], ids=["light", "heavy"])
def test_sweep_is_what_every_point_alone_gives(bias, load):
    """The points that a sweep starts from leave no trace, nor do those without an operating point."""
    sweep = operating.modulation_sweep(BEAM, 1600.0, bias, 210.0, load, 400.0, screen_follows=1, points=60)
    for at in range(0, 60, 7):
        share = sweep.voltage_ratio[at]
        alone = operating.operation_with_bias(BEAM, 1600 * share, bias, 210.0, load, 400 * share)
        assert sweep.operation.saturated[at] == alone.saturated
        inside = [value[at] for value in sweep.operation]
        assert inside == pytest.approx(list(alone), rel=1e-6, abs=1e-12, nan_ok=True)


def test_fixed_bias_alone_is_the_plain_solve():
    plain = operating.operation_into_load(BEAM, 2000, -175, 285, 4700, 350)
    assert operating.operation_with_bias(BEAM, 2000, Bias(-175.0), 285, 4700, 350) == pytest.approx(plain)


def test_cathode_driven_triode_is_a_grid_driven_one_with_less_swing():
    found = operating.operation_into_load(AUDIO, 1500, -4.5, 85, 3100, cathode_driven=True)
    inside = operating.operation_at_swing(AUDIO, 1500, -4.5, 85, found.plate_swing - 85)
    assert found.plate_current == pytest.approx(inside.plate_current)
    assert found.plate_dissipation == pytest.approx(inside.plate_dissipation)
    assert found.output_power - inside.output_power == pytest.approx(85 * found.fundamental_current / 2), "fed through"
    fed = 85 * found.fundamental_current / 2
    assert found.drive_power == pytest.approx(inside.drive_power + fed)
    assert found.half_angle == pytest.approx(inside.half_angle)


def test_pair_shares_its_load():
    """Each tube's swing is its peak current into a quarter of the load, as for the half sines of class B."""
    pair = operating.audio_pair(AUDIO, 1500, -4.5, 85, 12400)
    assert pair.tube.plate_swing == pytest.approx(2 * pair.tube.fundamental_current * 12400 / 4)
    assert pair.output_power == pytest.approx(pair.tube.plate_swing * pair.tube.fundamental_current)
    assert pair.output_power == pytest.approx(340, rel=0.15), "column: 340 W"
    assert pair.plate_current == pytest.approx(0.313, rel=0.15), "column: 313 mA"


def test_current_without_drive():
    assert operating.undriven_current(AUDIO, 1500, 0.0) == pytest.approx(0.00083 * (1500 / 160) ** 1.5, rel=1e-4)
    assert operating.undriven_current(BEAM, 2000, -120, 400) < 1e-6


def test_sweep_is_measured_from_the_carrier():
    sweep = operating.modulation_sweep(*PM_STAGE)
    assert sweep.swing_ratio[99] == 1
    assert sweep.voltage_ratio[[99, -1]].tolist() == [1, 2]
    assert (np.diff(sweep.swing_ratio) > 0).all()
    assert 0.5 < sweep.trough < 0.6, "what is credible: half the voltage gives 0.53 to 0.58"
    assert sweep.operation.plate_current.shape == (200,)
    assert sweep.wording.startswith(f"crest capability indicator: {sweep.grade}")
    assert "trapezoid reading overrides" in sweep.wording


def test_fixed_screen_modulates_worse():
    follows = operating.modulation_sweep(*PM_STAGE)
    fixed = operating.modulation_sweep(*PM_STAGE, screen_follows=0)
    assert fixed.crest < follows.crest
    assert fixed.distortion > 2 * follows.distortion
    assert fixed.most_screen_input > 2 * follows.most_screen_input, "at low plate voltage the screen takes it all"
    assert fixed.grade == "poor"


def test_leak_helps_a_triode():
    carrier = operating.operation_into_load(POWER, 2000, -350, 550, 5000)
    leak = Bias(0.0, float(350 / carrier.grid_current))
    fixed = operating.modulation_sweep(POWER, 2000, Bias(-350), 550, 5000)
    leaking = operating.modulation_sweep(POWER, 2000, leak, 550, 5000)
    assert leaking.crest > fixed.crest
    assert "pessimistic for a triode on grid leak" in leaking.wording
    assert "pessimistic" not in fixed.wording


@pytest.mark.parametrize(
    ("tube", "crest", "follows", "grade"),
    [
        (POWER, 1.86, 0.0, "good"), (POWER, 1.85, 0.8, "doubtful"), (POWER, 1.5, 0.0, "doubtful"),
        (POWER, 1.49, 0.8, "poor"), (BEAM, 1.9, 0.8, "good"), (BEAM, 1.9, 0.0, "doubtful"),
        (BEAM, 1.6, 0.0, "poor"), (BEAM, 1.4, 0.0, "poor"), (BEAM, 1.6, 0.1, "doubtful"),
    ],
)  # fmt: skip
def test_grades(tube, crest, follows, grade):
    assert operating.crest_grade(tube, crest, follows) == grade


def test_sweep_refuses():
    with pytest.raises(ValueError, match="even number of points"):
        operating.modulation_sweep(*PM_STAGE, points=21)
    with pytest.raises(ValueError, match="no operating point"):
        operating.modulation_sweep(BEAM, 1600.0, Bias(-130.0), 210.0, 1e6, 400.0)


def test_distortion_of_a_straight_line_and_of_a_clipped_crest():
    factor = np.linspace(0, 2, 201)[1:]
    assert operating.sine_distortion(factor, factor) == pytest.approx(0, abs=1e-6)
    assert operating.sine_distortion(factor, np.minimum(factor, 1.0)) == pytest.approx(0.435, abs=0.01), "half wave"


BEAM_METERS = Readings(2250, 0.22, 375, -155, 285, 8.5, 400, 0.015, tank_efficiency=1.0)
TRIODE_METERS = Readings(1500, 0.173, 190, -120, 240, 29, None, 0.03, tank_efficiency=1.0)
SHARES = {
    "half_angle": (0.03, 0.03), "fundamental_ratio": (0.01, 0.01), "fundamental_current": (0.02, 0.02),
    "load_resistance": (0.07, 0.07), "plate_swing": (0.06, 0.06), "least_plate_voltage": (0.39, 0.33),
    "peak_plate_current": (0.06, 0.07), "drive_power": (0.08, 0.08), "grid_dissipation": (0.17, 0.15),
    "highest_grid_voltage": (0.14, 0.12),
}  # fmt: skip
"""Relative standard uncertainties of two stages, to whole per cent, tank loss included."""


@pytest.mark.parametrize(("readings", "which"), [(BEAM_METERS, 0), (TRIODE_METERS, 1)], ids=["tetrode", "triode"])
def test_spread_is_as_it_was_first_worked_out(readings, which):
    point, sigma = operating.operating_point(*readings), operating.spread(readings)
    for name, shares in SHARES.items():
        share = getattr(sigma, name) / getattr(point, name)
        slack = {"least_plate_voltage": 0.15, "peak_plate_current": 0.2}.get(name, 0.1)
        assert share == pytest.approx(shares[which], rel=slack, abs=0.007), name


def test_spread_is_the_same_for_the_same_seed():
    assert operating.spread(BEAM_METERS) == operating.spread(BEAM_METERS)
    assert operating.spread(BEAM_METERS, seed=2) != operating.spread(BEAM_METERS)
    assert operating.spread(BEAM_METERS, {"plate_current": 0.02}).fundamental_current > 0.03
    with pytest.raises(ValueError, match="readings only"):
        operating.spread(BEAM_METERS, {"anode": 1.0})


def test_meters_that_are_known_exactly_leave_no_spread():
    exact = operating.spread(BEAM_METERS, dict.fromkeys(Readings._fields, 0.0))
    assert max(exact) == pytest.approx(0, abs=1e-12)


def test_point_is_consistent():
    point = operating.operating_point(*BEAM_METERS)
    assert point.plate_swing * point.fundamental_current / 2 == pytest.approx(375)
    assert point.load_resistance == pytest.approx(2 * 375 / point.fundamental_current**2)
    assert point.least_plate_voltage == pytest.approx(2250 - point.plate_swing)
    assert point.peak_plate_current == pytest.approx(0.22 / pulse.mean_share(point.half_angle, 1.35))
    assert point.grid_dissipation == pytest.approx(0.015 * (0.9 * 285 - 155))
    with pytest.raises(ValueError, match="no plate current"):
        operating.operating_point(2250, 0.0, 375, -155, 285, 8.5)


TRIALS = 1000
COVERAGE = 2
"""Standard uncertainties in the stated band, 95 per cent for a normal spread."""
CHECKED = ("load_resistance", "half_angle", "peak_plate_current")


def readings_of(drawn, trial):
    """The readings of one trial."""
    return Readings(**{name: value[trial] if np.ndim(value) else value for name, value in drawn.items()})


@pytest.mark.parametrize(
    ("tube", "plate", "bias", "drive", "screen"),
    [(stage[0], *(values[case] for values in stage[1:])) for stage in STAGES for case in (0, 1)],
)
def test_meters_recover_a_stage_that_is_known(tube, plate, bias, drive, screen):
    """A modelled stage read by meters that err: its inside lies in the stated band, which is no wider than due."""
    true = operating.operation_at_swing(tube, plate, bias, drive, 0.86 * plate, screen)
    screened = isinstance(tube, Tetrode)
    exact = Readings(
        plate, true.plate_current, 0.93 * true.output_power, bias, drive, tube.mu, screen if screened else None,
        true.grid_current,
    )  # fmt: skip
    draw = np.random.default_rng(7)
    wrong = {
        name: value if value is None or name in {"exponent", "tank_efficiency"}
        else value * (1 + operating.USUAL_UNCERTAINTY[name] * draw.standard_normal(TRIALS))
        for name, value in exact._asdict().items()
    }  # fmt: skip
    wrong["output_power"] = wrong["output_power"] * (1 + 0.03 * draw.standard_normal(TRIALS))
    found = operating.operating_point(**wrong)
    own = [operating.spread(readings_of(wrong, trial), samples=300, seed=trial) for trial in range(TRIALS)]
    for name in CHECKED:
        off = getattr(found, name) - getattr(true, name)
        band = np.array([getattr(sigma, name) for sigma in own])
        assert (np.abs(off) <= COVERAGE * band).mean() >= 0.90, name
        assert np.median(band) <= 1.5 * np.sqrt((off**2).mean()), name


def bench():
    """Prints how long solves and sweeps take; run this file as a program."""
    import time

    meters = (BEAM, 2000, -175, 0.2004, 306.8, 350)
    runs = {
        "swing given": lambda: operating.operation_at_swing(BEAM, 2000, -120, 205, 1750, 400),
        "load given": lambda: operating.operation_into_load(BEAM, 2000, -175, 285, 4700, 350),
        "power given": lambda: operating.operation_at_power(BEAM, 2000, -175, 285, 306, 350),
        "both meters": lambda: operating.operation_from_meters(*meters),
        "grid leak": lambda: operating.operation_with_bias(BEAM, 2000, Bias(0, 12.7e3), 285, 4700, 350),
        "sweep of 400, fixed bias": lambda: operating.modulation_sweep(*PM_STAGE, points=400),
        "sweep of 400, grid leak": lambda: operating.modulation_sweep(
            BEAM, 1600, Bias(0, 20e3), 210, 5400, 400, points=400
        ),
        "spread, tetrode": lambda: operating.spread(BEAM_METERS),
        "spread, triode": lambda: operating.spread(TRIODE_METERS),
    }
    for what, run in runs.items():
        times = []
        for _run in range(20):
            start = time.perf_counter()
            run()
            times.append(time.perf_counter() - start)
        print(f"{what:26} {1000 * sorted(times)[10]:8.2f} ms")


if __name__ == "__main__":
    bench()
