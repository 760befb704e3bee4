"""What the simulation shows of a supply: switching on, ripple, regulation, sudden load; and the handbook beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from builder.examination.value import Value
from builder.examine import Examination
from builder.physics import supplies, supply_simulation
from builder.physics.supply_circuit import SupplyCircuit
from builder.quantity import show
from builder.rig import simulation
from builder.rig.supply import Supply

LOADS = 20
"""Loads of a regulation curve."""
SHORTEST_START, LONGEST_START = 0.1, 2.0
"""Fewest and most seconds after switching on that are drawn."""
SETTLED = 0.01
"""Share of the final voltage within which a start counts as settled."""
SYLLABLE = 0.25
"""Seconds for which a sudden load stays on, about a spoken syllable; source: common-practice."""
AGREES = 0.02
"""Difference between formula and simulation that needs no explanation; source: solver figures of the tests."""

BINS = 260
"""Stretches of a curve of which each keeps its crest and its trough; about one for each pixel of a panel."""
NOTHING = 0.0005
"""Difference that rounds to nothing."""
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Curve:
    """A curve over time or current, arrays of shape (points,), SI."""

    across: Array
    up: Array


def thinned(run: Curve) -> Curve:
    """A curve with few points that still shows every crest and trough that could be seen.

    Args:
        run: as simulated, its points in order.
    """
    if len(run.up) <= 2 * BINS:
        return run
    edges = np.linspace(run.across[0], run.across[-1], BINS + 1)
    starts = np.unique(np.searchsorted(run.across, edges[:-1]))
    bins = np.split(run.up, starts[1:])
    kept = {start + at for start, part in zip(starts, bins, strict=True) for at in (part.argmin(), part.argmax())}
    order = np.array(sorted({0, *kept, len(run.up) - 1}))
    return Curve(run.across[order], run.up[order])


@dataclass(frozen=True)
class SupplyCurves:
    """Everything that is drawn of one supply, SI.

    Args:
        start: output voltage after switching on with only the bleeder drawing, line high.
        stepped: the same through the step-start resistor; None where there is none.
        ripple: output voltage over two cycles of the line under full load.
        regulation: output voltage over current drawn by the stages.
        full: current of the stages, and voltage there.
        light: the least current of the stages, and voltage there.
        sudden: output voltage while the load jumps from light to full and back.
    """

    start: Curve
    stepped: Curve | None
    ripple: Curve
    regulation: Curve
    full: tuple[float, float]
    light: tuple[float, float]
    sudden: Curve


@dataclass(frozen=True)
class Compared:
    """A figure by the handbook's formula and by simulation, and why they differ where they do."""

    words: str
    formula: str
    simulated: str
    difference: str
    why: str


def circuit_of(examination: Examination, name: str) -> SupplyCircuit | None:
    """The circuit of a supply as the simulation sees it; None where a part of it is not recorded.

    Args:
        examination: of the rig.
        name: of the supply.
    """
    supply: Supply = examination.rig.supplies[name]
    values = [examination.value(f"supplies.{name}", item) for item in simulation.SupplyValues._fields]
    known = [value.nominal for value in values if value]
    if len(known) < len(values):
        return None
    return simulation.SupplyValues(*known).circuit(supply.rectifier.circuit)


@cache
def curves(examination: Examination, name: str) -> SupplyCurves | None:
    """Curves of a supply; None where it cannot be simulated.

    Args:
        examination: of the rig.
        name: of the supply.
    """
    found = circuit_of(examination, name)
    path = f"supplies.{name}"
    full, light = examination.value(path, "constant_load"), examination.value(path, "light_load")
    if found is None or full is None or not np.isfinite(full.nominal):
        return None
    try:
        return _curves(examination, name, found, full.nominal, light.nominal if light else 0.0)
    except ValueError:
        return None


def _curves(examination: Examination, name: str, found: SupplyCircuit, full: float, light: float) -> SupplyCurves:
    loads: Any = np.linspace(0.0, 1.2 * full, LOADS) if full > 0 else np.zeros(1)
    table = supply_simulation.regulation(found, loads)
    state = supply_simulation.steady_state(found, full)
    wave, period = np.asarray(state.output_voltage), 1 / found.mains_frequency
    doubled = np.concatenate([state.time, np.asarray(state.time) + period])
    at_full = float(np.interp(full, loads, table.voltage))
    at_light = float(np.interp(light, loads, table.voltage))
    moments: Any = np.array([0.0, SYLLABLE, 2 * SYLLABLE])
    currents: Any = np.array([light, full, light])
    jump = supply_simulation.load_step(found, moments, currents, 3 * SYLLABLE)
    high = examination.value(f"supplies.{name}", "mains_high")
    raised = replace(found, driving_voltage=found.driving_voltage * (high.nominal if high else 1.0))
    return SupplyCurves(
        _start(raised, 0.0, 0.0),
        _stepped(examination, name, raised),
        thinned(Curve(doubled, np.concatenate([wave, wave]))),
        Curve(loads, np.asarray(table.voltage)),
        (full, at_full),
        (light, at_light),
        thinned(Curve(jump.time, jump.output)),
    )


def _start(found: SupplyCircuit, resistance: float, time: float) -> Curve:
    run = supply_simulation.switch_on(found, np.inf, LONGEST_START, None, resistance, time)
    return thinned(settled(Curve(run.time, run.output)))


