"""Typed loading of every table; a value without source, or without a mark of read or recalled, is refused."""

from __future__ import annotations

import datetime
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, field_validator

from builder.document import read
from builder.problem import BadInput, Place, Problem
from builder.quantity import Quantity, parse

HOME = Path(__file__).parent
Mark = Literal["read", "from memory", "computed here", "invented"]


class Entry(BaseModel):
    """Something in a table: frozen, nothing unknown in it, keys written with spaces."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", arbitrary_types_allowed=True, alias_generator=lambda name: name.replace("_", " ")
    )


class Source(Entry):
    """A publication, or the statement that there is none."""

    reference: str
    kind: str
    mark: Mark


class Facts(Entry):
    """Named values that share one source and one mark; quantities stay text until they are asked for."""

    model_config = ConfigDict(extra="allow")
    source: str
    mark: Mark

    @field_validator("source")
    @classmethod
    def _known(cls, key: str) -> str:
        if key not in sources():
            raise ValueError(f'"{key}" is not in sources.yaml')
        return key

    def text(self, name: str) -> str | None:
        """A value as it stands in the table, by its words; None where the table does not have it."""
        extra = self.model_extra or {}
        found = extra.get(name)
        return None if found is None else str(found)

    def quantity(self, name: str, dimension: str) -> Quantity | None:
        """A value of the table as a quantity, by its words; None where the table does not have it."""
        found = self.text(name)
        return None if found is None else parse(found, dimension)


class Rating(Facts):
    """Largest values that the maker allows in one service."""

    service: str
    system: str
    condition: str = ""


class Column(Facts):
    """One published column of typical operation."""

    id: str
    service: str
    system: str
    tubes: int = 1

    @field_validator("tubes", mode="before")
    @classmethod
    def _whole(cls, text: str) -> int:
        return int(text)

    def distance(self, plate_voltage: float) -> float:
        """How far the column's plate voltage is from another one, volt."""
        own = self.quantity("plate voltage", "voltage")
        return abs(own.value - plate_voltage) if own else float("inf")


class Tube(Entry):
    """A tube or rectifier type."""

    type: str
    kind: str
    electrodes: tuple[str, ...]
    data: Facts
    also: tuple[str, ...] = ()
    units: int = 1
    ratings: tuple[Rating, ...] = ()
    typical: tuple[Column, ...] = ()
    confirmed: tuple[dict[str, Any], ...] = ()
    notes: tuple[str, ...] = ()
    own: bool = False

    @field_validator("units", mode="before")
    @classmethod
    def _whole(cls, text: str | int) -> int:
        return int(text)

    def rating(self, service: str, system: str | None, condition: str | None = None) -> Rating | None:
        """Maximum ratings for a service; without a system the most cautious one, which is listed first.

        Args:
            service: in the words of the table.
            system: rating system, or None.
            condition: words that must be in the condition of the ratings, or None.
        """
        rows = [row for row in self.ratings if row.service == service]
        if not rows and service.endswith("audio"):
            rows = [row for row in self.ratings if row.service == "audio"]
        rows = [row for row in rows if system in (None, row.system)]
        fitting = [row for row in rows if condition and condition in row.condition]
        return next(iter(fitting or rows), None)

    def column(self, service: str, plate_voltage: float | None = None) -> Column | None:
        """The published column for a service whose plate voltage is nearest; the first where none is asked for.

        Args:
            service: in the words of the table.
            plate_voltage: in use, volt.
        """
        rows = [row for row in self.typical if row.service == service]
        if plate_voltage is None:
            return rows[0] if rows else None
        return min(rows, key=lambda row: row.distance(plate_voltage), default=None)


def _known_source(key: str) -> str:
    if key not in sources():
        raise ValueError(f'"{key}" is not in sources.yaml')
    return key


SourceKey = Annotated[str, AfterValidator(_known_source)]


SERVICES = (
    "class C telegraphy", "class C plate-modulated", "linear", "class A audio", "class AB audio", "class AB1 audio",
    "class AB2 audio", "class B audio", "audio", "frequency doubler",
)  # fmt: skip
"""Words for the services of tubes in stages."""
SYSTEMS = ("CCS", "ICAS", "absolute", "design-center", "design-maximum", "typical", "handbook")
"""Words for the systems of ratings."""


class PowerLimit(Entry):
    """Largest power, by band and class."""

    classes: tuple[str, ...]
    limit: str
    paragraph: str
    source: SourceKey
    mark: Mark
    from_: str | None = Field(None, alias="from")
    to: str | None = None
    note: str = ""

    def covers(self, frequency: float, license_class: str) -> bool:
        """Whether the row speaks of a frequency (hertz) and a class of licence."""
        inside = self.from_ is None or self.to is None or _hertz(self.from_) <= frequency <= _hertz(self.to)
        return inside and bool({"all", license_class} & set(self.classes))

    @property
    def watts(self) -> float:
        """The limit, watt."""
        return parse(self.limit, "power").value


class Segment(Entry):
    """A piece of a band open to classes of licence and kinds of emission."""

    band: str
    from_: str = Field(alias="from")
    to: str
    classes: tuple[str, ...]
    emissions: tuple[str, ...]
    paragraph: str
    source: SourceKey
    mark: Mark
    bandwidth: str | None = None
    note: str = ""

    @property
    def edges(self) -> tuple[float, float]:
        """Lower and upper edge, hertz."""
        return _hertz(self.from_), _hertz(self.to)


class Power(Entry):
    """How a rule table defines power."""

    measure: str
    source: SourceKey
    paragraph: str
    mark: Mark


