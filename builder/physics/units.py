"""Units as annotations, so that they can be tested, printed and put into JSON."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, get_args


@dataclass(frozen=True)
class Unit:
    """An SI unit and the kind of quantity that it measures."""

    symbol: str
    dimension: str


Volt = Annotated[float, Unit("V", "voltage")]
Ampere = Annotated[float, Unit("A", "current")]
Watt = Annotated[float, Unit("W", "power")]
Ohm = Annotated[float, Unit("ohm", "resistance")]
Farad = Annotated[float, Unit("F", "capacitance")]
Henry = Annotated[float, Unit("H", "inductance")]
Hertz = Annotated[float, Unit("Hz", "frequency")]
Second = Annotated[float, Unit("s", "time")]
Joule = Annotated[float, Unit("J", "energy")]
Metre = Annotated[float, Unit("m", "length")]
Decibel = Annotated[float, Unit("dB", "level")]
Celsius = Annotated[float, Unit("degC", "temperature")]
Kelvin = Annotated[float, Unit("K", "temperature rise")]
CubicMetrePerSecond = Annotated[float, Unit("m3/s", "flow")]
Kilogram = Annotated[float, Unit("kg", "mass")]
Ratio = Annotated[float, Unit("", "ratio")]
VoltAmpere = Annotated[float, Unit("VA", "apparent power")]
Count = Annotated[float, Unit("", "count")]

ALL: tuple[Any, ...] = (
    Volt, Ampere, Watt, Ohm, Farad, Henry, Hertz, Second, Joule, Metre, Decibel, Celsius, Kilogram, Ratio, Count,
    Kelvin, CubicMetrePerSecond, VoltAmpere,
)  # fmt: skip


def unit_of(annotation: Any) -> Unit | None:
    """The unit that an annotation carries; None where it carries none."""
    return next((item for item in get_args(annotation) if isinstance(item, Unit)), None)


def require(condition: Any, message: str) -> None:
    """Refuse numbers outside a formula's range.

    Args:
        condition: a truth, or an array of them that must all hold.
        message: what must hold, in words that follow "outside the range of the formula:".

    Raises:
        ValueError: the condition does not hold.
    """
    holds = condition.all() if hasattr(condition, "all") else condition
    if not holds:
        raise ValueError(message)
