"""What a square wave of a digital signal source is made of."""

from __future__ import annotations

from math import pi

import numpy as np

from .units import Count, Decibel, Hertz, Ratio, Volt, require

LEAST_SHARE = 1e-9
"""Below it a component is rounding of the sine and counts as none; source: common-practice."""


def square_component(swing: Volt, duty: Ratio, harmonic: Count) -> Volt:
    """Peak of one harmonic of a square wave with sharp edges.

    Args:
        swing: from the lower to the upper level.
        duty: share of a cycle that the upper level takes, above 0 and below 1; scalar or array.
        harmonic: 1 for the fundamental; scalar or array.

    Raises:
        ValueError: a duty that leaves no wave.

    Source: elementary, Fourier series of a rectangular pulse
    """
    require((np.asarray(duty) > 0) & (np.asarray(duty) < 1), "the duty of a square wave lies between 0 and 1")
    found: float = 2 * swing * abs(np.sin(pi * harmonic * duty)) / (pi * harmonic)
    return found


def square_component_level(duty: Ratio, harmonic: Count) -> Decibel:
    """How far a harmonic of a square wave lies below the fundamental.

    Args:
        duty: share of a cycle that the upper level takes, above 0 and below 1.
        harmonic: 1 for the fundamental.

    Raises:
        ValueError: a harmonic that this duty does not have.

    Source: elementary, Fourier series of a rectangular pulse
    """
    share = abs(np.sin(pi * harmonic * duty)) / (harmonic * np.sin(pi * duty))
    require(share > LEAST_SHARE, "a square wave of this duty does not have this harmonic")
    level: float = -20 * np.log10(share)
    return level


def source_frequency(carrier_frequency: Hertz, harmonic: Count) -> Hertz:
    """Frequency of a signal source of which a stage picks one harmonic.

    Args:
        carrier_frequency: that is wanted; scalar or array.
        harmonic: that is picked, 1 for the fundamental.

    Source: elementary, frequency multiplication
    """
    return carrier_frequency / harmonic