def settled(run: Curve) -> Curve:
    """The beginning of a run, until the voltage stays near its end, and a third more.

    Args:
        run: as simulated.
    """
    final = float(run.up[-1])
    away = np.flatnonzero(np.abs(run.up - final) > SETTLED * abs(final))
    last = float(run.across[away[-1]]) if len(away) else 0.0
    inside = run.across <= max(4 / 3 * last, SHORTEST_START)
    return Curve(run.across[inside], run.up[inside])


def _stepped(examination: Examination, name: str, found: SupplyCircuit) -> Curve | None:
    path = f"supplies.{name}"
    values = [examination.value(path, item) for item in ("step_start", "step_time", "driving_voltage", "mains_voltage")]
    if any(item is None for item in values):
        return None
    resistance, time, driving, mains = (item.nominal for item in values if item)
    return _start(found, resistance * (driving / mains) ** 2, time)


@dataclass(frozen=True)
class Fall:
    """How a supply empties after switch-off with its bleeder whole, SI.

    Args:
        usual: voltage with every part as marked, by simulation, or by the bleeder's time constant.
        slow: with bleeder and capacitors as high as they may be.
        harmless: when the slow one reaches the voltage that may be touched.
    """

    usual: Curve
    slow: Curve
    harmless: float


FALL_POINTS = 120
"""Points of a discharge curve."""
BEYOND_HARMLESS = 1.5
"""How far a discharge is drawn, over the time until it is harmless."""


def fall(examination: Examination, name: str) -> Fall | None:
    """How a supply empties; None where nothing discharges it, or where it is harmless from the start.

    Args:
        examination: of the rig.
        name: of the supply.
    """
    path = f"supplies.{name}"
    names = ("start_voltage", "bleeder", "filter_capacitance", "discharge_time", "longest_discharge")
    values = [examination.value(path, item) for item in names]
    numbers = [value.nominal for value in values if value]
    if len(numbers) < len(names) or not 0 < numbers[-1] < math.inf:
        return None
    start, bleeder, capacitance, usual, longest = numbers
    moments: Any = np.linspace(0, BEYOND_HARMLESS * longest, FALL_POINTS)
    slow = supplies.decay(moments * usual / longest, bleeder, capacitance, start)
    found = circuit_of(examination, name)
    plain = Curve(moments, np.asarray(supplies.decay(moments, bleeder, capacitance, start)))
    return Fall(_emptied(found, start, bleeder, plain) if found else plain, Curve(moments, np.asarray(slow)), longest)


def _emptied(found: SupplyCircuit, start: float, bleeder: float, plain: Curve) -> Curve:
    """The fall by simulation, every capacitor charged to the start and the halves of a doubler to half of it."""
    halves = [start / 2] * 2 if found.rectifier == "doubler" else [start]
    volts: Any = np.array([*halves, *[start] * (len(found.sections) - 1)])
    try:
        run = supply_simulation.discharge(found, volts, bleeder, float(plain.across[-1]))
    except ValueError:
        return plain
    return thinned(Curve(run.time, run.output))


PAIRS = (
    ("output voltage", "formula_voltage", "simulated_voltage"),
    ("effective ripple", "formula_ripple", "simulated_ripple"),
    ("effective current in the secondary", "formula_secondary_current", "simulated_secondary_current"),
)
"""Figures that the handbook has a formula for."""


def compared(examination: Examination, name: str) -> tuple[Compared, ...]:
    """Handbook beside simulation for one supply.

    Args:
        examination: of the rig.
        name: of the supply.
    """
    return tuple(_compared(examination, name))


def _compared(examination: Examination, name: str) -> Iterator[Compared]:
    path = f"supplies.{name}"
    for words, by_formula, by_simulation in PAIRS:
        first, second = examination.value(path, by_formula), examination.value(path, by_simulation)
        if first is None or second is None or not second.nominal:
            continue
        gap = first.nominal / second.nominal - 1
        told = f"{'+' if gap > 0 else '−'}{show(round(abs(gap), 3), '%')}" if abs(gap) > NOTHING else "none"
        yield Compared(words, first.plain, second.plain, told, _why(examination, name, words, gap))


def _why(examination: Examination, name: str, words: str, gap: float) -> str:
    """Why a formula and the circuit differ."""
    supply: Supply = examination.rig.supplies[name]
    if abs(gap) <= AGREES:
        return "they agree"
    if words == "effective ripple":
        return SAW_TOOTH if not supply.choke_input else FIRST_HARMONIC
    if words == "output voltage":
        return BELOW_CRITICAL if _below_critical(examination, name) else RESISTANCES
    return TABLE_FACTOR


SAW_TOOTH = "the formula is an upper bound: it leaves out the time in which the capacitor is being charged"
FIRST_HARMONIC = "the formula counts only the second harmonic of the line and no resistance"
BELOW_CRITICAL = "the choke is below critical inductance at this load, where the formula does not hold"
RESISTANCES = "the formula leaves out part of the drops; look at the resistances of windings and chokes"
TABLE_FACTOR = "the rule is one factor for every circuit of its kind; the simulation knows this one's resistances"


def _below_critical(examination: Examination, name: str) -> bool:
    path = f"supplies.{name}"
    choke: Value | None = examination.value(path, "first_choke")
    needed: Any = examination.value(path, "critical_inductance")
    return bool(choke and needed and choke.nominal < needed.nominal)