class Rules(Entry):
    """One country's rules, as far as they are needed, with their date."""

    id: str
    country: str
    date: datetime.date
    source: SourceKey
    caution: str
    power: Power
    limits: tuple[PowerLimit, ...]
    segments: tuple[Segment, ...]
    spurious: tuple[dict[str, Any], ...] = ()
    exposure: dict[str, Any] = {}

    def power_limit(self, frequency: float, license_class: str) -> PowerLimit | None:
        """The row that limits power at a frequency (hertz): the lowest of those that speak of it."""
        rows = [row for row in self.limits if row.covers(frequency, license_class)]
        return min(rows, key=lambda row: row.watts, default=None)

    def segment(self, frequency: float, license_class: str, emission: str) -> Segment | None:
        """The segment that a carrier (hertz) stands in."""
        for row in self.segments:
            low, high = row.edges
            fits = license_class in row.classes and emission in row.emissions
            if fits and low <= frequency <= high:
                return row
        return None


class Limit(Facts):
    """One named limit of the safety table."""

    name: str
    value: str
    measures: str

    @property
    def amount(self) -> Quantity:
        """The limit as a quantity."""
        return parse(self.value, self.measures)


class Word(Entry):
    """One entry of the vocabulary: a value that can be given, measured or worked out."""

    symbol: str
    unit: str
    words: str
    measured: str = ""
    caution: str = ""
    shown: str = ""


def _hertz(text: str) -> float:
    return parse(text, "frequency").value


def _load(path: Path, model: Any) -> Any:
    document = read(path, path.name)
    if document.problems:
        raise BadInput(document.problems)
    try:
        return model(document.data)
    except ValidationError as error:
        found = [
            Problem(document.place(tuple(row["loc"])), ".".join(map(str, row["loc"])), row["msg"])
            for row in error.errors()
        ]
        raise BadInput(found) from None


@cache
def sources() -> dict[str, Source]:
    """Every publication, by its key."""
    table: dict[str, Source] = _load(
        HOME / "sources.yaml", lambda data: {key: Source.model_validate(row) for key, row in data.items()}
    )
    return table


@cache
def vocabulary() -> dict[str, Word]:
    """Every value name, with symbol, unit and words."""
    table: dict[str, Word] = _load(
        HOME / "vocabulary.yaml", lambda data: {key: Word.model_validate(row) for key, row in data.items()}
    )
    return table


SUFFIXES = {
    "_per_tube": ("{words} of each tube", "1"),
    "_voltage_rating": ("voltage that the {words} is made for", "max"),
    "_power_rating": ("power that the {words} is made for", "max"),
    "_current_rating": ("current that the {words} is made for", "max"),
    "_rated": ("largest {words} allowed", "max"),
    "_typical": ("{words} in the published column", "typ"),
    "_nominal": ("nominal {words}", "nom"),
}
"""Endings that make a value of another one: words of the whole, and the index that its symbol gets."""
RATING_UNITS = {"_voltage_rating": "V", "_power_rating": "W", "_current_rating": "A"}


@cache
def word(name: str) -> Word | None:
    """Symbol, unit and words of a value: from the vocabulary, or made from it by a known ending.

    Args:
        name: of the value.
    """
    found = vocabulary().get(name)
    if found:
        return found
    for suffix, (pattern, index) in SUFFIXES.items():
        stem = word(name.removesuffix(suffix)) if name.endswith(suffix) else None
        if stem:
            unit = RATING_UNITS.get(suffix, stem.unit)
            return Word(
                symbol=_with_index(stem.symbol, index), unit=unit, words=pattern.format(words=stem.words),
                measured=stem.measured, shown=stem.shown,
            )  # fmt: skip
    return None


def _with_index(symbol: str, index: str) -> str:
    stem, _, old = symbol.partition("_")
    return f"{stem}_{old},{index}" if old else f"{stem}_{index}"


@cache
def tube_types(folders: tuple[Path, ...] = (HOME / "tubes",)) -> dict[str, Path]:
    """Every type in the given folders with the file that describes it; a later folder wins."""
    return {path.stem: path for folder in folders for path in sorted(folder.glob("*.yaml"))}


@cache
def tube_file(path: Path) -> Tube:
    """One tube type, from its file.

    Raises:
        BadInput: the entry is incomplete, or a value lacks source or mark.
    """
    tube: Tube = _load(path, Tube.model_validate)
    return tube


@cache
def rule_files(folders: tuple[Path, ...] = (HOME / "rules",)) -> dict[str, Path]:
    """Every rule table in the given folders; a later folder wins."""
    return {path.stem: path for folder in folders for path in sorted(folder.glob("*.yaml"))}


@cache
def rule_file(path: Path) -> Rules:
    """One country's rule table, from its file.

    Raises:
        BadInput: the table is incomplete, has no date, or a row has no source.
    """
    rules: Rules = _load(path, Rules.model_validate)
    return rules


@cache
def safety_limits() -> dict[str, Limit]:
    """Limits for stored charge and touch, by name."""
    table: dict[str, Limit] = _load(
        HOME / "safety.yaml", lambda data: {row["name"]: Limit.model_validate(row) for row in data}
    )
    return table


def cite(key: str) -> str:
    """A source for reading: its full reference, marked where it is recalled; text after a comma is a locator.

    Args:
        key: of sources.yaml, optionally followed by a comma and page, table or equation.
    """
    name, _, locator = key.partition(",")
    source = sources()[name.strip()]
    place = f", {locator.strip()}" if locator else ""
    recalled = " (from memory)" if source.mark == "from memory" and source.kind != "practice" else ""
    return f"{source.reference}{place}{recalled}"


def missing_place(path: Path) -> Place:
    """A place at the head of a file, for problems about what is not in it."""
    return Place(str(path))
