"""Things of a rig that have values: how their fields become values, and where other values come from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, ClassVar

from builder.quantity import Quantity
from builder.reference.tables import Facts, Rules

from .fields import Model, RefersTo, references
from .part import Part

Path = tuple[str | int, ...]


@dataclass(frozen=True)
class Formula:
    """A function of physics bound to the value that it gives; inputs carry its own parameter names unless renamed."""

    gives: str
    function: Callable[..., Any]
    inputs: tuple[tuple[str, str], ...] = ()
    part: str = ""
    band: float = 0.0

    def value_of(self, parameter: str) -> str:
        """Name of the value that a parameter takes."""
        return dict(self.inputs).get(parameter, parameter)

    def with_band(self, band: float) -> Formula:
        """The same, with a relative standard uncertainty of the method itself."""
        return replace(self, band=band)


def solution(function: Callable[..., Any], parts: Mapping[str, str], **inputs: str) -> tuple[Formula, ...]:
    """Bind a function whose result is a named tuple; it is worked out once for each set of inputs.

    Args:
        function: a solver.
        parts: field of its result = name of the value that it gives.
        inputs: parameter of the function = name of the value that it takes.
    """
    once = lru_cache(maxsize=256)(function)
    bound = tuple(sorted(inputs.items()))
    return tuple(Formula(gives, once, bound, part) for part, gives in parts.items())


def formula(function: Callable[..., Any], gives: str = "", **inputs: str) -> Formula:
    """Bind a function of physics.

    Args:
        function: of builder.physics.
        gives: name of the resulting value; the function's own name if left out.
        inputs: parameter of the function = name of the value that it takes.
    """
    return Formula(gives or function.__name__, function, tuple(sorted(inputs.items())))


@dataclass(frozen=True)
class Via:
    """A value of another thing, reached through a reference field of this one."""

    path: str
    value: str


@dataclass(frozen=True)
class Total:
    """The sum of one value over every thing whose reference field points here; a gap may count as nothing."""

    value: str
    through: str
    gaps_count_nothing: bool = False


@dataclass(frozen=True)
class Least:
    """The least of one value over every thing of which one of the reference fields points here."""

    value: str
    through: tuple[str, ...]


@dataclass(frozen=True)
class Back:
    """A value of the one thing whose reference field points here, such as the stage that works into a network."""

    value: str
    through: str


@dataclass(frozen=True)
class Rated:
    """A value that stands in a table, with the entry that states it."""

    quantity: Quantity
    facts: Facts
    what: str


@dataclass(frozen=True)
class Told:
    """A value that follows from the whole rig in a way of its own, or what has to be written down for it.

    Args:
        quantity: the value, with its spread as a standard uncertainty; None where it cannot be had.
        note: how it came about.
        needs: what is lacking, as ``thing: words``.
    """

    quantity: Quantity | None
    note: str = ""
    needs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Usual:
    """What is taken where nothing better is recorded, with its standard uncertainty and where it comes from."""

    value: float
    sigma: float
    unit: str
    source: str
    note: str


Origin = Formula | Via | Total | Least | Back | Usual


@dataclass(frozen=True)
class World:
    """What a thing may look at beyond its own fields."""

    parts: Mapping[str, Part]
    rules: Rules | None
    license_class: str
    emission: str
    carrier_frequency: float | None
    carrier: str = ""


class Thing(Model):
    """Something with values of its own: a stage, a supply, a meter, a carrier, the station."""

    collection: ClassVar[str] = ""
    kind_words: ClassVar[str] = ""
    origins_of_kind: ClassVar[Mapping[str, tuple[Origin, ...]]] = {}

    def origins(self) -> Mapping[str, tuple[Origin, ...]]:
        """Where values come from that are neither measured nor written in the file, in order of preference."""
        return self.origins_of_kind

    def rated(self, world: World) -> Mapping[str, Rated]:  # noqa: ARG002 - kinds that have tables use it
        """Values that stand in the reference tables."""
        return {}

    def derived(self, world: World) -> Mapping[str, Quantity]:  # noqa: ARG002 - as above
        """Values that follow from the file by counting or looking up, without arithmetic worth showing."""
        return {}

    def told(self, world: World) -> Mapping[str, Told]:  # noqa: ARG002 - as above
        """Values that follow from the whole rig rather than from formulas."""
        return {}

    def title(self, name: str) -> str:
        """What this thing is called on pages, from its id."""
        return name.replace("_", " ")


def origins(*items: Formula | tuple[str, Via | Total | Least | Back | Usual]) -> dict[str, tuple[Origin, ...]]:
    """Collect formulas and links by the value that they give, keeping their order."""
    table: dict[str, tuple[Origin, ...]] = {}
    for item in items:
        name, origin = (item.gives, item) if isinstance(item, Formula) else item
        table[name] = (*table.get(name, ()), origin)
    return table


def fields_of(model: Model, path: Path = ()) -> Iterator[tuple[Path, Any, RefersTo | None]]:
    """Every field that is set, as its path in the file, its value and what it refers to."""
    refers = references(type(model))
    for name, field in type(model).model_fields.items():
        value = getattr(model, name)
        if value is not None:
            yield from _inside(value, (*path, field.alias or name), refers[name])


def _inside(value: Any, path: Path, refers: RefersTo | None) -> Iterator[tuple[Path, Any, RefersTo | None]]:
    if isinstance(value, Model):
        yield from fields_of(value, path)
    elif isinstance(value, Mapping):
        for key, item in value.items():
            if refers and not isinstance(item, str):
                yield (*path, key), key, refers
            yield from _inside(item, (*path, key), refers)
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from _inside(item, (*path, index), refers)
    else:
        yield path, value, refers


def value_name(path: Path) -> str:
    """Name of the value that a path in the file gives: its words joined."""
    return "_".join(str(part).replace(" ", "_") for part in path)
