"""Units as annotations, so that they can be tested, printed and put into JSON."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, get_args, get_type_hints


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


def one_by_one(function: Callable[..., Any]) -> Callable[..., Any]:
    """The same function with each named tuple among its parameters replaced by the fields of that tuple, in its place.

    Args:
        function: whose docstring has an entry for every parameter.
    """
    hints = get_type_hints(function, include_extras=True)
    bundles = {name: hint for name, hint in hints.items() if name != "return" and hasattr(hint, "_fields")}
    given: dict[str, Any] = {}
    for name in inspect.signature(function).parameters:
        given |= get_type_hints(bundles[name], include_extras=True) if name in bundles else {name: hints[name]}
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    signature = inspect.Signature([inspect.Parameter(name, kind, annotation=hint) for name, hint in given.items()])

    def apart(*numbers: Any, **named: Any) -> Any:
        found = signature.bind(*numbers, **named).arguments
        packed = {name: bundle(*(found.pop(field) for field in bundle._fields)) for name, bundle in bundles.items()}
        return function(**found, **packed)

    apart.__name__, apart.__qualname__, apart.__module__ = function.__name__, function.__qualname__, function.__module__
    apart.__doc__ = _explained(function.__doc__ or "", bundles)
    apart.__annotations__ = {**given, "return": hints["return"]}
    apart.__signature__ = signature.replace(return_annotation=hints["return"])  # type: ignore[attr-defined]
    apart.__wrapped__ = function  # type: ignore[attr-defined]
    return apart


def _explained(text: str, bundles: dict[str, Any]) -> str:
    """A docstring with the entry of each bundle replaced by those of its fields."""
    lines: list[str] = []
    for line in text.splitlines():
        name = line.strip().partition(":")[0]
        lines += _entries(bundles[name]) if name in bundles else [line]
    return "\n".join(lines)


def _entries(bundle: Any) -> list[str]:
    """Lines of a named tuple's docstring that explain its fields, as far in as those of a function's parameters."""
    told = (line.strip() for line in (bundle.__doc__ or "").splitlines())
    return [f"        {line}" for line in told if line.partition(":")[0] in bundle._fields]
