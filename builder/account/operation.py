"""What the fitted tube says beyond the meters: one cycle, wrong loading, how the stage follows its modulation."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from builder.examine import Examination
from builder.physics.operating import Bias, Operation, Sweep, modulation_sweep, operation_into_load, operation_with_bias
from builder.physics.tubes import Tetrode, Tube, currents
from builder.quantity import show
from builder.reference.fits import fit

SAMPLES = 361
SWEPT = 100
"""Plate voltages tried in a modulation sweep; a curve of so many points looks smooth."""
LOADS = (0.7, 1.0, 1.4)
"""Loads over the present one for which the effect is shown."""
FOLLOWS = 0.8
"""Share of the plate's modulation that a screen behind a dropping resistor follows; source: classc-identities."""


@dataclass(frozen=True)
class Running:
    """A stage as the model sees it, one tube of it.

    Args:
        tube: fitted parameters.
        count: tubes in parallel.
        plate: plate voltage.
        bias: grid bias.
        drive: peak drive.
        load: that one tube sees.
        screen: screen voltage; zero for a triode.
        leak: grid leak that one tube would need for the same bias; zero with fixed bias.
    """

    tube: Tube
    count: float
    plate: float
    bias: float
    drive: float
    load: float
    screen: float
    leak: float


@dataclass(frozen=True)
class Cycle:
    """Plate voltage and plate current of one tube over time, arrays of shape (samples,).

    Args:
        time: in cycles of the carrier, the crest of the grid voltage at zero.
        plate_voltage: from plate to cathode.
        plate_current: by the fitted tube.
        swing: peak of the radio-frequency plate voltage.
    """

    time: NDArray[np.float64]
    plate_voltage: NDArray[np.float64]
    plate_current: NDArray[np.float64]
    swing: float


@dataclass(frozen=True)
class Loading:
    """What another load would do, all tubes of the stage together."""

    load: str
    plate_current: str
    output: str
    dissipation: str
    grid_bias: str
    screen_current: str
    note: str


@cache
def running(examination: Examination, path: str) -> Running | None:
    """A class C stage as its tube's fit sees it; None where the tube has no fit or a reading is missing."""
    stage: Any = examination.sheet(path).thing
    found = fit(stage.tubes.type) if hasattr(stage, "tubes") else None
    names = ("tubes_count", "plate_voltage", "grid_bias", "peak_drive", "plate_load")
    values = [examination.value(path, name) for name in names]
    if found is None or not str(getattr(stage, "kind", "")).startswith("rf ") or any(v is None for v in values):
        return None
    count, plate, bias, drive, load = (value.nominal for value in values if value)
    screen = examination.value(path, "screen_voltage")
    if isinstance(found.tube, Tetrode) and screen is None:
        return None
    leak = examination.value(path, "grid_leak")
    return Running(
        found.tube, count, plate, bias, drive, load * count,
        screen.nominal if screen else 0.0, leak.nominal * count if leak and not stage.grid.supply else 0.0,
    )  # fmt: skip


def as_it_is(stage: Running) -> Operation:
    """One tube into its load, drive and bias as they are."""
    return operation_into_load(stage.tube, stage.plate, stage.bias, stage.drive, stage.load, stage.screen)


def at_load(stage: Running, share: float) -> Operation:
    """One tube into another load, drive as it is; on grid leak the bias shifts with the grid current."""
    load = stage.load * share
    drawn = float(as_it_is(stage).grid_current)
    if not stage.leak or not drawn > 0:
        return operation_into_load(stage.tube, stage.plate, stage.bias, stage.drive, load, stage.screen)
    leak = -stage.bias / drawn
    return operation_with_bias(stage.tube, stage.plate, Bias(0.0, leak, 0.0), stage.drive, load, stage.screen)


def cycle(stage: Running) -> Cycle:
    """What one tube does over time, one and a half cycles with a crest of plate current in the middle."""
    phase = np.linspace(-1.5 * np.pi, 1.5 * np.pi, SAMPLES)
    swing = float(as_it_is(stage).plate_swing)
    plate: Any = stage.plate - swing * np.cos(phase)
    grid: Any = stage.bias + stage.drive * np.cos(phase)
    flow: Any = currents(stage.tube, grid, plate, stage.screen).plate
    return Cycle(phase / (2 * np.pi), plate, flow, swing)


def loadings(examination: Examination, path: str) -> tuple[Loading, ...]:
    """What lighter and heavier loading would do; nothing where the tube has no fit."""
    stage = running(examination, path)
    return tuple(_loading(stage, share) for share in LOADS) if stage else ()


def _loading(stage: Running, share: float) -> Loading:
    found = at_load(stage, share)
    load = show(stage.load * share / stage.count, "ohm")
    if bool(found.saturated):
        return Loading(load, "–", "–", "–", "–", "–", "the plate would have to swing through more than its voltage")
    note = {0.7: "loaded too heavily", 1.0: "as it is", 1.4: "loaded too lightly"}[share]
    return Loading(
        load,
        show(float(found.plate_current) * stage.count, "A"),
        show(float(found.output_power) * stage.count, "W"),
        show(float(found.plate_dissipation), "W"),
        show(float(found.grid_bias), "V"),
        show(float(found.screen_current) * stage.count, "A") if stage.screen else "–",
        note,
    )


@cache
def sweep(examination: Examination, path: str) -> Sweep | None:
    """How a plate-modulated stage follows its plate voltage; None where it is not modulated or has no fit."""
    stage = running(examination, path)
    thing: Any = examination.sheet(path).thing
    if stage is None or not thing.plate.modulated_by:
        return None
    follows = FOLLOWS if thing.screen_from_plate else 0.0
    bias = Bias(0.0, stage.leak, 0.0) if stage.leak else Bias(stage.bias, 0.0, 0.0)
    return modulation_sweep(
        stage.tube, stage.plate, bias, stage.drive, stage.load, stage.screen, screen_follows=follows, points=SWEPT
    )
