"""The reference of the rig file, read from the model itself."""

from __future__ import annotations

import ast
import inspect
import sys
import types
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from builder import discover
from builder.quantity import EXAMPLE
from builder.reference.tables import word

from .fields import Measures, Model, reference_of
from .model import Readings, Rig, Session, Station, Taken
from .part import Part
from .stage import STAGE_KINDS
from .thing import value_name


@dataclass(frozen=True)
class FieldLine:
    """One field: its key, what it holds, whether it must be there, and what it means."""

    key: str
    holds: str
    needed: bool
    means: str


@dataclass(frozen=True)
class Section:
    """One group of fields of a file."""

    title: str
    file: str
    says: str
    fields: tuple[FieldLine, ...]


def sections() -> tuple[Section, ...]:
    """Every group of fields, file by file."""
    discover.modules("builder.rig.stages")
    return tuple(_all())


def _all() -> Iterator[Section]:
    yield from _with_groups("station.yaml", Station, "")
    yield from _with_groups("rig.yaml", Rig, "")
    for kind, model in sorted(STAGE_KINDS.items()):
        yield from _with_groups("rig.yaml", model, f"stages: kind {kind}")
    yield from _with_groups("rig.yaml", Part, "parts")
    read: tuple[type[Model], ...] = (Readings, Session, Taken)
    for group in read:
        yield _section("readings.yaml", group, group.__name__.lower())


def _with_groups(file: str, model: type[Model], title: str) -> Iterator[Section]:
    yield _section(file, model, title or file.removesuffix(".yaml"))
    for name, field in model.model_fields.items():
        inner = _model_in(field.annotation)
        if inner and inner is not Part and inner is not Model:
            heading = f"{title}: {field.alias or name}" if title else field.alias or name
            yield from _with_groups(file, inner, heading)


def _section(file: str, model: type[Model], title: str) -> Section:
    says = inspect.cleandoc(model.__doc__ or "").split("\n\n", 1)[0]
    told = _told(model)
    lines = (_line(field.alias or name, field, told.get(name, "")) for name, field in model.model_fields.items())
    return Section(title, file, says, tuple(lines))


def _line(key: str, field: FieldInfo, told: str) -> FieldLine:
    entry = word(value_name((key,)))
    return FieldLine(key, _holds(field), field.is_required(), told or (entry.words if entry else ""))


def _told(model: type[Model]) -> dict[str, str]:
    """What stands in the source below each field; read here, since only this page wants it."""
    kinds = [kind for kind in reversed(model.__mro__) if issubclass(kind, Model)]
    return {name: text for kind in kinds for name, text in _classes_of(kind.__module__).get(kind.__name__, {}).items()}


@cache
def _classes_of(module: str) -> dict[str, dict[str, str]]:
    """Texts below the fields of every class of a module."""
    tree = ast.parse(inspect.getsource(sys.modules[module]))
    return {node.name: dict(_texts(node.body)) for node in tree.body if isinstance(node, ast.ClassDef)}


def _texts(body: list[ast.stmt]) -> Iterator[tuple[str, str]]:
    for line, below in pairwise(body):
        if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name) and isinstance(below, ast.Expr):
            yield line.target.id, inspect.cleandoc(ast.literal_eval(below.value))


def _holds(field: FieldInfo) -> str:
    """What a field holds, in words."""
    refers = reference_of(field)
    if refers and get_origin(field.annotation) is dict:
        return f"a group of entries, each under the name of one of the {refers.what}"
    if refers:
        kind = f" with {refers.dimension}" if refers.dimension else ""
        return f"the name of one of the {refers.what}{kind}"
    measure = _find(field.annotation, Measures) or next((m for m in field.metadata if isinstance(m, Measures)), None)
    if measure and measure.dimension in EXAMPLE:
        return f"a {measure.dimension}, such as {EXAMPLE[measure.dimension]}"
    if measure:
        return f"a {measure.dimension}"
    return _shape(field.annotation)


def _find(annotation: Any, wanted: type) -> Any:
    for part in get_args(annotation):
        found = part if isinstance(part, wanted) else _find(part, wanted)
        if found:
            return found
    return None


def _shape(annotation: Any) -> str:
    if get_origin(annotation) is Literal:
        return "one of: " + ", ".join(map(str, get_args(annotation)))
    origin = get_origin(annotation)
    if origin is tuple:
        return "a list"
    if origin is dict:
        return "a group of entries, each under a name of its own"
    if origin is types.UnionType or origin is not None:
        shapes = [_shape(part) for part in get_args(annotation) if part is not type(None)]
        return shapes[0] if shapes else "text"
    return "a group" if isinstance(annotation, type) and issubclass(annotation, Model) else "text"


def _model_in(annotation: Any) -> type[Model] | None:
    if isinstance(annotation, type) and issubclass(annotation, Model):
        return annotation
    if get_origin(annotation) is None:
        return None
    found = (_model_in(part) for part in get_args(annotation))
    return next((model for model in found if model), None)
