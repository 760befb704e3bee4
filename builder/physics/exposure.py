"""Fields around an antenna, and how far away they are harmless."""

from __future__ import annotations

from math import pi

from .units import Decibel, Metre, Ratio, Watt, require

GROUND_REFLECTION = 2.56
"""Power factor of the usual ground reflection, field times 1.6; source: oet65 (from memory)."""


def average_power(peak_power: Watt, duty: Ratio, on_share: Ratio) -> Watt:
    """Mean power over the averaging time.

    Args:
        peak_power: peak envelope power, or the power that the duty factor refers to.
        duty: mean over peak power while transmitting.
        on_share: worst share of the averaging time that is spent transmitting.

    Source: oet65b, pp. 12-13
    """
    return peak_power * duty * on_share


def safe_distance(average_power: Watt, antenna_gain: Decibel, feeder_loss: Decibel, density_limit: Watt) -> Metre:
    """Distance in the main beam at which the power density falls to a limit, ground reflection counted.

    Args:
        average_power: into the feeder.
        antenna_gain: over an isotropic radiator.
        feeder_loss: of the feeder, positive.
        density_limit: power density, watt per square metre, above zero.

    Raises:
        ValueError: there is no limit.

    Source: oet65, section 2 (from memory)
    """
    require(density_limit > 0, "there is no density limit")
    radiated = average_power * 10 ** ((antenna_gain - feeder_loss) / 10)
    distance: float = (GROUND_REFLECTION * radiated / (4 * pi * density_limit)) ** 0.5
    return distance
