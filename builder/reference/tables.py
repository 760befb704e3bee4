"""Typed loading of every table; a value without source, or without a mark of read or recalled, is refused."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    TypeAdapter,
    ValidationError,
    ValidationInfo,
    field_validator,
)

from builder.document import Document, read
from builder.problem import BadInput, Problem
from builder.quantity import Quantity, parse

HOME = Path(__file__).parent
Mark = Literal["read", "from memory", "computed here", "invented"]
GROUP = "expected a group of entries, each with a name and a colon, indented below"


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


def _counted(text: str | int) -> int:
    if not re.fullmatch(r"[1-9][0-9]?", str(text)):
        raise ValueError(f'"{text}" is not a whole number above zero')
    return int(text)


class Column(Facts):
    """One published column of typical operation."""

    id: str
    service: str
    system: str
    tubes: int = 1

    @field_validator("tubes", mode="before")
    @classmethod
    def _whole(cls, text: str | int) -> int:
        return _counted(text)

    def distance(self, plate_voltage: float) -> float:
        """How far the column's plate voltage is from another one, volt."""
        own = self.quantity("plate voltage", "voltage")
        return abs(own.value - plate_voltage) if own else float("inf")


class Socket(Facts):
    """Base of a type: what each pin and each cap is joined to; a joint of several is written with "and"."""

    base: str
    seen_from: str = "below"
    pins: dict[int, str] = {}
    caps: dict[str, str] = {}
    note: str = ""

    @property
    def terminals(self) -> tuple[tuple[str, str], ...]:
        """Pins in their order, then caps, each with what it is joined to."""
        return (*((str(pin), self.pins[pin]) for pin in sorted(self.pins)), *self.caps.items())


BESIDES = frozenset({"not connected", "heater tap", "internal shield", "base sleeve", "shell", "beam plates", "jumper"})
"""What a pin may be joined to that is no electrode."""


def electrodes_of(terminal: str) -> tuple[str, ...]:
    """The electrodes that a pin is joined to, without the number of the unit.

    Args:
        terminal: as a table has it, such as ``cathode and suppressor`` or ``plate 2``.
    """
    parts = (part.strip().rstrip("0123456789").strip() for part in terminal.split(" and "))
    return tuple(part for part in parts if part not in BESIDES)


class Tube(Entry):
    """A tube or rectifier type."""

    type: str
    kind: str
    electrodes: tuple[str, ...]
    data: Facts
    socket: Socket | None = None
    cooling: Facts | None = None
    also: tuple[str, ...] = ()
    units: int = 1
    ratings: tuple[Rating, ...] = ()
    typical: tuple[Column, ...] = ()
    confirmed: tuple[dict[str, Any], ...] = ()
    notes: tuple[str, ...] = ()
    own: bool = False

    @field_validator("socket")
    @classmethod
    def _joined(cls, socket: Socket | None, info: ValidationInfo) -> Socket | None:
        electrodes = set(info.data.get("electrodes", ()))
        if socket is None or not socket.pins:
            return socket
        if sorted(socket.pins) != list(range(1, len(socket.pins) + 1)):
            raise ValueError("pins are numbered from 1 on, none left out; write not connected for a free one")
        met = {part for _name, what in socket.terminals for part in electrodes_of(what)}
        if met - electrodes:
            raise ValueError(f"pins name {', '.join(sorted(met - electrodes))}, which is no electrode of this type")
        if electrodes - met:
            raise ValueError(f"no pin or cap is joined to the {', '.join(sorted(electrodes - met))}")
        return socket

    @field_validator("units", mode="before")
    @classmethod
    def _whole(cls, text: str | int) -> int:
        return _counted(text)

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

    @field_validator("limit")
    @classmethod
    def _watts(cls, text: str) -> str:
        parse(text, "power")
        return text

    @field_validator("from_", "to")
    @classmethod
    def _edges(cls, text: str | None) -> str | None:
        if text is not None:
            parse(text, "frequency")
        return text

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

    @field_validator("from_", "to")
    @classmethod
    def _edges(cls, text: str) -> str:
        parse(text, "frequency")
        return text

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


