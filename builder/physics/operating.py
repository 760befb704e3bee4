"""Operating points of an amplifier with large signals: with a tube model, and from the meters without one.

The grid and the plate are taken to swing sinusoidally. Every function takes scalars, or arrays of one shape (cases,).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, NamedTuple

import numpy as np

from . import pulse
from .tubes import PLATE_OVER_SCREEN, Tetrode, Triode, Tube, currents
from .units import Ampere, Count, Ohm, Ratio, Volt, Watt, require

PHASES = 96
"""Midpoints over half a cycle: 0.04 per cent on grid current, less on the rest."""
_PHASE = (np.arange(PHASES) + 0.5) * np.pi / PHASES
_COSINE = np.cos(_PHASE)
_HARMONICS = np.stack([np.ones(PHASES), *(2 * np.cos(k * _PHASE) for k in (1, 2, 3))], axis=1) / PHASES
FULL_SWING = 0.999
"""Share of the plate voltage beyond which the plate is called voltage-saturated."""
USUAL_SWING = 0.86
"""Plate swing over plate voltage of published class C columns, middle value; a place to start from."""
DRIVE_FACTOR = 0.9
"""Grid driving power over peak drive times grid current; published columns lie between 0.88 and 1.01."""
TANK_EFFICIENCY = 0.93
"""Share of the tube's output that reaches the load through a usual tank."""
_ROUNDS, _PAIR_ROUNDS, _BIAS_ROUNDS = 60, 18, 8
_STRIDE = 16
_CLOSE = 1e-9

GOOD_CREST, DOUBTFUL_CREST = 1.85, 1.5
Grade = Literal["good", "doubtful", "poor"]
GRADES: tuple[Grade, ...] = ("poor", "doubtful", "good")


class Operation(NamedTuple):
    """A stage at work, one tube; not a number throughout where it would need more than the plate voltage as swing."""

    plate_swing: Volt
    plate_current: Ampere
    fundamental_current: Ampere
    second_harmonic_current: Ampere
    third_harmonic_current: Ampere
    grid_current: Ampere
    screen_current: Ampere
    peak_plate_current: Ampere
    output_power: Watt
    plate_dissipation: Watt
    drive_power: Watt
    grid_dissipation: Watt
    efficiency: Ratio
    half_angle: Ratio
    load_resistance: Ohm
    peak_drive: Volt
    grid_bias: Volt
    saturated: Any


class Pair(NamedTuple):
    """Two tubes in push-pull, and what one of them does."""

    output_power: Watt
    plate_current: Ampere
    drive_power: Watt
    plate_dissipation: Watt
    tube: Operation


class Bias(NamedTuple):
    """Where the grid bias comes from: a fixed part, a grid leak and a cathode resistor, each of which may be zero."""

    fixed: Volt = 0.0
    grid_leak: Ohm = 0.0
    cathode_resistance: Ohm = 0.0


class Sweep(NamedTuple):
    """Swing of a plate-modulated stage against its plate voltage, both over their values at the carrier."""

    voltage_ratio: Ratio
    swing_ratio: Ratio
    operation: Operation
    crest: Ratio
    trough: Ratio
    distortion: Ratio
    most_screen_input: Watt
    grade: Grade
    wording: str


class Readings(NamedTuple):
    """What the meters of one tube show, and the few things that are taken for granted; the order of operating_point."""

    plate_voltage: Volt
    plate_current: Ampere
    output_power: Watt
    grid_bias: Volt
    peak_drive: Volt
    mu: Ratio
    screen_voltage: Volt | None = None
    grid_current: Ampere = 0.0
    exponent: Ratio = pulse.USUAL_EXPONENT
    tank_efficiency: Ratio = TANK_EFFICIENCY


USUAL_UNCERTAINTY = {
    "plate_voltage": 0.02, "plate_current": 0.02, "output_power": 0.05, "grid_bias": 0.03, "peak_drive": 0.06,
    "mu": 0.0, "screen_voltage": 0.0, "grid_current": 0.05,
    "exponent": 0.2 / pulse.USUAL_EXPONENT, "tank_efficiency": 0.03,
}  # fmt: skip
"""Standard uncertainty of each reading over its value, where it is not stated."""


class OperatingPoint(NamedTuple):
    """What the meters say about the inside of one tube; spread gives the same fields as standard uncertainties."""

    half_angle: Ratio
    fundamental_ratio: Ratio
    fundamental_current: Ampere
    load_resistance: Ohm
    plate_swing: Volt
    least_plate_voltage: Volt
    peak_plate_current: Ampere
    tube_output: Watt
    plate_dissipation: Watt
    drive_power: Watt
    grid_dissipation: Watt
    highest_grid_voltage: Volt


