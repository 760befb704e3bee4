"""A station's own tables: they add to those of the program or take the place of theirs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from builder.document import read
from builder.problem import BadInput, Problem
from builder.quantity import parse

from . import tables
from .tables import named


def use_own_tables(content: Path | None) -> list[Problem]:
    """Let the tables of a content folder count too: tubes/, rules/ and sources.yaml in it.

    Args:
        content: folder; None leaves only the tables of the program.

    Returns:
        What is wrong in them; while the sources are wrong, the tables that name them are not looked at.
    """
    tables.OWN[:] = [content] if content else []
    wrong = _mistakes(tables.sources)
    if wrong:
        return wrong
    readers = [(_own_tube, path) for path in own_files("tubes")] + [(_own_rules, path) for path in own_files("rules")]
    return [problem for reader, path in readers for problem in _mistakes(partial(reader, path))]


def _mistakes(reading: Callable[[], object]) -> list[Problem]:
    try:
        reading()
    except BadInput as error:
        return list(error.problems)
    return []


def own_files(folder: str = "") -> list[Path]:
    """Files of the station's own tables.

    Args:
        folder: tubes or rules; empty for all, with the sources.
    """
    patterns = [f"{folder}/*.yaml"] if folder else ["tubes/*.yaml", "rules/*.yaml", "sources.yaml"]
    return [path for content in tables.OWN for pattern in patterns for path in sorted(content.glob(pattern))]


def _own_tube(path: Path) -> None:
    """Read a tube file of the station and look at every quantity in it, so that none fails later."""
    tube = tables.tube_file(path)
    document = read(path, named(path))
    wrong = [Problem(document.place(place), ".".join(map(str, place)), text) for place, text in _misread(document.data)]
    if tube.type != path.stem:
        text = f'"{tube.type}" stands in {path.name}; a tube file is named after its type'
        wrong.append(Problem(document.place(("type",)), "type", text))
    if wrong:
        raise BadInput(wrong)


def _own_rules(path: Path) -> None:
    rules = tables.rule_file(path)
    if rules.id != path.stem:
        text = f'"{rules.id}" stands in {path.name}; a rule table is named after its id'
        document = read(path, named(path))
        raise BadInput([Problem(document.place(("id",)), "id", text)])


def _misread(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Quantities of a tube file that cannot be read, by their path."""
    blocks: list[tuple[tuple[str | int, ...], Any]] = [((name,), data.get(name)) for name in ("data", "cooling")]
    blocks += [((name, at), row) for name in ("ratings", "typical") for at, row in enumerate(data.get(name, ()))]
    for place, block in blocks:
        for key, text in (block or {}).items():
            wrong = _unread(text, DIMENSIONS[key]) if key in DIMENSIONS else ""
            if wrong:
                yield (*place, key), wrong


def _unread(text: Any, dimension: str) -> str:
    try:
        parse(str(text), dimension)
    except ValueError as error:
        return str(error)
    return ""


DIMENSIONS = {
    "plate voltage": "voltage", "plate current": "current", "plate input": "power", "plate dissipation": "power",
    "screen voltage": "voltage", "screen input": "power", "grid voltage": "voltage", "grid current": "current",
    "grid dissipation": "power", "drive power": "power", "output power": "power", "plate to plate load": "resistance",
    "plate load": "resistance", "heater voltage": "voltage", "heater current": "current",
    "full rating frequency": "frequency", "reduced rating frequency": "frequency", "tube drop": "voltage",
    "warm up": "time", "inverse voltage": "voltage", "average current": "current", "peak current": "current",
    "surge current": "current", "surge time": "time", "idle current": "current", "screen current": "current",
    "peak drive": "voltage", "peak drive pair": "voltage", "idle screen current": "current",
    "input capacitance": "capacitance", "output capacitance": "capacitance", "feedback capacitance": "capacitance",
    "cathode resistor": "resistance", "filament voltage": "voltage", "filament current": "current",
    "plate current each": "current", "air flow": "flow",
}  # fmt: skip
"""Quantities that a tube file may state, with their dimension; other entries are notes or plain numbers."""