def _cited(row: dict[str, Any]) -> dict[str, Any]:
    """A row that is kept as it stands must still name its paragraph, source and mark, and its quantities must read."""
    for key in ("paragraph", "source", "mark", *(("reference",) if "attenuation" in row else ())):
        if key not in row:
            raise ValueError(f'"{key}" is missing; it cannot be left out')
    _known_source(row["source"])
    for key, dimension in (
        ("from", "frequency"),
        ("to", "frequency"),
        ("below", "frequency"),
        ("attenuation", "level"),
    ):
        if key in row:
            parse(row[key], dimension)
    return row


def _cited_table(table: dict[str, Any]) -> dict[str, Any]:
    """A table of rows from one frequency to another, each with its density of power."""
    if not table.get("rows"):
        raise ValueError('"rows" is missing; it cannot be left out')
    for row in table["rows"]:
        if not {"from", "to", "power density"} <= set(row):
            raise ValueError("expected from, to and power density in each row")
        _hertz(row["from"])
        _hertz(row["to"])
    return _cited(table)


CitedRow = Annotated[dict[str, Any], AfterValidator(_cited)]
CitedTable = Annotated[dict[str, Any], AfterValidator(_cited_table)]


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
    spurious: tuple[CitedRow, ...] = ()
    exposure: dict[str, CitedTable] = {}
    own: bool = False

    def power_limit(self, frequency: float, license_class: str) -> PowerLimit | None:
        """The row that limits power at a frequency (hertz): the lowest of those that speak of it."""
        rows = [row for row in self.limits if row.covers(frequency, license_class)]
        return min(rows, key=lambda row: row.watts, default=None)

    def spurious_limit(self, frequency: float) -> SpuriousLimit | None:
        """What a transmitter built today keeps to on a carrier (hertz): the first row that speaks of it."""
        for row in self.spurious:
            low, high = _hertz(row.get("from", "0 Hz")), _hertz(row.get("below") or row.get("to") or "0 Hz")
            if "attenuation" in row and low <= frequency < high:
                level = parse(row["attenuation"], "level")
                return SpuriousLimit(level, row["reference"], row["paragraph"], row["source"], row["mark"])
        return None

    def segment(self, frequency: float, license_class: str, emission: str) -> Segment | None:
        """The segment that a carrier (hertz) stands in."""
        for row in self.segments:
            low, high = row.edges
            fits = license_class in row.classes and emission in row.emissions
            if fits and low <= frequency <= high:
                return row
        return None


@dataclass(frozen=True)
class SpuriousLimit:
    """How far spurious emissions must lie below the carrier."""

    level: Quantity
    reference: str
    paragraph: str
    source: str
    mark: str


class Limit(Facts):
    """One named limit of the safety table."""

    name: str
    value: str
    measures: str
    meaning: str

    @property
    def amount(self) -> Quantity:
        """The limit as a quantity."""
        return parse(self.value, self.measures)


class CordRow(Facts):
    """What a flexible cord of one size may carry."""

    size: str
    current: str

    @property
    def amount(self) -> Quantity:
        """Its current as a quantity."""
        return parse(self.current, "current")


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


def named(path: Path) -> str:
    """A file as messages name it: tables of a station from where the command runs, those of the program by name."""
    if not any(path.is_relative_to(folder) for folder in OWN):
        return path.name
    here = Path.cwd()
    return (path.resolve().relative_to(here) if path.resolve().is_relative_to(here) else path).as_posix()


def _load(path: Path, model: Any) -> Any:
    document = read(path, named(path))
    if document.problems:
        raise BadInput(document.problems)
    if not isinstance(document.data, dict | list) or not document.data:
        raise BadInput([Problem(document.place(()), "", "is empty; expected the entries of a table")])
    try:
        return model(document.data)
    except ValidationError as error:
        raise BadInput(_complaint(row, document) for row in error.errors(include_url=False)) from None


REFUSALS = {
    "missing": "is missing; it cannot be left out",
    "extra_forbidden": "is not known here",
    "string_type": "expected text",
    "dict_type": GROUP,
    "model_type": GROUP,
    "model_attributes_type": GROUP,
    "tuple_type": "expected a list: one entry a line, each beginning with a hyphen",
    "int_parsing": "expected a whole number",
    "date_from_datetime_parsing": "is not a date; write year-month-day, such as 2026-03-14",
    "date_parsing": "is not a date; write year-month-day, such as 2026-03-14",
}
"""What is wrong with an entry of a table, in words for people; other kinds of error bring their own."""