class _Point(NamedTuple):
    """Electrode voltages of a number of cases, all of shape (cases,); share of the drive that is at the cathode."""

    plate_voltage: Any
    grid_bias: Any
    screen_voltage: Any
    peak_drive: Any
    plate_swing: Any
    at_cathode: float = 0.0

    def rows(self, rows: Any, **changed: Any) -> _Point:
        """Some of the cases, with other values for what is being sought."""
        kept = {name: getattr(self, name)[rows] for name in self._fields[:5] if name not in changed}
        return _Point(**kept, **changed, at_cathode=self.at_cathode)

    @property
    def feed(self) -> Any:
        """Radio-frequency voltage from cathode to ground, peak."""
        return self.at_cathode * self.peak_drive

    @property
    def most_swing(self) -> Any:
        """Swing from plate to ground at which the plate is saturated."""
        return FULL_SWING * self.plate_voltage + self.feed


def operation_at_swing(
    tube: Tube, plate_voltage: Volt, grid_bias: Volt, peak_drive: Volt, plate_swing: Volt,
    screen_voltage: Volt = 0.0, *, cathode_driven: bool = False,
) -> Operation:  # fmt: skip
    """Everything that follows when both swings are known.

    Args:
        tube: its parameters.
        plate_voltage: mean, from plate to cathode; scalar or array.
        grid_bias: mean grid voltage, negative.
        peak_drive: radio-frequency voltage at the driven electrode, peak.
        plate_swing: radio-frequency voltage from plate to ground, peak.
        screen_voltage: mean; not used for a triode.
        cathode_driven: the drive is at the cathode; grid and screen are at ground for radio frequency.

    Source: classc-identities, section on the model with divided space current
    """
    point, shape = _points(plate_voltage, grid_bias, screen_voltage, peak_drive, plate_swing, cathode_driven)
    return _operation(tube, point, shape, np.zeros(point.plate_swing.shape, bool))


def operation_into_load(
    tube: Tube, plate_voltage: Volt, grid_bias: Volt, peak_drive: Volt, load_resistance: Ohm,
    screen_voltage: Volt = 0.0, *, cathode_driven: bool = False,
) -> Operation:  # fmt: skip
    """A stage whose drive and plate load are known; where the load asks for all of the plate voltage it is saturated.

    Args:
        tube: its parameters.
        plate_voltage: mean, from plate to cathode; scalar or array.
        grid_bias: mean grid voltage, negative.
        peak_drive: radio-frequency voltage at the driven electrode, peak.
        load_resistance: plate swing over fundamental current.
        screen_voltage: mean; not used for a triode.
        cathode_driven: the drive is at the cathode; grid and screen are at ground for radio frequency.

    Source: classc-identities, section on the model with divided space current
    """
    point, shape = _points(plate_voltage, grid_bias, screen_voltage, peak_drive, load_resistance, cathode_driven)
    swing, saturated = _swing_into(tube, point, point.plate_swing)
    return _operation(tube, point._replace(plate_swing=swing), shape, saturated)


def operation_at_power(
    tube: Tube, plate_voltage: Volt, grid_bias: Volt, peak_drive: Volt, output_power: Watt,
    screen_voltage: Volt = 0.0, *, cathode_driven: bool = False,
) -> Operation:  # fmt: skip
    """A stage whose drive and output are known, on the side where more swing gives more output.

    Args:
        tube: its parameters.
        plate_voltage: mean, from plate to cathode; scalar or array.
        grid_bias: mean grid voltage, negative.
        peak_drive: radio-frequency voltage at the driven electrode, peak.
        output_power: of the tube, before the tank; more than it can give counts as saturated.
        screen_voltage: mean; not used for a triode.
        cathode_driven: the drive is at the cathode; grid and screen are at ground for radio frequency.

    Source: classc-identities, section on the model with divided space current
    """
    point, shape = _points(plate_voltage, grid_bias, screen_voltage, peak_drive, output_power, cathode_driven)
    wanted = point.plate_swing
    high = _swing_of_most_power(tube, point)
    most = high * _fundamental(tube, point._replace(plate_swing=high)) / 2

    def lacking(swing: Any, rows: Any) -> Any:
        return wanted[rows] - swing * _fundamental(tube, point.rows(rows, plate_swing=swing)) / 2

    swing = _root(lacking, np.zeros_like(high), high.copy(), high * np.clip(wanted / most, 0.1, 0.9))
    return _operation(tube, point._replace(plate_swing=swing), shape, wanted > most)


