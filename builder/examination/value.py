"""Values and the lack of them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from builder.problem import Place
from builder.quantity import show
from builder.reference.tables import cite, word
from builder.rig.thing import Formula


class Origin(StrEnum):
    """How a value came about."""

    MEASURED = "measured"
    GIVEN = "given"
    RATED = "rated"
    COMPUTED = "computed"


@dataclass(frozen=True)
class Value:
    """A number with all that is known of it.

    Args:
        name: of the vocabulary.
        number: SI, a float or an uncertain number.
        unit: SI symbol.
        origin: how it came about.
        thing: what it belongs to, as a path such as ``stages.pa``.
        place: where it stands in a file, for what is given or measured.
        source: where it stands in print, for what is rated.
        note: meter, date and condition, or what a table says about it.
        formula: by which it was computed.
        inputs: the values that went in, by parameter.
    """

    name: str
    number: Any
    unit: str
    origin: Origin
    thing: str
    place: Place | None = None
    source: str = ""
    note: str = ""
    formula: Formula | None = None
    inputs: tuple[tuple[str, Value], ...] = ()

    @property
    def nominal(self) -> float:
        """The number without its uncertainty."""
        return float(getattr(self.number, "nominal_value", self.number))

    @property
    def sigma(self) -> float:
        """Standard uncertainty; zero where none is known."""
        return float(getattr(self.number, "std_dev", 0.0))

    @property
    def words(self) -> str:
        """What it is called."""
        entry = word(self.name)
        return entry.words if entry else self.name.replace("_", " ")

    @property
    def shown_unit(self) -> str:
        """Unit for reading; ratios may be shown per hundred or per million."""
        entry = word(self.name)
        return (entry.shown if entry and entry.shown else self.unit) or ""

    def __str__(self) -> str:
        """Rounded, with its unit and, where it is known, its uncertainty as a band that holds 19 times in 20."""
        return shown_number(self.number, self.shown_unit)

    @property
    def plain(self) -> str:
        """Rounded, with its unit."""
        return shown_number(self.nominal, self.shown_unit)

    @property
    def citation(self) -> str:
        """Source in full; empty where there is none."""
        return cite(self.source) if self.source else ""


CARRIERS = 1e5
"""Hertz from which a frequency is shown as carriers are, with six digits."""
NOTICEABLE = 5e-6
"""Relative uncertainty below which none is printed; it is rounding of the derivative."""
COVERAGE = 1.96
"""Standard uncertainties in a two-sided band that holds 95 per cent; source: gum, annex G (from memory)."""


@dataclass(frozen=True)
class Missing:
    """A value that cannot be had, and the readings or entries that would settle it.

    Args:
        name: of the vocabulary.
        thing: what it belongs to.
        needs: what to measure or write down, as ``thing: words``.
        reason: why, where it is not for want of data.
    """

    name: str
    thing: str
    needs: tuple[str, ...] = ()
    reason: str = ""

    @property
    def words(self) -> str:
        """What it is called."""
        entry = word(self.name)
        return entry.words if entry else self.name.replace("_", " ")


def shown_number(number: Any, unit: str) -> str:
    """A number with its unit and, where it is known and noticeable, the band that holds it 19 times in 20.

    Args:
        number: SI, float or uncertain.
        unit: SI symbol, or ``%`` or ``ppm`` for a ratio shown that way.
    """
    nominal = float(getattr(number, "nominal_value", number))
    sigma = float(getattr(number, "std_dev", 0.0))
    text = show(nominal, unit, 6 if unit == "Hz" and abs(nominal) >= CARRIERS else 3)
    if nominal and sigma > NOTICEABLE * abs(nominal):
        share = COVERAGE * sigma / abs(nominal)
        wide = share > 1 and unit not in {"%", "ppm"}
        return f"{text} ± {show(COVERAGE * sigma, unit, 2) if wide else show(share, '%', 2)}"
    return text
