"""What a meter's own accuracy does to its reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .units import Ratio, require

if TYPE_CHECKING:
    from typing import Any


def standard_uncertainty(reading: Any, of_reading: Ratio, of_full_scale: Ratio, full_scale: Any) -> Any:
    """Standard uncertainty of one reading, the stated accuracy being the half-width of an even spread.

    Args:
        reading: what the meter showed, in its own unit.
        of_reading: accuracy as a share of the reading.
        of_full_scale: accuracy as a share of full scale.
        full_scale: of the range in use, same unit as the reading; zero where the accuracy does not refer to it.

    Source: gum, 4.3.7
    """
    return (of_reading * abs(reading) + of_full_scale * full_scale) / 3**0.5


def scale_share(reading: Any, full_scale: Any) -> Ratio:
    """Where on its scale a pointer stands.

    Args:
        reading: what the meter shows.
        full_scale: of the range in use, above zero, same unit.

    Raises:
        ValueError: the range is zero.

    Source: cfr-73-1215, 73.1215
    """
    require(full_scale > 0, "the meter has no range")
    share: Ratio = abs(reading) / full_scale
    return share


def decibels(output_power: Any, input_power: Any) -> Any:
    """Ratio of two powers as a level.

    Args:
        output_power: above zero, any unit of power.
        input_power: above zero, same unit.

    Source: elementary, definition
    """
    import numpy as np

    return 10 * np.log10(output_power / input_power)