def operation_at_current(
    tube: Tube, plate_voltage: Volt, grid_bias: Volt, plate_swing: Volt, plate_current: Ampere,
    screen_voltage: Volt = 0.0, *, cathode_driven: bool = False,
) -> Operation:  # fmt: skip
    """A stage whose plate swing and plate current are known; the drive is found, which the meters rarely show.

    Args:
        tube: its parameters.
        plate_voltage: mean, from plate to cathode; scalar or array.
        grid_bias: mean grid voltage, negative.
        plate_swing: radio-frequency voltage from plate to ground, peak.
        plate_current: mean; more than any drive can bring counts as saturated.
        screen_voltage: mean; not used for a triode.
        cathode_driven: the drive is at the cathode; grid and screen are at ground for radio frequency.

    Source: classc-identities, section on the model with divided space current
    """
    point, shape = _points(plate_voltage, grid_bias, screen_voltage, plate_current, plate_swing, cathode_driven)
    drive, failed = _drive_for(tube, point, point.peak_drive)
    return _operation(tube, point._replace(peak_drive=drive), shape, failed)


def operation_from_meters(
    tube: Tube, plate_voltage: Volt, grid_bias: Volt, plate_current: Ampere, output_power: Watt,
    screen_voltage: Volt = 0.0, *, cathode_driven: bool = False,
) -> Operation:  # fmt: skip
    """A stage whose plate current and output are known; drive and plate swing are found together.

    Args:
        tube: its parameters.
        plate_voltage: mean, from plate to cathode; scalar or array.
        grid_bias: mean grid voltage, negative.
        plate_current: mean.
        output_power: of the tube, before the tank; more than the current can give counts as saturated.
        screen_voltage: mean; not used for a triode.
        cathode_driven: the drive is at the cathode; grid and screen are at ground for radio frequency.

    Source: classc-identities, section on the inverse problem
    """
    point, shape = _points(plate_voltage, grid_bias, screen_voltage, plate_current, output_power, cathode_driven)
    current, output = point.peak_drive, point.plate_swing
    start = point._replace(plate_swing=USUAL_SWING * point.plate_voltage)
    drive, _failed = _drive_for(tube, start, current)

    def misses(log_drive: Any, log_least: Any, rows: Any) -> tuple[Any, Any]:
        at = point.rows(rows, peak_drive=np.exp(log_drive))
        at = at._replace(plate_swing=at.plate_voltage + at.feed - np.exp(log_least))
        parts = _waves(tube, at).plate @ _HARMONICS[:, :2]
        made = np.maximum(at.plate_swing * parts[:, 1] / 2, 1e-12)
        return np.log(np.maximum(parts[:, 0], 1e-15) / current[rows]), np.log(made / output[rows])

    first = np.log(np.where(np.isfinite(drive), drive, 1.0))
    least = np.log((1 - USUAL_SWING) * point.plate_voltage)
    log_drive, log_least, found = _root_pair(misses, first, least, (0.15, 0.5))
    found &= np.exp(log_least) >= (1 - FULL_SWING) * point.plate_voltage
    at = point._replace(peak_drive=np.exp(log_drive))
    swing = point.plate_voltage + at.feed - np.exp(log_least)
    return _operation(tube, at._replace(plate_swing=swing), shape, ~found)


def operation_with_bias(
    tube: Tube, plate_voltage: Volt, bias: Bias, peak_drive: Volt, load_resistance: Ohm,
    screen_voltage: Volt = 0.0, *, cathode_driven: bool = False,
) -> Operation:  # fmt: skip
    """A stage that makes part of its own bias in a grid leak or a cathode resistor, working into a known load.

    Args:
        tube: its parameters.
        plate_voltage: mean, from plate to cathode; scalar or array.
        bias: fixed part, grid leak and cathode resistor, for this one tube.
        peak_drive: radio-frequency voltage at the driven electrode, peak.
        load_resistance: plate swing over fundamental current.
        screen_voltage: mean; not used for a triode.
        cathode_driven: the drive is at the cathode; grid and screen are at ground for radio frequency.

    Source: classc-identities, section on grid-leak bias
    """
    point, shape = _points(plate_voltage, bias.fixed, screen_voltage, peak_drive, load_resistance, cathode_driven)
    return _operation_settled(tube, point, shape, bias, None)


