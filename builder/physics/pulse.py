"""Harmonic content of a current pulse that is a power of a cosine tip; no tube model is needed."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .units import Ratio, Volt, require

USUAL_EXPONENT = 1.35
"""Power of the tip that fits published class C columns, 0.2 either way: a flattened pulse of the 3/2 law."""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(14)
_LEAST_ANGLE, _LEAST_TIP = 1e-4, 1e-30
_STEPS = (_NODES + 1) / 2
"""Roots of the distance from the pulse's foot, as a share of its half width: there the integrand is smooth."""
_WIDTHS = _WEIGHTS * _STEPS / np.pi


class Shares(NamedTuple):
    """Mean, and peaks of fundamental, second and third harmonic, all over the peak of the pulse."""

    mean: Ratio
    fundamental: Ratio
    second: Ratio
    third: Ratio


def shares(half_angle: Ratio, exponent: Ratio = USUAL_EXPONENT) -> Shares:
    """Mean and first harmonics of a cosine tip over its peak, by quadrature that is smooth at the pulse's foot.

    Args:
        half_angle: half the conduction angle, as arc over radius, at most pi; scalar or array.
        exponent: power of the tip, 1 for a linear characteristic, 1.5 for the space-charge law; broadcasts.

    Source: terman43-rf, class C amplifiers, sine-wave pulses
    """
    half = np.maximum(np.asarray(half_angle, float)[..., None], _LEAST_ANGLE)
    cosine = np.cos(half * (1 - _STEPS**2))
    foot = np.cos(half)
    power = np.asarray(exponent, float)[..., None]
    tip = half * _WIDTHS * np.exp(power * np.log(np.maximum((cosine - foot) / (1 - foot), _LEAST_TIP)))
    first = 2 * tip * cosine
    square = cosine * cosine
    waves = (tip, first, 2 * tip * (2 * square - 1), first * (4 * square - 3))
    return Shares._make(wave.sum(axis=-1)[()] for wave in waves)


def mean_share(half_angle: Ratio, exponent: Ratio = USUAL_EXPONENT) -> Ratio:
    """Mean current over peak current of a cosine tip.

    Args:
        half_angle: half the conduction angle, as arc over radius, above zero and at most pi; scalar or array.
        exponent: power of the tip, 1 for a linear characteristic, 1.5 for the space-charge law; broadcasts.

    Raises:
        ValueError: the angle lies outside half a cycle, or the exponent is negative.

    Source: terman43-rf, class C amplifiers, sine-wave pulses
    """
    require((np.asarray(half_angle) > 0) & (np.asarray(half_angle) <= np.pi), "the half angle lies within half a cycle")
    require(np.asarray(exponent) >= 0, "the exponent is not negative")
    return shares(half_angle, exponent).mean


def fundamental_share(half_angle: Ratio, exponent: Ratio = USUAL_EXPONENT) -> Ratio:
    """Peak of the fundamental over peak current of a cosine tip.

    Args:
        half_angle: half the conduction angle, as arc over radius; scalar or array.
        exponent: power of the tip; broadcasts.

    Source: terman43-rf, class C amplifiers, sine-wave pulses
    """
    return shares(half_angle, exponent).fundamental


def fundamental_ratio(half_angle: Ratio, exponent: Ratio = USUAL_EXPONENT) -> Ratio:
    """Peak of the fundamental over mean current of a cosine tip.

    Args:
        half_angle: half the conduction angle, as arc over radius; scalar or array.
        exponent: power of the tip; broadcasts.

    Source: terman43-rf, class C amplifiers, sine-wave pulses
    """
    found = shares(half_angle, exponent)
    return found.fundamental / found.mean


def second_harmonic_ratio(half_angle: Ratio, exponent: Ratio = USUAL_EXPONENT) -> Ratio:
    """Peak of the second harmonic over mean current of a cosine tip.

    Args:
        half_angle: half the conduction angle, as arc over radius; scalar or array.
        exponent: power of the tip; broadcasts.

    Source: terman43-rf, class C amplifiers, harmonic generators
    """
    found = shares(half_angle, exponent)
    return found.second / found.mean


