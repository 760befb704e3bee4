"""All values of one thing on one carrier, worked out when asked for, each once."""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any

from uncertainties import ufloat

from builder.reference.tables import word
from builder.rig.fields import Model, references
from builder.rig.thing import Back, Formula, Least, Thing, Total, Usual, Via, World

from .value import Missing, Origin, Value

Found = Value | Missing


class Sheets:
    """The sheets of every thing of a rig on one carrier; they ask each other."""

    def __init__(self, things: Mapping[str, Thing], given: Mapping[str, Mapping[str, Value]], world: World) -> None:
        self.things = things
        self.world = world
        self._given = given
        self._sheets: dict[str, Sheet] = {}

    def of(self, path: str) -> Sheet:
        """The sheet of a thing, by its path."""
        if path not in self._sheets:
            self._sheets[path] = Sheet(path, self.things[path], self._given.get(path, {}), self)
        return self._sheets[path]

    def pointing_at(self, path: str, through: str) -> list[str]:
        """Paths of the things whose reference field points at a thing."""
        return [name for name, thing in self.things.items() if points_at(thing, through) == path and name != "carrier"]


class Sheet:
    """Values of one thing, looked for among readings, then in the file, then in tables, then computed."""

    def __init__(self, path: str, thing: Thing, given: Mapping[str, Value], sheets: Sheets) -> None:
        self.path = path
        self.thing = thing
        self._sheets = sheets
        self._known: dict[str, Found] = dict(given)
        self._making: list[str] = []
        self._derived = thing.derived(sheets.world)
        self._rated = thing.rated(sheets.world)
        self._told = thing.told(sheets.world)
        self._origins = thing.origins()

    def __getitem__(self, name: str) -> Found:
        """A value, or why it cannot be had."""
        if name in self._making:
            return Missing(name, self.path)
        if name not in self._known:
            self._making.append(name)
            try:
                found = self._find(name)
            finally:
                self._making.pop()
            if isinstance(found, Missing) and self._making:
                return found
            self._known[name] = found
        return self._known[name]

    def names(self) -> tuple[str, ...]:
        """Every name that this sheet can speak of, given or computed."""
        return tuple(dict.fromkeys((*self._known, *self._derived, *self._told, *self._rated, *self._origins)))

    def all(self) -> Iterator[Found]:
        """Every value that this sheet can speak of."""
        return (self[name] for name in self.names())

    def worked_out(self, name: str) -> Value | None:
        """The value as computed, even where it was also measured or given; None where it cannot be."""
        self._making.append(name)
        try:
            attempts = (self._by(name, origin) for origin in self._origins.get(name, ()))
            return next((found for found in attempts if isinstance(found, Value)), None)
        finally:
            self._making.pop()

    def _find(self, name: str) -> Found:
        if name in self._told:
            return self._followed(name)
        if name in self._derived:
            quantity = self._derived[name]
            return Value(name, quantity.value, quantity.unit, Origin.GIVEN, self.path, note="counted from the rig file")
        if name in self._rated:
            rated = self._rated[name]
            note = f"{rated.what} ({rated.facts.mark})"
            quantity = rated.quantity
            source = rated.facts.source
            return Value(name, quantity.value, quantity.unit, Origin.RATED, self.path, source=source, note=note)
        attempts = [self._by(name, origin) for origin in self._origins.get(name, ())]
        found = next((attempt for attempt in attempts if isinstance(attempt, Value)), None)
        return found or self._lacking(name, attempts)

    def _followed(self, name: str) -> Found:
        """A value that follows from the whole rig."""
        told = self._told[name]
        if told.quantity is None:
            return Missing(name, self.path, told.needs)
        number = uncertain(told.quantity.value, told.quantity.sigma)
        return Value(name, number, told.quantity.unit, Origin.COMPUTED, self.path, note=told.note)

    def _lacking(self, name: str, attempts: list[Found]) -> Missing:
        gaps = [attempt for attempt in attempts if isinstance(attempt, Missing)]
        told = next((gap for gap in gaps if gap.reason), None)
        if told:
            return told
        entry = word(name)
        if entry and name.endswith(FROM_TABLES):
            return Missing(name, self.path, (f"{self._called()}: {entry.words}, which the tables do not have",))
        elsewhere = any(isinstance(origin, Back) for origin in self._origins.get(name, ()))
        if entry and entry.measured and not elsewhere:
            return Missing(name, self.path, (f"{self._called()}: {entry.words}",))
        fewest = min((gap for gap in gaps if gap.needs), key=lambda gap: len(gap.needs), default=None)
        needs = fewest.needs if fewest else (f"{self._called()}: {entry.words if entry else name.replace('_', ' ')}",)
        return Missing(name, self.path, needs)

    def _called(self) -> str:
        return self.path.rsplit(".", 1)[-1].replace("_", " ")

    def _by(self, name: str, origin: Any) -> Found:
        if isinstance(origin, Formula):
            return self._computed(name, origin)
        if isinstance(origin, Via):
            return self._linked(name, origin)
        if isinstance(origin, Usual):
            return self._usual(name, origin)
        if isinstance(origin, Back):
            return self._back(name, origin)
        return self._least(name, origin) if isinstance(origin, Least) else self._total(name, origin)

    def _usual(self, name: str, usual: Usual) -> Found:
        number = uncertain(usual.value, usual.sigma)
        note = f"taken where nothing better is recorded: {usual.note}"
        return Value(name, number, usual.unit, Origin.RATED, self.path, source=usual.source, note=note)

    def _linked(self, name: str, via: Via) -> Found:
        """A value of this or another thing under another name."""
        path = self._target(via.path)
        if path is None:
            return Missing(name, self.path, (f"{self._called()}: {via.path}",))
        found = self[via.value] if path == self.path else self._sheets.of(path)[via.value]
        return self._taken(name, found)

    def _taken(self, name: str, found: Found) -> Found:
        if isinstance(found, Missing):
            return found
        return Value(
            name, found.number, found.unit, found.origin, self.path, found.place, found.source, found.note,
            found.formula, found.inputs,
        )  # fmt: skip

    def _back(self, name: str, back: Back) -> Found:
        """A value of the first thing that points here."""
        paths = self._sheets.pointing_at(self.path, back.through)
        if not paths:
            return Missing(name, self.path, (), f"nothing names {self._called()} as its {back.through}")
        return self._taken(name, self._sheets.of(paths[0])[back.value])

    def _least(self, name: str, least: Least) -> Found:
        """The least that any thing says that points here."""
        paths = [path for through in least.through for path in self._sheets.pointing_at(self.path, through)]
        found = [
            (item.nominal, path, item)
            for path in paths
            if isinstance(item := self._sheets.of(path)[least.value], Value)
        ]
        if not found:
            return Missing(name, self.path, (), f"nothing that hangs on {self._called()} says so")
        _number, path, item = min(found, key=lambda row: row[:2])
        told = self._sheets.of(path).thing.title(path.rsplit(".", 1)[-1])
        return Value(name, item.number, item.unit, item.origin, self.path, source=item.source, note=f"asked by {told}")

    def _target(self, through: str) -> str | None:
        if through == "":
            return self.path
        path = through if through in self._sheets.things else points_at(self.thing, through)
        return path if path in self._sheets.things else None

    def _total(self, name: str, total: Total) -> Found:
        paths = self._sheets.pointing_at(self.path, total.through)
        found = [(path, self._sheets.of(path)[total.value]) for path in paths]
        gaps = [item for path, item in found if isinstance(item, Missing) and total.value in self._wanted(path)]
        if gaps and not total.gaps_count_nothing:
            return Missing(name, self.path, tuple(need for gap in gaps for need in gap.needs))
        inputs = tuple((path, item) for path, item in found if isinstance(item, Value))
        entry = word(name)
        number = sum((item.number for _path, item in inputs), start=0.0)
        note = "sum over " + (", ".join(path.rsplit(".", 1)[-1] for path, _item in inputs) or "nothing")
        return Value(name, number, entry.unit if entry else "", Origin.COMPUTED, self.path, note=note, inputs=inputs)

    def _wanted(self, path: str) -> tuple[str, ...]:
        return self._sheets.of(path).names()

    def _computed(self, name: str, formula: Formula) -> Found:
        found = {parameter: self[formula.value_of(parameter)] for parameter in parameters(formula.function)}
        gaps = [item for item in found.values() if isinstance(item, Missing)]
        if gaps:
            reason = next((gap.reason for gap in gaps if gap.reason), "")
            return Missing(name, self.path, tuple(dict.fromkeys(n for gap in gaps for n in gap.needs)), reason)
        values = {parameter: item for parameter, item in found.items() if isinstance(item, Value)}
        try:
            number = lifted(_of_part(formula), [item.number for item in values.values()])
            number *= uncertain(1.0, formula.band)
        except (ValueError, ZeroDivisionError) as error:
            return Missing(name, self.path, (), f"outside the range of the formula: {error}")
        entry = word(name)
        source = source_of(formula.function)
        return Value(
            name, number, entry.unit if entry else "", Origin.COMPUTED, self.path, source=source, formula=formula,
            inputs=tuple(values.items()),
        )  # fmt: skip