def _complaint(row: Any, document: Document) -> Problem:
    """One error of the validator with its position."""
    path = tuple(part for part in row["loc"] if part != "[key]")
    text = REFUSALS.get(row["type"], row["msg"].removeprefix("Value error, "))
    if row["type"] == "literal_error":
        text = f'"{row["input"]}" is not one of the words expected here: {row["ctx"]["expected"]}'.replace("'", '"')
    if row["type"] in {"missing", "extra_forbidden"}:
        text = f'"{path[-1]}" {text}'
    place = document.place(path, key=row["type"] == "extra_forbidden")
    shown = path[:-1] if row["type"] in {"missing", "extra_forbidden"} else path
    return Problem(place, ".".join(map(str, shown)), text)


OWN: list[Path] = []
"""The content folder whose own tables count besides those of the program; set by loading it."""


def _folders(name: str) -> tuple[Path, ...]:
    return (HOME / name, *(folder / name for folder in OWN))


def sources() -> dict[str, Source]:
    """Every publication, by its key."""
    found = (folder / "sources.yaml" for folder in (HOME, *OWN))
    return _sources(tuple((path, path.stat().st_mtime_ns) for path in found if path.is_file()))


@cache
def _sources(files: tuple[tuple[Path, int], ...]) -> dict[str, Source]:
    table: dict[str, Source] = {}
    for path, _changed in files:
        table |= _load(path, TypeAdapter(dict[str, Source]).validate_python)
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


def tube_types(folders: tuple[Path, ...] | None = None) -> dict[str, Path]:
    """Every type in the given folders with the file that describes it; a later folder wins.

    Args:
        folders: None takes the program's and the station's own.
    """
    return _files(_folders("tubes") if folders is None else folders)


def rule_files(folders: tuple[Path, ...] | None = None) -> dict[str, Path]:
    """Every rule table in the given folders; a later folder wins.

    Args:
        folders: None takes the program's and the station's own.
    """
    return _files(_folders("rules") if folders is None else folders)


def _files(folders: tuple[Path, ...]) -> dict[str, Path]:
    return _listed(tuple((folder, folder.stat().st_mtime_ns) for folder in folders if folder.is_dir()))


@cache
def _listed(folders: tuple[tuple[Path, int], ...]) -> dict[str, Path]:
    return {path.stem: path for folder, _changed in folders for path in sorted(folder.glob("*.yaml"))}


def tube_file(path: Path) -> Tube:
    """One tube type, from its file; types from elsewhere than the program's own tables are marked as own.

    Raises:
        BadInput: the entry is incomplete, or a value lacks source or mark.
    """
    return _tube(path, path.stat().st_mtime_ns)


@cache
def _tube(path: Path, _changed: int) -> Tube:
    tube: Tube = _load(path, Tube.model_validate)
    return tube if path.parent == HOME / "tubes" else tube.model_copy(update={"own": True})


def rule_file(path: Path) -> Rules:
    """One country's rule table, from its file.

    Raises:
        BadInput: the table is incomplete, has no date, or a row has no source.
    """
    return _rules(path, path.stat().st_mtime_ns)


@cache
def _rules(path: Path, _changed: int) -> Rules:
    rules: Rules = _load(path, Rules.model_validate)
    return rules if path.parent == HOME / "rules" else rules.model_copy(update={"own": True})


@cache
def safety_limits() -> dict[str, Limit]:
    """Limits for stored charge and touch, by name."""
    table: dict[str, Limit] = _load(
        HOME / "safety.yaml", lambda data: {row["name"]: Limit.model_validate(row) for row in data}
    )
    return table


@cache
def cord_rows() -> tuple[CordRow, ...]:
    """What flexible cords may carry, by size."""
    rows: tuple[CordRow, ...] = _load(
        HOME / "cords.yaml", lambda data: tuple(CordRow.model_validate(row) for row in data)
    )
    return rows


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


def cite_facts(facts: Facts) -> str:
    """The source of a block of a table with the block's own mark, which is not said twice.

    Args:
        facts: the block.
    """
    text, mark = cite(facts.source), f"({facts.mark})"
    return text if text.endswith(mark) else f"{text} {mark}"
