"""Space current and its division: laws, limits, continuity, and nothing lost between the electrodes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.physics.tubes import SOFT_CUT_OFF, Tetrode, Triode, currents, space_current

TRIODE = Triode(0.0006, 35.0, 2.5)
TETRODE = Tetrode(0.00065, 8.5, 8.0, 5.5, 0.35)
TUBES = st.sampled_from([TRIODE, TETRODE])
GRID, PLATE, SCREEN = st.floats(-500, 300), st.floats(0, 8000), st.floats(50, 800)


def driving(tube, grid, plate, screen):
    return grid + plate / tube.mu if isinstance(tube, Triode) else grid + screen / tube.mu + plate / (25 * tube.mu)


@given(TUBES, GRID, PLATE, SCREEN)
def test_nothing_is_lost_between_the_electrodes(tube, grid, plate, screen):
    found = currents(tube, grid, plate, screen)
    total = space_current(tube.perveance, driving(tube, grid, plate, screen))
    assert sum(found) == pytest.approx(total)
    assert min(found) >= 0


@given(TUBES, st.floats(-500, 0), PLATE, SCREEN)
def test_a_negative_grid_takes_nothing(tube, grid, plate, screen):
    assert currents(tube, grid, plate, screen).grid == 0


@given(TUBES, st.floats(1, 300), PLATE, SCREEN)
def test_a_falling_plate_loses_its_current_to_the_others(tube, grid, plate, screen):
    low, high = currents(tube, grid, 0.9 * plate, screen), currents(tube, grid, plate, screen)
    assert low.plate <= high.plate * (1 + 1e-12)
    assert low.plate / max(sum(low), 1e-12) <= high.plate / max(sum(high), 1e-12) + 1e-12


def test_three_halves_power_and_soft_cut_off():
    assert space_current(1e-3, 400.0) == pytest.approx(8 * space_current(1e-3, 100.0))
    assert space_current(1e-3, 0.0) == pytest.approx(1e-3 * (SOFT_CUT_OFF * np.log(2)) ** 1.5)
    assert space_current(1e-3, -60.0) < 1e-28
    assert space_current(1e-3, -1e6) == 0, "no warning and no overflow far below cut-off"


def test_triode_division():
    """At equal voltages plate over grid is the division factor; above, the square root; below, the power 3/2."""
    for plate, factor in ((100.0, 1.0), (400.0, 2.0), (25.0, 0.125)):
        found = currents(TRIODE, 100.0, plate)
        assert found.plate / found.grid == pytest.approx(TRIODE.division * factor)
    bottom = currents(TRIODE, 100.0, 0.0)
    assert bottom.plate == 0
    assert bottom.grid > 0


def test_tetrode_division():
    found = currents(TETRODE, 100.0, 2000.0, 400.0)
    total = sum(found)
    assert found.grid / total == pytest.approx(1 / (1 + 8.0 * 2))
    assert found.plate / found.screen == pytest.approx(5.5 * 5**0.5 * (1 - np.exp(-((5 / 0.35) ** 2))))
    bottom = currents(TETRODE, 100.0, 0.0, 400.0)
    assert bottom.plate == 0
    assert bottom.screen > bottom.grid


def test_shape_of_cases_and_phases_is_kept():
    grid, plate, screen = np.ones((3, 1)), np.full((3, 5), 500.0), np.full((3, 1), 250.0)
    for tube in (TRIODE, TETRODE):
        assert {value.shape for value in currents(tube, grid, plate, screen)} == {(3, 5)}


def test_current_has_no_step_where_the_grid_turns_positive():
    """Grid current starts with infinite division: from nothing, with no jump."""
    for tube in (TRIODE, TETRODE):
        just = currents(tube, np.array([-1e-6, 1e-6]), 1000.0, 300.0)
        assert just.grid[1] < 1e-4 * just.plate[1]
        assert just.plate[0] == pytest.approx(just.plate[1], rel=1e-4)


def test_parameters_are_frozen():
    with pytest.raises(AttributeError):
        TRIODE.mu = 40.0