def audio_pair(
    tube: Tube, plate_voltage: Volt, grid_bias: Volt, peak_drive: Volt, plate_to_plate_load: Ohm,
    screen_voltage: Volt = 0.0,
) -> Pair:  # fmt: skip
    """Two tubes in push-pull at full signal, class AB or B; idle current is beyond this model.

    Args:
        tube: parameters of each.
        plate_voltage: mean; scalar or array.
        grid_bias: mean grid voltage.
        peak_drive: audio voltage at each grid, peak.
        plate_to_plate_load: of the whole primary; each tube sees a quarter of it.
        screen_voltage: mean; not used for triodes.

    Source: classc-identities, section on push-pull audio
    """
    half_load = plate_to_plate_load / 2
    one = operation_into_load(tube, plate_voltage, grid_bias, peak_drive, half_load, screen_voltage)
    return Pair(2 * one.output_power, 2 * one.plate_current, 2 * one.drive_power, 2 * one.plate_dissipation, one)


def undriven_current(tube: Tube, plate_voltage: Volt, grid_bias: Volt, screen_voltage: Volt = 0.0) -> Ampere:
    """Plate current without drive, as for a stage that loses its excitation; far off near cut-off, so no idle current.

    Args:
        tube: its parameters.
        plate_voltage: from plate to cathode; scalar or array.
        grid_bias: what is left of it without drive.
        screen_voltage: from screen to cathode; not used for a triode.

    Source: classc-identities, section on the loss of excitation
    """
    return currents(tube, grid_bias, plate_voltage, screen_voltage).plate


