"""A content folder to a station with its rigs, or to every mistake in it."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from builder import discover
from builder.document import Document, read, words
from builder.problem import BadInput, Place, Problem, nearest
from builder.reference.own_tables import use_own_tables
from builder.reference.tables import rule_files

from .control import Circuit, Control, HandSwitch, Relay
from .heating import HeaterWinding
from .model import Carrier, Meter, Panel, Readings, Rig, Station
from .network import Network
from .part import Part
from .primary import Cord
from .references import Known, check_control, check_readings, check_references, check_story
from .stage import STAGE_KINDS, Stage
from .supply import Supply
from .wording import problem

COLLECTIONS: dict[str, type[BaseModel]] = {
    "supplies": Supply, "windings": HeaterWinding, "networks": Network, "meters": Meter, "carriers": Carrier,
    "parts": Part, "panels": Panel, "cords": Cord,
}  # fmt: skip

ENTRIES_OF_CONTROL: dict[str, type[BaseModel]] = {"switches": HandSwitch, "relays": Relay, "circuits": Circuit}


@dataclass(frozen=True, eq=False)
class RigFolder:
    """One rig with everything that its folder holds."""

    id: str
    folder: Path
    rig: Rig
    readings: Readings
    story: str
    documents: Mapping[str, Document]

    def place(self, file: str, path: tuple[str | int, ...]) -> Place:
        """Where a path stands in one of the folder's files."""
        return self.documents[file].place(path)


@dataclass(frozen=True, eq=False)
class Content:
    """The station and its rigs, in the order of their folders' names."""

    station: Station
    station_document: Document
    rigs: tuple[RigFolder, ...]
    introduction: str = ""

    def rig(self, name: str) -> RigFolder | None:
        """A rig by the name of its folder."""
        return next((rig for rig in self.rigs if rig.id == name), None)


@dataclass
class _Reading:
    """One file on its way to a model; problems are collected, not raised."""

    document: Document
    problems: list[Problem] = field(default_factory=list)

    def model(self, model: type[Any], data: Any, start: tuple[str | int, ...] = ()) -> Any:
        try:
            return model.model_validate(data)
        except ValidationError as error:
            rows = error.errors(include_url=False)
            told = (row for row in rows if not self._spoiled((*start, *row["loc"])))
            self.problems.extend(problem(row, model, self.document, start) for row in told)
            return self._rest(model, data, rows)

    def _spoiled(self, path: tuple[str | int, ...]) -> bool:
        """Whether a mistake of the notation has been reported for a path already."""
        return any(path[:length] in self.document.spoiled for length in range(1, len(path) + 1))

    @staticmethod
    def _rest(model: type[Any], data: Any, rows: list[Any]) -> Any:
        """The model without what is wrong in it, so that mistakes behind it are found too; None if that fails."""
        left = copy.deepcopy(data)
        for row in rows:
            _remove(left, row["loc"])
        try:
            return model.model_validate(left)
        except ValidationError:
            return None


def _remove(data: Any, path: tuple[Any, ...]) -> None:
    """Take the deepest thing on a path that is there out of plain data."""
    for index, part in enumerate(path):
        deeper = path[index + 1] if index + 1 < len(path) else None
        inside = data.get(part) if isinstance(data, dict) else None
        if isinstance(inside, dict) and deeper in inside:
            data = inside
            continue
        if isinstance(data, dict):
            data.pop(part, None)
        return


def load(content: Path) -> Content:
    """Read a whole content folder.

    Args:
        content: folder with station.yaml and rigs/.

    Raises:
        BadInput: with every problem of every file.
    """
    discover.modules("builder.rig.stages")
    problems: list[Problem] = use_own_tables(content)
    station, station_document = _station(content, problems)
    folders = rig_folders(content)
    if not folders:
        problems.append(Problem(Place(name_of(content / "rigs")), "", "holds no rig; expected rigs/<name>/rig.yaml"))
    rigs = [_rig(folder, station_document, problems) for folder in folders]
    introduction = _text(content / "index.md", problems)
    if problems or station is None:
        raise BadInput(problems)
    return Content(station, station_document, tuple(rig for rig in rigs if rig), introduction)


def rig_folders(content: Path) -> list[Path]:
    """Folders of rigs, by name; a link that leads out of the content folder is passed over."""
    home = content.resolve()
    found = sorted((content / "rigs").glob("*/rig.yaml"))
    return [path.parent for path in found if path.resolve().is_relative_to(home)]


def name_of(path: Path) -> str:
    """A path as messages name it: from where the command runs, if it lies below."""
    try:
        return path.resolve().relative_to(Path.cwd()).as_posix()
    except ValueError:
        return path.as_posix()


def _text(path: Path, problems: list[Problem]) -> str:
    if not path.is_file():
        return ""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        problems.append(Problem(Place(name_of(path)), "", "is not UTF-8 text; save it as UTF-8"))
        return ""


def _station(content: Path, problems: list[Problem]) -> tuple[Station | None, Document]:
    path = content / "station.yaml"
    document = read(path, name_of(path))
    reading = _Reading(document, list(document.problems))
    station: Station | None = None if document.problems else reading.model(Station, document.data)
    if station:
        reading.problems.extend(_station_problems(station, document))
    problems.extend(reading.problems)
    return station, document