def third_harmonic_ratio(half_angle: Ratio, exponent: Ratio = USUAL_EXPONENT) -> Ratio:
    """Peak of the third harmonic over mean current of a cosine tip; negative beyond about 110 degrees half angle.

    Args:
        half_angle: half the conduction angle, as arc over radius; scalar or array.
        exponent: power of the tip; broadcasts.

    Source: terman43-rf, class C amplifiers, harmonic generators
    """
    found = shares(half_angle, exponent)
    return found.third / found.mean


def second_current_share(half_angle: Ratio, exponent: Ratio = USUAL_EXPONENT) -> Ratio:
    """Second harmonic over fundamental of a cosine tip.

    Args:
        half_angle: half the conduction angle, as arc over radius; scalar or array.
        exponent: power of the tip; broadcasts.

    Source: terman43-rf, class C amplifiers, harmonic generators
    """
    found = shares(half_angle, exponent)
    return found.second / found.fundamental


def third_current_share(half_angle: Ratio, exponent: Ratio = USUAL_EXPONENT) -> Ratio:
    """Third harmonic over fundamental of a cosine tip; negative beyond about 110 degrees half angle.

    Args:
        half_angle: half the conduction angle, as arc over radius; scalar or array.
        exponent: power of the tip; broadcasts.

    Source: terman43-rf, class C amplifiers, harmonic generators
    """
    found = shares(half_angle, exponent)
    return found.third / found.fundamental


def half_angle_tetrode(grid_bias: Volt, peak_drive: Volt, screen_voltage: Volt, mu: Ratio) -> Ratio:
    """Half the conduction angle of a tube with a screen, as arc over radius; the plate hardly matters.

    Args:
        grid_bias: mean grid voltage, negative; scalar or array.
        peak_drive: radio-frequency grid voltage, peak, above zero.
        screen_voltage: from screen to cathode.
        mu: amplification from grid to screen.

    Raises:
        ValueError: no drive.

    Source: terman43-rf, class C amplifiers, cut-off angle
    """
    require(np.asarray(peak_drive) > 0, "the stage is not driven")
    return _arccos((-grid_bias - screen_voltage / mu) / peak_drive)


def half_angle_triode(grid_bias: Volt, peak_drive: Volt, plate_voltage: Volt, plate_swing: Volt, mu: Ratio) -> Ratio:
    """Half the conduction angle of a triode, as arc over radius; a falling plate shortens it.

    Args:
        grid_bias: mean grid voltage, negative; scalar or array.
        peak_drive: radio-frequency grid voltage, peak.
        plate_voltage: mean, from plate to cathode.
        plate_swing: radio-frequency voltage from plate to cathode, peak.
        mu: amplification.

    Raises:
        ValueError: the plate takes back more than the drive gives.

    Source: terman43-rf, class C amplifiers, cut-off angle
    """
    drive = peak_drive - plate_swing / mu
    require(np.asarray(drive) > 0, "the drive must outweigh the plate swing over mu")
    return _arccos((-grid_bias - plate_voltage / mu) / drive)


def grid_half_angle(grid_bias: Volt, peak_drive: Volt) -> Ratio:
    """Half the angle over which the grid is positive, as arc over radius.

    Args:
        grid_bias: mean grid voltage, negative; scalar or array.
        peak_drive: radio-frequency grid voltage, peak, above zero.

    Raises:
        ValueError: no drive.

    Source: terman43-rf, class C amplifiers, grid driving power
    """
    require(np.asarray(peak_drive) > 0, "the stage is not driven")
    return _arccos(-grid_bias / peak_drive)


def _arccos(cosine: Any) -> Ratio:
    angle: Ratio = np.arccos(np.clip(cosine, -1.0, 1.0))
    return angle