def modulation_sweep(  # noqa: PLR0913 - the stage, and how it is modulated
    tube: Tube, plate_voltage: Volt, bias: Bias, peak_drive: Volt, load_resistance: Ohm,
    screen_voltage: Volt = 0.0, *, screen_follows: Ratio = 0.8, points: Count = 200,
) -> Sweep:  # fmt: skip
    """What the plate swing does while the plate voltage goes from nothing to twice its carrier value.

    Args:
        tube: its parameters.
        plate_voltage: at the carrier, scalar.
        bias: fixed part, grid leak and cathode resistor, for this one tube.
        peak_drive: radio-frequency grid voltage, peak, the same throughout.
        load_resistance: plate swing over fundamental current, the same throughout.
        screen_voltage: at the carrier; not used for a triode.
        screen_follows: share of the plate's change that the screen makes: 0 fixed, 0.8 through a dropping resistor
            from the modulated line, 1 for a tap on it.
        points: plate voltages tried, an even number.

    Raises:
        ValueError: the points are too few or odd, or the stage has no operating point at the carrier.

    Source: classc-identities, section on the modulation sweep
    """
    require(points >= 20 and points % 2 == 0, "an even number of points, at least 20, makes a sweep")
    factor: Any = np.linspace(0, 2, int(points) + 1)[1:]
    screens: Any = screen_voltage * (1 + screen_follows * (factor - 1))
    found = _operation_along(tube, factor, (plate_voltage, screens, peak_drive, load_resistance), bias)
    swings = np.where(found.saturated, factor * plate_voltage, found.plate_swing)
    carrier = swings[int(points) // 2 - 1]
    require(
        not found.saturated[int(points) // 2 - 1] and carrier > 0, "the stage has no operating point at the carrier"
    )
    ratio = swings / carrier
    grade = crest_grade(tube, float(ratio[-1]), screen_follows)
    return Sweep(
        factor, ratio, found, ratio[-1], np.interp(0.5, factor, ratio), sine_distortion(factor, ratio),
        np.nanmax(screens * found.screen_current), grade, _wording(tube, grade, bias),
    )  # fmt: skip


def crest_grade(tube: Tube, crest: Ratio, screen_follows: Ratio) -> Grade:
    """Crest capability in three grades; the model errs by a third, so it is an indicator and no verdict.

    Args:
        tube: its parameters.
        crest: plate swing at twice the carrier's plate voltage over that at the carrier.
        screen_follows: share of the plate's change that the screen makes; a fixed screen costs one grade.

    Source: classc-identities, section on the modulation sweep
    """
    grade = int(crest >= DOUBTFUL_CREST) + int(crest > GOOD_CREST)
    return GRADES[max(grade - int(isinstance(tube, Tetrode) and screen_follows == 0), 0)]


def sine_distortion(voltage_ratio: Ratio, swing_ratio: Ratio) -> Ratio:
    """Harmonics over fundamental of the envelope that a sine at full modulation makes.

    Args:
        voltage_ratio: plate voltage over its carrier value, rising, up to 2; array.
        swing_ratio: plate swing over its carrier value at each of them; array of the same shape.

    Source: fourier, harmonics of a periodic waveform
    """
    phase = np.arange(512) * 2 * np.pi / 512
    envelope = np.interp(1 + np.cos(phase), np.r_[0.0, voltage_ratio], np.r_[0.0, swing_ratio])
    lines = np.abs(np.fft.rfft(envelope))
    distortion: Ratio = np.sqrt((lines[2:] ** 2).sum()) / lines[1]
    return distortion


def operating_point(  # noqa: PLR0913, PLR0917 - one parameter for each meter
    plate_voltage: Volt, plate_current: Ampere, output_power: Watt, grid_bias: Volt, peak_drive: Volt, mu: Ratio,
    screen_voltage: Volt | None = None, grid_current: Ampere = 0.0, exponent: Ratio = pulse.USUAL_EXPONENT,
    tank_efficiency: Ratio = TANK_EFFICIENCY,
) -> OperatingPoint:  # fmt: skip
    """What the meters say about the inside of one tube, by the shape of the current pulse alone.

    Args:
        plate_voltage: mean, from plate to cathode; scalar or array.
        plate_current: mean, of one tube, above zero.
        output_power: at the load.
        grid_bias: mean grid voltage, negative.
        peak_drive: radio-frequency grid voltage, peak.
        mu: from grid to screen where there is a screen, otherwise from grid to plate.
        screen_voltage: mean; None for a triode.
        grid_current: mean.
        exponent: power of the pulse.
        tank_efficiency: output at the load over output of the tube; 1 where output_power is the tube's own.

    Raises:
        ValueError: no plate current.

    Source: classc-identities, section on the inverse problem
    """
    require(np.asarray(plate_current) > 0, "the stage draws no plate current")
    output = output_power / tank_efficiency
    readings = Readings(
        plate_voltage, plate_current, output_power, grid_bias, peak_drive, mu, screen_voltage, grid_current, exponent
    )
    angle, found = _pulse_of(readings, output)
    ratio = found.fundamental / found.mean
    fundamental = ratio * plate_current
    swing = 2 * output / fundamental
    drive = DRIVE_FACTOR * peak_drive * grid_current
    return OperatingPoint(
        angle, ratio, fundamental, swing / fundamental, swing, plate_voltage - swing, plate_current / found.mean,
        output, plate_voltage * plate_current - output, drive, drive + grid_bias * grid_current,
        peak_drive + grid_bias,
    )  # fmt: skip


def spread(
    readings: Readings, uncertainties: dict[str, float] | None = None, samples: Count = 4000, seed: Count = 1
) -> OperatingPoint:
    """Standard uncertainty of every result of operating_point, by drawing the readings at random.

    Args:
        readings: scalars.
        uncertainties: standard uncertainty of readings by name, in the unit of the reading; for those that are
            left out, the usual share of the reading.
        samples: how many draws.
        seed: of the draws; the same seed gives the same figures.

    Raises:
        ValueError: an uncertainty is stated for something that is no reading.

    Source: gum, propagation of distributions by drawing (supplement 1, recalled)
    """
    stated = uncertainties or {}
    require(set(stated) <= set(Readings._fields), "uncertainties are stated for readings only")
    draw = np.random.default_rng(int(seed))
    drawn = {}
    for name, value in readings._asdict().items():
        sigma = 0.0 if value is None else stated.get(name, USUAL_UNCERTAINTY[name] * abs(value))
        drawn[name] = value if sigma == 0 else value + sigma * draw.standard_normal(int(samples))
    found = operating_point(**drawn)
    return OperatingPoint._make(np.std(value) for value in found)


def _pulse_of(readings: Readings, output: Any) -> tuple[Any, pulse.Shares]:
    """Half angle and shares of the pulse; a triode's angle leans on its swing a little and is found in three rounds."""
    bias, drive, mu, screen = readings.grid_bias, readings.peak_drive, readings.mu, readings.screen_voltage
    if screen is not None:
        angle = pulse.half_angle_tetrode(bias, drive, screen, mu)
        return angle, pulse.shares(angle, readings.exponent)
    swing: Any = USUAL_SWING * readings.plate_voltage
    for _round in range(3):
        angle = pulse.half_angle_triode(bias, drive, readings.plate_voltage, swing, mu)
        found = pulse.shares(angle, readings.exponent)
        swing = 2 * output * found.mean / (found.fundamental * readings.plate_current)
    return angle, found


def _wording(tube: Tube, grade: Grade, bias: Bias) -> str:
    leaking = isinstance(tube, Triode) and bias.grid_leak > 0
    caution = "; it is pessimistic for a triode on grid leak" if leaking else ""
    return f"crest capability indicator: {grade}{caution}; the builder's own trapezoid reading overrides it"


def _points(
    plate_voltage: Any, grid_bias: Any, screen_voltage: Any, peak_drive: Any, plate_swing: Any, cathode_driven: Any
) -> tuple[_Point, tuple[int, ...]]:
    """All values as arrays of one shape (cases,), and the shape that they came in."""
    given = (plate_voltage, grid_bias, screen_voltage, peak_drive, plate_swing)
    arrays = np.broadcast_arrays(*(np.asarray(value, float) for value in given))
    require(arrays[0] > 0, "there is no plate voltage")
    flat = [array.reshape(-1) for array in arrays]
    return _Point._make([*flat, float(cathode_driven)]), arrays[0].shape


def _waves(tube: Tube, point: _Point) -> Any:
    """Currents over half a cycle, of shape (cases, phases)."""
    feed = point.feed[:, None] * _COSINE
    grid = point.grid_bias[:, None] + point.peak_drive[:, None] * _COSINE
    plate = point.plate_voltage[:, None] - point.plate_swing[:, None] * _COSINE + feed
    return currents(tube, grid, np.maximum(plate, 0.0), point.screen_voltage[:, None] + feed)


def _fundamental(tube: Tube, point: _Point) -> Any:
    return _waves(tube, point).plate @ _HARMONICS[:, 1]


def _operation(tube: Tube, point: _Point, shape: tuple[int, ...], saturated: Any) -> Operation:
    waves = _waves(tube, point)
    mean, first, second, third = (waves.plate @ _HARMONICS).T
    grid, grid_first = (waves.grid @ _HARMONICS[:, :2]).T
    screen, screen_first = (waves.screen @ _HARMONICS[:, :2]).T
    output = point.plate_swing * first / 2
    taken = point.plate_voltage * mean
    shared = point.at_cathode * (first + screen_first)
    values = (
        point.plate_swing, mean, first, second, third, grid, screen, waves.plate.max(axis=1), output,
        taken - output + point.feed * first / 2, point.peak_drive * (grid_first + shared) / 2,
        point.grid_bias * grid + point.peak_drive * grid_first / 2, output / np.maximum(taken, 1e-30),
        _half_angle(tube, point), point.plate_swing / np.maximum(first, 1e-30), point.peak_drive, point.grid_bias,
    )  # fmt: skip
    clean = (np.where(saturated, np.nan, value).reshape(shape)[()] for value in values)
    return Operation._make([*clean, saturated.reshape(shape)[()]])


def _half_angle(tube: Tube, point: _Point) -> Any:
    seen = point.plate_swing - point.feed
    if isinstance(tube, Tetrode):
        drive = point.peak_drive + point.feed / tube.mu
        away = -point.grid_bias - point.screen_voltage / tube.mu
    else:
        drive = point.peak_drive - seen / tube.mu
        away = -point.grid_bias - point.plate_voltage / tube.mu
    return np.arccos(np.clip(away / np.maximum(drive, 1e-12), -1.0, 1.0))


def _swing_into(tube: Tube, point: _Point, load: Any, start: Any = None) -> tuple[Any, Any]:
    """Swing at which the load is met, and where there is none below the plate voltage."""
    high = point.most_swing

    def lacking(swing: Any, rows: Any) -> Any:
        return load[rows] * _fundamental(tube, point.rows(rows, plate_swing=swing)) - swing

    saturated = lacking(high, np.arange(high.size)) > 0
    first = USUAL_SWING * point.plate_voltage + point.feed if start is None else start
    return _root(lacking, np.zeros_like(high), high.copy(), np.where(saturated, high, first)), saturated


def _swing_of_most_power(tube: Tube, point: _Point) -> Any:
    """Swing up to which more swing gives more output: a coarse look, then a fine one around its best place."""
    every = np.arange(point.plate_voltage.size)
    low, high = np.zeros(every.size), point.most_swing
    best = high
    for _look in range(3):
        tried = np.linspace(low, high, 25)
        rows = np.tile(every, 25)
        swing = tried.reshape(-1)
        power = (swing * _fundamental(tube, point.rows(rows, plate_swing=swing))).reshape(tried.shape)
        at = power.argmax(axis=0)
        best = tried[at, every]
        low, high = tried[np.maximum(at - 1, 0), every], tried[np.minimum(at + 1, 24), every]
    return best


def _drive_for(tube: Tube, point: _Point, current: Any) -> tuple[Any, Any]:
    """Drive that brings a plate current at a known swing, and where no drive does."""
    reach = (5 * current / tube.perveance) ** (2 / 3)
    pull = point.screen_voltage if isinstance(tube, Tetrode) else point.plate_voltage - point.plate_swing
    start = np.maximum(-point.grid_bias - pull / tube.mu + reach, 1.0)
    high = 2 * np.abs(point.grid_bias) + 8 * reach + point.plate_voltage / (PLATE_OVER_SCREEN * tube.mu)

    def lacking(drive: Any, rows: Any) -> Any:
        return current[rows] - _waves(tube, point.rows(rows, peak_drive=drive)).plate @ _HARMONICS[:, 0]

    failed = lacking(high, np.arange(high.size)) > 0
    drive = _root(lacking, np.zeros_like(high), high.copy(), np.where(failed, high, start))
    return drive, failed


def _operation_along(tube: Tube, factor: Any, stage: tuple[Any, Any, Any, Any], bias: Bias) -> Operation:
    """Operation along a sweep of the plate voltage: a few points first, from which the others start."""
    plate, screens, drive, load = stage
    few = np.unique(np.r_[: factor.size : _STRIDE, factor.size - 1])
    first = operation_with_bias(tube, factor[few] * plate, bias, drive, load, screens[few])
    swing = np.where(first.saturated, 1.0, first.plate_swing / (factor[few] * plate))
    grid = np.where(first.saturated, -1.0, first.grid_bias / drive)
    start = np.interp(factor, factor[few], swing), np.interp(factor, factor[few], grid)
    point, shape = _points(factor * plate, bias.fixed, screens, drive, load, cathode_driven=False)
    return _operation_settled(tube, point, shape, bias, start)


def _operation_settled(tube: Tube, point: _Point, shape: tuple[int, ...], bias: Bias, start: Any) -> Operation:
    """A stage with its bias settled; its load stands in the place of the plate swing."""
    load = point.plate_swing
    if bias.grid_leak == 0 and bias.cathode_resistance == 0:
        swing, saturated = _swing_into(tube, point, load, start and start[0] * point.plate_voltage)
        return _operation(tube, point._replace(plate_swing=swing), shape, saturated)
    swing, grid, found = _swing_and_bias(tube, point, load, bias, start)
    rows, saturated = np.flatnonzero(~found), np.zeros(load.shape, bool)
    if rows.size:
        saturated[rows] = _saturates(tube, point.rows(rows), load[rows], bias)
        rows = rows[~saturated[rows]]
    if rows.size:
        grid[rows], swing[rows] = _bias_in_bracket(tube, point.rows(rows), load[rows], bias)
    return _operation(tube, point._replace(grid_bias=grid, plate_swing=swing), shape, saturated)


def _swing_and_bias(tube: Tube, point: _Point, load: Any, bias: Bias, start: Any) -> tuple[Any, Any, Any]:
    """Swing and bias together, both as shares of the swing and drive available; third, where they were found."""

    def misses(swing: Any, grid: Any, rows: Any) -> tuple[Any, Any]:
        at = point.rows(rows, grid_bias=grid * point.peak_drive[rows], plate_swing=swing * point.plate_voltage[rows])
        waves = _waves(tube, at)
        lost = _bias_made(waves, bias)
        first = load[rows] * (waves.plate @ _HARMONICS[:, 1]) / at.plate_voltage - swing
        return first, (at.grid_bias + lost - point.grid_bias[rows]) / at.peak_drive

    if start is None:
        start = np.full(load.shape, USUAL_SWING), np.minimum(point.grid_bias / point.peak_drive, -0.6)
    swing, grid, found = _root_pair(misses, start[0], start[1], (0.2, 0.15), _BIAS_ROUNDS)
    found &= (swing > 0) & (swing * point.plate_voltage < point.most_swing)
    return swing * point.plate_voltage, grid * point.peak_drive, found


def _bias_made(waves: Any, bias: Bias) -> Any:
    grid = waves.grid.mean(axis=1)
    return bias.grid_leak * grid + bias.cathode_resistance * (
        waves.plate.mean(axis=1) + waves.screen.mean(axis=1) + grid
    )


def _saturates(tube: Tube, point: _Point, load: Any, bias: Bias) -> Any:
    """Whether the load asks for more than the plate voltage, at the bias that belongs to full swing."""
    full = point._replace(plate_swing=point.most_swing)

    def lacking(grid: Any, rows: Any) -> Any:
        at = full.rows(rows, grid_bias=grid)
        return point.grid_bias[rows] - grid - _bias_made(_waves(tube, at), bias)

    settled = full._replace(grid_bias=_root_of_steep(lacking, *_bias_bracket(tube, point)))
    return load * _fundamental(tube, settled) > full.plate_swing


def _bias_in_bracket(tube: Tube, point: _Point, load: Any, bias: Bias) -> tuple[Any, Any]:
    """Bias that the stage settles at, and its swing: plain substitution would go to and fro."""
    swing = USUAL_SWING * point.plate_voltage + point.feed

    def lacking(grid: Any, rows: Any) -> Any:
        at = point.rows(rows, grid_bias=grid)
        swing[rows], _saturated = _swing_into(tube, at, load[rows], swing[rows])
        return point.grid_bias[rows] - grid - _bias_made(_waves(tube, at._replace(plate_swing=swing[rows])), bias)

    return _root_of_steep(lacking, *_bias_bracket(tube, point)), swing


def _bias_bracket(tube: Tube, point: _Point) -> tuple[Any, Any]:
    """The fixed part alone, and a bias at which the tube draws nothing."""
    beyond = (point.screen_voltage + point.plate_voltage) / tube.mu + 30
    return np.minimum(point.grid_bias, -point.peak_drive - beyond), point.grid_bias.copy()


def _root_of_steep(function: Callable[[Any, Any], Any], low: Any, high: Any) -> Any:
    """Where a function that falls by one at least for each one passes zero: secants inside a bracket.

    The bracket is narrowed in place. A secant that lands twice on one side is tilted, so that both ends move up.
    """
    rows = np.arange(low.size)
    found, close = high.copy(), _CLOSE * np.maximum(high - low, 1.0)
    at_low, at_high = function(low, rows), function(high, rows)
    side = np.zeros(low.size)
    for _round in range(_ROUNDS):
        fall = np.maximum(at_low[rows] - at_high[rows], 1e-300)
        tried = high[rows] + at_high[rows] * (high[rows] - low[rows]) / fall
        value = function(tried, rows)
        above = value > 0
        again = side[rows] == np.where(above, 1, -1)
        kept = np.where(above, at_low[rows], at_high[rows])
        tilt = 1 - value / np.where(kept == 0, 1.0, kept)
        tilt = np.where(again, np.where(tilt > 0, tilt, 0.5), 1.0)
        low[rows], high[rows] = np.where(above, tried, low[rows]), np.where(above, high[rows], tried)
        at_low[rows] = np.where(above, value, at_low[rows] * tilt)
        at_high[rows] = np.where(above, at_high[rows] * tilt, value)
        side[rows], found[rows] = np.where(above, 1, -1), tried
        rows = rows[np.abs(value) > close[rows]]
        if not rows.size:
            break
    return found


def _root(function: Callable[[Any, Any], Any], low: Any, high: Any, start: Any) -> Any:
    """Where a falling function passes zero: Newton steps inside a bracket; cases that have arrived are left alone.

    The bracket is narrowed in place. The function takes values and the numbers of their cases.
    """
    found = np.clip(start, low, high)
    rows = np.arange(found.size)
    width = np.maximum(high - low, 1e-12)
    for _round in range(_ROUNDS):
        here = found[rows]
        step = 1e-6 * width[rows]
        both = function(np.concatenate([here, here + step]), np.concatenate([rows, rows])).reshape(2, -1)
        above = both[0] > 0
        low[rows] = np.where(above, here, low[rows])
        high[rows] = np.where(above, high[rows], here)
        slope = (both[1] - both[0]) / step
        moved = here - both[0] / np.where(slope == 0, -1e-300, slope)
        inside = (moved > low[rows]) & (moved < high[rows])
        found[rows] = np.where(inside, moved, (low[rows] + high[rows]) / 2)
        rows = rows[np.abs(found[rows] - here) > _CLOSE * width[rows]]
        if not rows.size:
            break
    return found


def _root_pair(
    function: Callable[[Any, Any, Any], tuple[Any, Any]],
    first: Any,
    second: Any,
    longest: tuple[float, float],
    rounds: int = _PAIR_ROUNDS,
) -> tuple[Any, Any, Any]:
    """Where two functions of two variables of order one are zero: limited Newton steps; third, where it arrived."""
    first, second = first.copy(), second.copy()
    arrived = np.zeros(first.shape, bool)
    rows = np.arange(first.size)
    step = 1e-6
    for _round in range(rounds):
        one, two = first[rows], second[rows]
        tried = function(np.r_[one, one + step, one], np.r_[two, two, two + step], np.r_[rows, rows, rows])
        a, b = (value.reshape(3, -1) for value in tried)
        a_one, a_two, b_one, b_two = (a[1] - a[0]), (a[2] - a[0]), (b[1] - b[0]), (b[2] - b[0])
        size = (a_one * b_two - a_two * b_one) / step
        size = np.where(np.abs(size) < 1e-300, 1e-300, size)
        change = np.stack([(a_two * b[0] - b_two * a[0]) / size, (b_one * a[0] - a_one * b[0]) / size])
        change[0] = np.clip(change[0], -longest[0], longest[0])
        change[1] = np.clip(change[1], -longest[1], longest[1])
        first[rows], second[rows] = one + change[0], two + change[1]
        done = np.abs(change).max(axis=0) < _CLOSE * 10
        arrived[rows[done]] = True
        rows = rows[~done]
        if not rows.size:
            break
    return first, second, arrived