def _station_problems(station: Station, document: Document) -> Iterator[Problem]:
    try:
        table = station.rule_table
    except BadInput:
        return  # told with the station's own tables
    if table is None:
        known = sorted(rule_files())
        hint = nearest(station.rules, known) or f"; known are: {', '.join(known)}"
        yield Problem(document.place(("rules",)), "rules", f'there is no rule table "{station.rules}"{hint}')
        return
    classes = sorted({name for row in table.segments for name in row.classes})
    if station.license_class not in classes:
        text = f'"{station.license_class}" is not a class of this rule table; known are: {", ".join(classes)}'
        yield Problem(document.place(("license class",)), "license class", text)


def _rig(folder: Path, station: Document, problems: list[Problem]) -> RigFolder | None:
    document = read(folder / "rig.yaml", name_of(folder / "rig.yaml"))
    reading = _Reading(document, list(document.problems))
    data = document.data if isinstance(document.data, dict) else {}
    pieces = _pieces(reading, data)
    control = _control(reading, data)
    whole = {**data, **pieces, **({"control": control} if control else {})}
    rig = reading.model(Rig, whole) if isinstance(document.data, dict) and data else None
    if not data and not document.problems:
        empty = "is empty; expected a rig, see the rig file reference"
        group = "expected a group of entries, each with a name and a colon, indented below"
        reading.problems.append(Problem(document.place(()), "", group if document.data else empty))
    known = Known.of(data, pieces, station.data if isinstance(station.data, dict) else {})
    things = rig if rig is not None else pieces
    reading.problems.extend(check_references(things, known, document))
    reading.problems.extend(check_control(control, document, data["control"]) if control else ())
    problems.extend(reading.problems)
    readings, readings_document = _readings(folder, known, problems)
    story = _text(folder / "story.md", problems)
    problems.extend(check_story(story, known, name_of(folder / "story.md")))
    if rig is None or reading.problems:
        return None
    problems.extend(_picture_problems(rig, folder, document))
    documents = {"rig.yaml": document, "readings.yaml": readings_document}
    return RigFolder(folder.name, folder, rig, readings, story, documents)


def _pieces(reading: _Reading, data: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Entries of the collections, each validated by itself, so that one mistake does not hide the others."""
    found: dict[str, dict[str, Any]] = {}
    for name, model in COLLECTIONS.items():
        if isinstance(data.get(name), dict):
            entries = {key: reading.model(model, row, (name, key)) for key, row in data[name].items()}
            found[name] = {key: entry for key, entry in entries.items() if entry is not None}
    if isinstance(data.get("stages"), dict):
        stages = {key: _stage(reading, key, row) for key, row in data["stages"].items()}
        found["stages"] = {key: stage for key, stage in stages.items() if stage is not None}
    return found


def _control(reading: _Reading, data: dict[str, Any]) -> Control | None:
    """The control section, entry by entry; without what is wrong in it, or empty where nothing of it can be used."""
    if not isinstance(data.get("control"), dict):
        return None
    section = dict(data["control"])
    for name, model in ENTRIES_OF_CONTROL.items():
        if isinstance(section.get(name), dict):
            made = {key: reading.model(model, row, ("control", name, key)) for key, row in section[name].items()}
            section[name] = {key: entry for key, entry in made.items() if entry is not None}
    return reading.model(Control, section, ("control",)) or Control.model_construct()


def _stage(reading: _Reading, key: str, row: Any) -> Stage | None:
    path = ("stages", key)
    if not isinstance(row, dict) or "kind" not in row:
        text = f'"kind" is missing; known kinds are: {", ".join(sorted(STAGE_KINDS))}'
        reading.problems.append(Problem(reading.document.place(path), words(path), text))
        return None
    kind = STAGE_KINDS.get(str(row["kind"]))
    if kind is None:
        hint = nearest(str(row["kind"]), STAGE_KINDS) or f"; known are: {', '.join(sorted(STAGE_KINDS))}"
        text = f'there is no kind of stage called "{row["kind"]}"{hint}'
        reading.problems.append(Problem(reading.document.place((*path, "kind")), words((*path, "kind")), text))
        return None
    stage: Stage | None = reading.model(kind, row, path)
    return stage


def _readings(folder: Path, known: Known, problems: list[Problem]) -> tuple[Readings, Document]:
    path = folder / "readings.yaml"
    if not path.is_file():
        return Readings.model_construct(), Document(name_of(path), {}, {}, {}, ())
    document = read(path, name_of(path))
    reading = _Reading(document, list(document.problems))
    readings: Readings | None = None if document.problems else reading.model(Readings, document.data)
    if readings:
        reading.problems.extend(check_readings(readings, known, document))
    problems.extend(reading.problems)
    return readings or Readings.model_construct(), document


def _picture_problems(rig: Rig, folder: Path, document: Document) -> Iterator[Problem]:
    home = (folder / "photos").resolve()
    for index, picture in enumerate(rig.pictures):
        path = (home / picture.file).resolve()
        where = ("pictures", index, "file")
        if not path.is_relative_to(home) or not path.is_file():
            text = f'"{picture.file}" is not in {name_of(folder / "photos")}'
            yield Problem(document.place(where), words(where), text)
