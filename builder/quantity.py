"""Quantities with units: text to SI numbers and back."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache

import quantiphy

NUMBER = re.compile(r"[-+\u2212]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d+)?")
WITH_PREFIX = {
    "voltage": ("V",), "current": ("A",), "power": ("W",), "resistance": ("ohm", "Ω", "\u2126"), "capacitance": ("F",),
    "inductance": ("H",), "frequency": ("Hz",), "time": ("s",), "energy": ("J",), "length": ("m",), "mass": ("g",),
    "apparent power": ("VA",),
}  # fmt: skip
"""Units that take the SI prefixes, for each dimension."""
PLAIN = {
    "time": {"min": 60.0, "h": 3600.0, "d": 86400.0, "s": 1.0},
    "length": {"m": 1.0, "in": 0.0254, "ft": 0.3048, "mil": 25.4e-6, '"': 0.0254},
    "mass": {"lb": 0.45359237, "oz": 0.028349523125},
    "temperature": {"degC": 1.0, "°C": 1.0},
    "level": {"dB": 1.0},
    "ratio": {"%": 0.01, "ppm": 1e-6},
    "temperature rise": {"K": 1.0, "degC": 1.0, "°C": 1.0},
    "flow": {"m3/s": 1.0, "l/s": 1e-3, "m3/min": 1 / 60, "m3/h": 1 / 3600, "cfm": 0.3048**3 / 60},
}  # fmt: skip
"""Units that take no prefix, with their size in SI."""
SCALE = {"mass": 1e-3}
"""SI size of the unit that QuantiPhy sees, where it is not one: it counts grams."""
EXAMPLE = {
    "voltage": "600 V", "current": "200 mA", "power": "75 W", "resistance": "4.7 kohm", "capacitance": "180 pF",
    "inductance": "5.2 uH", "frequency": "7.290 MHz", "time": "30 s", "energy": "10 J", "length": "70 mm",
    "mass": "12 kg", "temperature": "40 degC", "level": "43 dB", "ratio": "95 %", "count": "2",
    "temperature rise": "30 K", "flow": "12 l/s", "apparent power": "800 VA",
}  # fmt: skip
SI_SYMBOL = {
    "voltage": "V", "current": "A", "power": "W", "resistance": "ohm", "capacitance": "F", "inductance": "H",
    "frequency": "Hz", "time": "s", "energy": "J", "length": "m", "mass": "kg", "temperature": "degC", "level": "dB",
    "ratio": "", "count": "", "temperature rise": "K", "flow": "m3/s", "apparent power": "VA",
}  # fmt: skip


@dataclass(frozen=True)
class Quantity:
    """A number in SI with its unit, its standard uncertainty if it was stated, and the text it came from."""

    value: float
    unit: str
    sigma: float = 0.0
    text: str = ""

    def __str__(self) -> str:
        """As it was written."""
        return self.text or show(self.value, self.unit)


def article(dimension: str) -> str:
    """The dimension with its article."""
    return f"an {dimension}" if dimension[0] in "aeiou" else f"a {dimension}"


@cache
def parse(text: str, dimension: str) -> Quantity:
    """A quantity of the dimension that is asked for.

    Args:
        text: such as ``1.8 kV`` or ``200 mA ± 2 %``.
        dimension: a key of EXAMPLE.

    Raises:
        ValueError: with a sentence for the user: what was found, what was expected.
    """
    main, sign, tolerance = re.sub(r"\+/-|\+-", "±", text).partition("±")
    value = _number(main.strip(), text, dimension)
    if sign and not tolerance.strip():
        raise ValueError(f'"{text}" names no tolerance; write one, such as 2 %, or leave the sign out')
    sigma = _spread(tolerance.strip(), value, dimension) if tolerance else 0.0
    if not math.isfinite(sigma):
        raise ValueError(f'"{text}" has a tolerance that is too large to be real; write one such as 2 %')
    return Quantity(value, SI_SYMBOL[dimension], sigma, text)


def _number(text: str, whole: str, dimension: str) -> float:
    expected = f"expected {article(dimension)}, such as {EXAMPLE[dimension]}"
    match = NUMBER.match(text)
    if match is None:
        raise ValueError(f'"{whole}" does not begin with a number; {expected}')
    unit = text[match.end() :].strip()
    if unit.startswith(","):
        raise ValueError(f'"{whole}" has a comma in its number; write a point for decimals and nothing for thousands')
    if unit[:1].isdigit():
        raise ValueError(f'"{whole}" has a gap in its number; write the digits without a break')
    value = _scaled(match.group().replace("\u2212", "-"), unit, dimension)
    if value is None:
        problem = f'"{whole}" has no unit' if not unit else f'"{whole}": "{unit}" is not a unit of {dimension} here'
        raise ValueError(f"{problem}; {expected}{_other_dimension(unit)}")
    if not math.isfinite(value):
        raise ValueError(f'"{whole}" is too large to be a real quantity; {expected}')
    return value


def _scaled(number: str, unit: str, dimension: str) -> float | None:
    if dimension == "count":
        return float(number) if not unit else None
    plain = PLAIN.get(dimension, {})
    if unit in plain:
        return float(number) * plain[unit]
    if not any(unit.endswith(symbol) for symbol in WITH_PREFIX.get(dimension, ())):
        return None
    try:
        found = quantiphy.Quantity(f"{number} {unit}")
    except quantiphy.QuantiPhyError:
        return None
    if found.units not in WITH_PREFIX[dimension]:
        return None
    return float(found.real) * SCALE.get(dimension, 1.0)


def _other_dimension(unit: str) -> str:
    if not unit:
        return ""
    found = [name for name in EXAMPLE if name != "count" and _scaled("1", unit, name) is not None]
    return f" ({unit} measures {found[0]})" if found else ""


def _spread(text: str, value: float, dimension: str) -> float:
    """Standard uncertainty of a stated tolerance, taken as the half-width of an even spread."""
    share = text.endswith("%")
    half = abs(value) * parse(text, "ratio").value if share else _number(text, text, dimension)
    return abs(half) / math.sqrt(3)


FEW = 4
"""Significant digits up to which trailing zeros are dropped; frequencies keep three decimals."""
SHOWN = {"ohm": "Ω", "degC": "°C"}
SCALED = {"%": (100, " %"), "deg": (180 / math.pi, "°"), "ppm": (1e6, " ppm"), "m3/s": (1000, " l/s")}
"""Units shown at one scale always: the factor from SI, and what is written behind the number."""
LARGEST = 1e300
"""Beyond this a number counts as endless; it could not be scaled any more."""


def show(value: float, unit: str, digits: int = 3) -> str:
    """A number with its unit, in engineering notation, rounded for reading.

    Args:
        value: in SI.
        unit: SI symbol; ``%`` asks for a ratio to be shown per hundred, ``ppm`` per million.
        digits: significant digits.
    """
    if math.isnan(value):
        return "unknown"
    if abs(value) > LARGEST:
        return "without end" if unit == "s" else "unlimited"
    if unit in SCALED:
        factor, shown = SCALED[unit]
        return f"{_round(value * factor, digits)}{shown}"
    if unit in {"", "dB", "degC", "K", "kg"} or (unit == "s" and abs(value) >= 1):
        return f"{_round(value, digits)} {SHOWN.get(unit, unit)}".strip()
    exponent = 0 if value == 0 else math.floor(math.log10(abs(float(f"{value:.{digits - 1}e}"))) / 3) * 3
    exponent = max(-12, min(9, exponent))
    prefix = {-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}[exponent]
    if unit == "F" and prefix == "m":
        prefix, exponent = "µ", -6
    if unit == "ohm" and prefix == "m" and abs(value) >= 0.1:
        prefix, exponent = "", 0
    if unit == "J" and prefix not in {"", "k", "M"} and abs(value) >= 0.1:
        prefix, exponent = "", 0
    return f"{_round(value / 10**exponent, digits)} {prefix}{SHOWN.get(unit, unit)}"


def typeset(text: object) -> str:
    """Text as its author wrote it, with the signs of print for micro, ohm and minus."""
    signed = re.sub(r"(?<![\w-])-(?=[\d.])", "\u2212", str(text))
    return re.sub(r"(?<=[\d ])u(?=[AFHSVW]\b)", "µ", re.sub(r"(?<=[\d ])([kMm]?)ohm\b", r"\1Ω", signed))


def _round(value: float, digits: int) -> str:
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(float(f"{value:.{digits - 1}e}")))))
    text = f"{value:.{places}f}"
    if "." in text:
        head, tail = text.split(".")
        tail = tail.rstrip("0").ljust(3 if digits > FEW else 0, "0")
        text = f"{head}.{tail}".rstrip(".")
    return text.replace("-", "\u2212")