def parameters(function: Callable[..., Any]) -> tuple[str, ...]:
    """Names of a function's parameters, remembered."""
    found = _PARAMETERS.get(function)
    if found is None:
        found = _PARAMETERS[function] = tuple(inspect.signature(function).parameters)
    return found


_PARAMETERS: dict[Callable[..., Any], tuple[str, ...]] = {}


def lifted(function: Callable[..., Any], numbers: list[Any]) -> Any:
    """A function of physics on numbers of which some may be uncertain; correlations between them are kept.

    Args:
        function: plain, on floats.
        numbers: floats or uncertain numbers.

    Raises:
        ValueError: outside the range of the formula.
    """
    plain = [float(getattr(number, "nominal_value", number)) for number in numbers]
    result: Any = float(function(*plain))
    if not math.isfinite(result):
        return result
    for at, number in enumerate(numbers):
        if getattr(number, "std_dev", 0.0):
            result += _slope(function, plain, at) * (number - plain[at])
    return result


def _of_part(formula: Formula) -> Callable[..., Any]:
    if not formula.part:
        return formula.function
    return lambda *numbers: getattr(formula.function(*numbers), formula.part)


def _slope(function: Callable[..., Any], plain: list[float], at: int) -> float:
    """Slope in one direction; at the edge of a formula's range the one side that there is."""
    step = (abs(plain[at]) or 1.0) * SMALL_STEP
    sides = [(shift, _beside(function, plain, at, shift)) for shift in (step, 0.0, -step)]
    known = [(shift, value) for shift, value in sides if value is not None]
    (high, above), (low, below) = known[0], known[-1]
    return (above - below) / (high - low) if high > low else 0.0


