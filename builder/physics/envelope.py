"""The modulated carrier as an oscilloscope shows it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from .units import Ratio


def sine_envelope(phase: Any, negative_peak: Ratio, positive_peak: Ratio) -> Any:
    """Height of the envelope over the unmodulated carrier for a tone with unequal halves; never below zero.

    Args:
        phase: of the audio tone, radian, shape (n,).
        negative_peak: downward modulation, 1 for 100 per cent.
        positive_peak: upward modulation.

    Source: terman-re, amplitude modulation (page not verified)
    """
    tone = np.sin(phase)
    return np.maximum(0.0, 1 + np.where(tone > 0, positive_peak, negative_peak) * tone)


def carrier_under(envelope: Any, phase: Any, cycles: Ratio) -> Any:
    """The carrier filling an envelope, with few enough cycles to be seen.

    Args:
        envelope: height, shape (n,).
        phase: of the audio tone, radian, shape (n,).
        cycles: carrier cycles for each audio cycle.

    Source: terman-re, amplitude modulation (page not verified)
    """
    return envelope * np.cos(cycles * phase)


def trapezoid(negative_peak: Ratio, positive_peak: Ratio) -> tuple[Any, Any]:
    """Corners of the figure that audio on the horizontal and the modulated carrier on the vertical plates draw.

    Args:
        negative_peak: downward modulation, 1 for 100 per cent.
        positive_peak: upward modulation.

    Returns:
        Horizontal and vertical corners over carrier height, shape (4,) each, in drawing order.

    Source: terman-re, amplitude modulation (page not verified)
    """
    low = max(0.0, 1 - negative_peak)
    high = 1 + positive_peak
    across = np.array([-negative_peak, positive_peak, positive_peak, -negative_peak])
    return across, np.array([low, high, -high, -low])
