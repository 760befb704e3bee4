"""The validator's errors in the words of this project."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, get_args

from pydantic import BaseModel

from builder.document import Document, Path, words
from builder.problem import Problem, nearest

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

Words = Callable[[Any, type[BaseModel]], str]
OF_THE_KEY = "[key]"
"""What the validator adds to the path of an entry whose name, not whose content, is wrong."""


def _unknown(error: Any, model: type[BaseModel]) -> str:
    key = str(error["loc"][-1])
    known = known_keys(model, error["loc"][:-1])
    hint = nearest(key, known)
    return f'"{key}" is not known here{hint or "; known are: " + ", ".join(known)}'


def _missing(error: Any, model: type[BaseModel]) -> str:  # noqa: ARG001 - every wording takes the same
    return f'"{error["loc"][-1]}" is missing; it cannot be left out'


def _choice(error: Any, model: type[BaseModel]) -> str:  # noqa: ARG001
    found, expected = str(error["input"]), error["ctx"]["expected"].replace("'", '"')
    options = [part.strip('", ') for part in expected.replace(" or ", ",").split(",")]
    return f'"{found}" is not one of the words expected here: {", ".join(options)}{nearest(found, options)}'


def _ours(error: Any, model: type[BaseModel]) -> str:  # noqa: ARG001
    return str(error["ctx"]["message"])


def _other(error: Any, model: type[BaseModel]) -> str:  # noqa: ARG001
    return f"is not understood: {str(error['msg']).lower()}"


def _fixed(text: str) -> Words:
    return lambda _error, _model: text


WORDING: dict[str, Words] = {
    "extra_forbidden": _unknown,
    "missing": _missing,
    "literal_error": _choice,
    "ours": _ours,
    "model_type": _fixed("expected a group of entries, each with a name and a colon, indented below"),
    "dict_type": _fixed("expected a group of entries, each with a name and a colon, indented below"),
    "tuple_type": _fixed("expected a list: one entry a line, each beginning with a hyphen"),
    "string_type": _fixed("expected text"),
    "string_too_short": _fixed("is empty; write something or remove the line"),
    "too_short": _fixed("is empty; write something or remove the line"),
    "is_instance_of": _fixed("expected a group of entries, each with a name and a colon, indented below"),
}
"""One row for each kind of error that the validator can report for our models."""


def known_keys(model: type[BaseModel], path: tuple[int | str, ...]) -> list[str]:
    """The keys that may stand at a path below a model, as they are written in a file."""
    here: type[BaseModel] | None = model
    for part in path:
        field = next((f for n, f in here.model_fields.items() if part in (f.alias, n)), None) if here else None
        here = _model_in(field.annotation) if field else here
    return [field.alias or name for name, field in here.model_fields.items()] if here else []


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_model_in(part) for part in get_args(annotation))
    return next((model for model in found if model), None)


def problem(error: ErrorDetails, model: type[BaseModel], document: Document, start: Path) -> Problem:
    """One error of the validator as a problem with its position.

    Args:
        error: as the validator reports it.
        model: that was asked for.
        document: the file.
        start: path of the piece of the file that was validated.
    """
    kind = error["type"]
    wording = WORDING.get(kind, _other)
    path = tuple(part for part in (*start, *error["loc"]) if part != OF_THE_KEY)
    place = document.place(path, key=kind == "extra_forbidden" or OF_THE_KEY in error["loc"])
    shown = path[:-1] if kind in {"missing", "extra_forbidden"} else path
    return Problem(place, words(shown), wording(error, model))