def _beside(function: Callable[..., Any], plain: list[float], at: int, shift: float) -> float | None:
    moved = [number + shift if index == at else number for index, number in enumerate(plain)]
    try:
        return float(function(*moved))
    except ValueError:
        return None


FROM_TABLES = ("_rated", "_typical", "_nominal")
"""Endings of names that only tables can give."""
SMALL_STEP = 1e-6
"""Step for slopes, as a share of the number."""


@cache
def source_of(function: Callable[..., Any]) -> str:
    """Key and locator of the source that a function's docstring names."""
    text = inspect.getdoc(function) or ""
    lines = [line.removeprefix("Source:").strip() for line in text.splitlines() if line.startswith("Source:")]
    return lines[0].split(" (")[0].split("; ")[0] if lines else ""


def uncertain(number: float, sigma: float) -> Any:
    """A number with a standard uncertainty, or the plain number where there is none."""
    return ufloat(number, sigma) if sigma else number


def points_at(thing: Thing, through: str) -> str | None:
    """Path of what a reference field points at, such as ``supplies.hv``; None where the field is not set.

    Args:
        thing: that has the field.
        through: path of the field in words, such as ``plate.supply``.
    """
    here: Any = thing
    refers = None
    for part in through.split("."):
        name = part.replace(" ", "_")
        refers = references(type(here)).get(name) if isinstance(here, Model) else None
        here = getattr(here, name, None)
    if not isinstance(here, str):
        return None
    return f"{refers.what}.{here}" if refers else None
