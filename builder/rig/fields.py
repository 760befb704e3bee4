"""Types of the fields of a rig file."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, get_args

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field
from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError

from builder.quantity import EXAMPLE, Quantity, parse


class Model(BaseModel):
    """Part of a rig file: frozen, nothing unknown in it, keys written with spaces."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        arbitrary_types_allowed=True,
        validate_by_name=False,
        alias_generator=lambda name: name.rstrip("_").replace("_", " "),
    )


@dataclass(frozen=True)
class Measures:
    """Says which dimension a field holds, for the reference page."""

    dimension: str
    signed: bool = False


@dataclass(frozen=True)
class RefersTo:
    """Says what a field points at: a collection of the rig file, or a part with a value of a dimension."""

    what: str
    dimension: str = ""


def refers_to(annotation: Any) -> RefersTo | None:
    """What an annotation of a field points at; None where it holds something else."""
    for part in get_args(annotation):
        found = part if isinstance(part, RefersTo) else refers_to(part)
        if found:
            return found
    return None


def reference_of(field: FieldInfo) -> RefersTo | None:
    """What a field of a model points at; None where it holds something else."""
    direct = next((item for item in field.metadata if isinstance(item, RefersTo)), None)
    return direct or refers_to(field.annotation)


@cache
def references(kind: type[BaseModel]) -> Mapping[str, RefersTo | None]:
    """What each field of a model points at."""
    return {name: reference_of(field) for name, field in kind.model_fields.items()}


def refuse(message: str) -> PydanticCustomError:
    """An error whose text reaches the user as it stands."""
    return PydanticCustomError("ours", "{message}", {"message": message})


def _quantity(dimension: str, *, signed: bool) -> Any:
    def check(text: Any) -> Quantity:
        if isinstance(text, Quantity):
            return text
        if not isinstance(text, str):
            raise refuse(f"expected one quantity, such as {EXAMPLE[dimension]}")
        try:
            found = parse(text, dimension)
        except ValueError as error:
            raise refuse(str(error)) from None
        if found.value < 0 and not signed:
            raise refuse(f'"{text}" is negative; expected a positive {dimension}, such as {EXAMPLE[dimension]}')
        return found

    return BeforeValidator(check)


def _quoted(text: Any) -> str:
    return f'"{text}"' if isinstance(text, str) else "a group of entries"


def _number(text: Any) -> Any:
    if isinstance(text, int):
        return text
    if not isinstance(text, str) or not re.fullmatch(r"-?[0-9]{1,9}", text):
        raise refuse(f"{_quoted(text)} is not a whole number")
    return int(text)


def _id(text: str) -> str:
    if not text.replace(" ", "").replace("-", "").isalnum() or text != text.strip().lower():
        raise refuse(f'"{text}" cannot be a name here; use small letters, digits, blanks and hyphens')
    return text


def _positive(number: int) -> int:
    if number < 1:
        raise refuse(f'"{number}" is less than one; there must be at least one')
    return number


def _day(text: Any) -> Any:
    try:
        return datetime.date.fromisoformat(str(text))
    except ValueError:
        raise refuse(f'"{text}" is not a date; write year-month-day, such as 2026-03-14') from None


def _sentence(text: Any) -> Any:
    if not isinstance(text, str):
        raise refuse("expected text, found a group of entries; put it in quotes if it holds a colon")
    return text.strip()


def _truth(text: Any) -> Any:
    if isinstance(text, bool):
        return text
    if not isinstance(text, str) or text not in {"yes", "no"}:
        raise refuse(f"{_quoted(text)} is not yes or no")
    return text == "yes"


Voltage = Annotated[Quantity, Measures("voltage"), _quantity("voltage", signed=False)]
SignedVoltage = Annotated[Quantity, Measures("voltage", signed=True), _quantity("voltage", signed=True)]
Current = Annotated[Quantity, Measures("current"), _quantity("current", signed=False)]
SignedCurrent = Annotated[Quantity, Measures("current", signed=True), _quantity("current", signed=True)]
Power = Annotated[Quantity, Measures("power"), _quantity("power", signed=False)]
Resistance = Annotated[Quantity, Measures("resistance"), _quantity("resistance", signed=False)]
Frequency = Annotated[Quantity, Measures("frequency"), _quantity("frequency", signed=False)]
Capacitance = Annotated[Quantity, Measures("capacitance"), _quantity("capacitance", signed=False)]
Inductance = Annotated[Quantity, Measures("inductance"), _quantity("inductance", signed=False)]
Time = Annotated[Quantity, Measures("time"), _quantity("time", signed=False)]
Length = Annotated[Quantity, Measures("length"), _quantity("length", signed=False)]
Flow = Annotated[Quantity, Measures("flow"), _quantity("flow", signed=False)]
Temperature = Annotated[Quantity, Measures("temperature", signed=True), _quantity("temperature", signed=True)]
Mass = Annotated[Quantity, Measures("mass"), _quantity("mass", signed=False)]
Level = Annotated[Quantity, Measures("level", signed=True), _quantity("level", signed=True)]
Share = Annotated[Quantity, Measures("ratio"), _quantity("ratio", signed=False)]
Whole = Annotated[int, BeforeValidator(_number), Measures("count")]
AtLeastOne = Annotated[int, BeforeValidator(_number), AfterValidator(_positive), Measures("count")]
Ratio = Annotated[Quantity, Measures("count"), _quantity("count", signed=False)]
Energy = Annotated[Quantity, Measures("energy"), _quantity("energy", signed=False)]
ApparentPower = Annotated[Quantity, Measures("apparent power"), _quantity("apparent power", signed=False)]
Day = Annotated[datetime.date, BeforeValidator(_day)]
Text = Annotated[str, BeforeValidator(_sentence), Field(min_length=1)]
YesNo = Annotated[bool, BeforeValidator(_truth)]

Id = Annotated[str, BeforeValidator(_id)]
Resistor = Annotated[str, RefersTo("parts", "resistance")]
Capacitor = Annotated[str, RefersTo("parts", "capacitance")]
Coil = Annotated[str, RefersTo("parts", "inductance")]
AnyPart = Annotated[str, RefersTo("parts")]
SupplyId = Annotated[str, RefersTo("supplies")]
StageId = Annotated[str, RefersTo("stages")]
CarrierId = Annotated[str, RefersTo("carriers")]
TubeType = Annotated[str, RefersTo("tube types")]
ServiceName = Annotated[str, RefersTo("services")]
SystemName = Annotated[str, RefersTo("rating systems")]
MeterId = Annotated[str, RefersTo("instruments")]
Marking = Annotated[str, RefersTo("values")]


def part_value(text: Any) -> Any:
    """A part's value: a resistance, capacitance or inductance, told apart by its unit."""
    if isinstance(text, Quantity) or not isinstance(text, str):
        return text
    for dimension in ("resistance", "capacitance", "inductance"):
        try:
            found = parse(text, dimension)
        except ValueError:
            continue
        if found.value < 0:
            raise refuse(f'"{text}" is negative; a {dimension} cannot be')
        return found
    raise refuse(f'"{text}" is not the value of a part; expected ohms, farads or henries, such as 4.7 kohm')


PartValue = Annotated[Quantity, Measures("resistance, capacitance or inductance"), BeforeValidator(part_value)]
NetworkId = Annotated[str, RefersTo("networks")]
CordId = Annotated[str, RefersTo("cords")]
PanelMeterId = Annotated[str, RefersTo("meters")]
WindingId = Annotated[str, RefersTo("windings")]
