"""Currents of a vacuum tube from its electrode voltages: the 3/2-power law with division of the space current."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from .units import Ampere, Volt

SOFT_CUT_OFF = 1.0
"""Width over which the current fades at cut-off, V; it keeps derivatives finite and is no property of the tube."""
PLATE_OVER_SCREEN = 25.0
"""How many times the plate's pull is weaker than the screen's where no better figure is known."""
LEAST_VOLTAGE = 1e-9
"""Stands in for zero or less where a ratio of voltages is taken, V; the current is put to zero there afterwards."""


@dataclass(frozen=True)
class Triode:
    """A triode: perveance (ampere per volt to the power 3/2), amplification, and division at equal voltages."""

    perveance: float
    mu: float
    division: float


@dataclass(frozen=True)
class Tetrode:
    """A tube with a screen: perveance, amplification grid to screen, divisions at grid and screen, and the knee."""

    perveance: float
    mu: float
    grid_division: float
    screen_division: float
    knee: float


Tube = Triode | Tetrode


class Currents(NamedTuple):
    """Currents into plate, grid and screen."""

    plate: Ampere
    grid: Ampere
    screen: Ampere


def currents(tube: Tube, grid_voltage: Volt, plate_voltage: Volt, screen_voltage: Volt = 0.0) -> Currents:
    """Currents of a tube; secondary emission, transit time and saturation of the cathode are left out.

    Args:
        tube: its parameters.
        grid_voltage: from grid to cathode; scalar or array of shape (cases, phases).
        plate_voltage: from plate to cathode, not negative; broadcasts.
        screen_voltage: from screen to cathode, above zero for a tube with a screen; broadcasts, not used for a triode.

    Source: terman43-rf, space-current law and division of current (page not verified)
    """
    if isinstance(tube, Triode):
        return _triode(tube, np.asarray(grid_voltage), np.asarray(plate_voltage))
    return _tetrode(tube, np.asarray(grid_voltage), np.asarray(plate_voltage), np.asarray(screen_voltage))


def space_current(perveance: float, driving_voltage: Volt) -> Ampere:
    """Current from the cathode, by the 3/2-power law with a soft cut-off.

    Args:
        perveance: ampere per volt to the power 3/2.
        driving_voltage: grid voltage plus the other electrodes' over their mu; scalar or array.

    Source: terman43-rf, space-current law (page not verified)
    """
    scaled: Any = np.asarray(driving_voltage) / SOFT_CUT_OFF
    soft: Any = SOFT_CUT_OFF * (np.maximum(scaled, 0.0) + np.log1p(np.exp(-np.abs(scaled))))
    current: Ampere = perveance * soft * np.sqrt(soft)
    return current


def _triode(tube: Triode, grid: Any, plate: Any) -> Currents:
    total: Any = space_current(tube.perveance, grid + plate / tube.mu)
    ratio = plate / np.maximum(grid, LEAST_VOLTAGE)
    root = np.sqrt(ratio)
    to_plate = tube.division * root * np.minimum(ratio, 1.0)
    taken: Any = np.where(grid > 0, total / (1 + to_plate), 0.0)
    return Currents(total - taken, taken, 0.0 * taken)


def _tetrode(tube: Tetrode, grid: Any, plate: Any, screen: Any) -> Currents:
    total: Any = space_current(tube.perveance, grid + screen / tube.mu + plate / (PLATE_OVER_SCREEN * tube.mu))
    positive = np.maximum(screen, LEAST_VOLTAGE)
    past_grid = tube.grid_division * np.sqrt(positive / np.maximum(grid, LEAST_VOLTAGE))
    taken: Any = np.where(grid > 0, total / (1 + past_grid), 0.0)
    ratio = plate / positive
    to_plate = -tube.screen_division * np.sqrt(ratio) * np.expm1(-((ratio / tube.knee) ** 2))
    screened = (total - taken) / (1 + to_plate)
    return Currents(total - taken - screened, taken, screened)
