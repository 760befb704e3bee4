"""What the fitted tube says of a stage that is driven at the cathode, and what is taken where no tube is fitted."""

from math import radians

import numpy as np
import pytest

from builder.examination.judge import Verdict
from builder.examination.value import Missing, Origin
from builder.physics.operating import operation_from_meters, operation_into_load
from builder.reference.fits import fit
from builder.reference.tables import tube_file, tube_types

COLUMN = next(row for row in tube_file(tube_types()["811A"]).typical if row.id == "811A-GG-1250")
"""Source: arrl-tubes (from memory, weakly recalled): 88 V at the cathode, 12 W of drive, 28 mA of grid current."""
DRIVE_BAND, GRID_BAND, CURRENT_BAND = 0.10, 0.45, 0.15
"""What nine of ten columns keep; plate current of class B stages comes within the last with drive and load known."""
OUTPUT = (155.0, 165.0)
"""As the note of the column has it."""


def stated(words, dimension):
    return COLUMN.quantity(words, dimension).value


def linear(small, tubes="811A", **grid):
    """A grounded-grid single tube in place of the modulated final, as in the published column; tank loss on top."""
    for name in ("pa", "modulator"):
        del small.rig["stages"][name]
    small.rig |= {"emission": "J3E", "sideband": "lower", "meters": {}}
    small.readings["sessions"] = []
    small.rig["stages"]["pa"] = {
        "kind": "cathode driven", "tubes": {"type": tubes, "sockets": ["V2"], "service": "linear"},
        "drive": {"power": "15 W"}, "output": {"power": f"{0.93 * OUTPUT[0]} W"},
        "plate": {"supply": "hv", "voltage": "1250 V", "current": "175 mA"},
        "grid": {"bias": "0 V", "current": "28 mA"} | grid,
    }  # fmt: skip
    return small


def test_published_column_comes_out_from_its_meters():
    for output in OUTPUT:
        found = operation_from_meters(fit("811A").tube, 1250, 0.0, 0.175, output, cathode_driven=True)
        assert found.peak_drive == pytest.approx(stated("peak drive", "voltage"), rel=DRIVE_BAND)
        assert radians(90) <= found.half_angle <= radians(110), "linear"
    low = operation_from_meters(fit("811A").tube, 1250, 0.0, 0.175, OUTPUT[0], cathode_driven=True)
    assert low.grid_current == pytest.approx(stated("grid current", "current"), rel=GRID_BAND)


def test_published_column_comes_out_from_drive_and_load():
    drive, load = stated("peak drive", "voltage"), stated("plate load", "resistance")
    found = operation_into_load(fit("811A").tube, 1250, 0.0, drive, load, cathode_driven=True)
    assert found.plate_current == pytest.approx(stated("plate current", "current"), rel=CURRENT_BAND)
    assert OUTPUT[0] * (1 - CURRENT_BAND) <= found.output_power <= OUTPUT[1] * (1 + CURRENT_BAND)
    assert found.grid_current == pytest.approx(stated("grid current", "current"), rel=GRID_BAND)
    assert found.drive_power == pytest.approx(stated("drive power", "power"), rel=GRID_BAND)


@pytest.mark.parametrize("name", ["811A", "4-250A"])
def test_drive_is_fed_through_or_lost_at_grid_and_screen(name):
    """No energy is lost: supply and driver together give output and heat; at the driver, that of every electrode."""
    tube, screen = fit(name).tube, 0.0 if name == "811A" else 500.0
    bias = 0.0 if name == "811A" else -95.0
    found = operation_into_load(tube, 1500.0, bias, 110.0, 5000.0, screen, cathode_driven=True)
    phase = (np.arange(96) + 0.5) * np.pi / 96
    fed = found.peak_drive * found.fundamental_current / 2
    at_grids = found.drive_power - fed
    swing = found.plate_swing - found.peak_drive
    assert at_grids > 0
    assert at_grids == pytest.approx(at_electrodes(tube, found, screen, swing, phase))
    assert 1500 * found.plate_current + fed == pytest.approx(found.output_power + found.plate_dissipation)


def at_electrodes(tube, found, screen, swing, phase):
    """Mean of drive voltage times what grid and screen draw, from the currents themselves."""
    from builder.physics.tubes import currents

    drive = found.peak_drive * np.cos(phase)
    plate = np.maximum(1500 - swing * np.cos(phase), 0.0)
    drawn = currents(tube, found.grid_bias + drive, plate, screen + drive)
    return np.mean(drive * (drawn.grid + drawn.screen))


def test_a_fitted_stage_has_its_drive_and_its_own_angle(small):
    made = linear(small).examine()
    value = lambda name: made.value("stages.pa", name)  # noqa: E731
    assert value("cathode_drive").nominal == pytest.approx(stated("peak drive", "voltage"), rel=DRIVE_BAND)
    assert value("half_angle").origin is Origin.COMPUTED
    fed, grids = value("feed_through_power").nominal, value("grid_drive_power").nominal
    assert value("cathode_drive_power").nominal == pytest.approx(fed + grids)
    assert fed == pytest.approx(value("cathode_drive").nominal * value("fundamental_current").nominal / 2)
    least = value("plate_voltage").nominal - value("plate_swing").nominal + value("cathode_drive").nominal
    assert value("least_plate_voltage").nominal == pytest.approx(least), "plate and cathode go down together"
    assert value("grid_heat").nominal == pytest.approx(grids)


@pytest.mark.parametrize(
    ("current", "verdict"), [("40 mA", Verdict.WITHIN), ("400 mA", Verdict.BEYOND), ("5 mA", Verdict.BEYOND)]
)
def test_grid_current_is_held_against_the_model(small, current, verdict):
    found = linear(small, current=current).examine().findings
    assert [row.verdict for row in found if row.check.title == "grid current against the model"][-1] is verdict


def test_without_bias_or_fit_the_usual_angle_is_taken(small):
    made = linear(small, tubes="3-500Z").examine()
    assert made.value("stages.pa", "half_angle").source == "classc-identities"
    assert made.value("stages.pa", "half_angle").nominal == pytest.approx(radians(100))
    assert made.value("stages.pa", "cathode_drive") is None


def test_a_bias_that_nobody_recorded_is_not_guessed(small):
    small = linear(small)
    del small.rig["stages"]["pa"]["grid"]["bias"]
    sheet = small.examine().sheet("stages.pa")
    assert sheet["half_angle"].nominal == pytest.approx(radians(100))
    assert isinstance(sheet["cathode_drive"], Missing)
