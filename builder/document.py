"""YAML text to plain data, with the position of every key and value."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import yaml

from .problem import Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path as FilePath

Path = tuple[str | int, ...]
DEEPEST = 24
"""Levels of nesting that a file may have; real ones need eight."""
PLAINER = {
    "found character that cannot start any token": (
        "a tab, or a sign that must stand in quotes; indent with blanks only"
    ),
    "mapping values are not allowed in this context": (
        "a second colon in the line; put text that holds a colon in quotes"
    ),
}
"""What the reader of the notation says, in words for people."""
STANDARD = "tag:yaml.org,2002:"
Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class Document:
    """The plain data of one file; every scalar is text. Positions are by path; what could not be taken is spoiled."""

    file: str
    data: Any
    keys: dict[Path, Place]
    values: dict[Path, Place]
    problems: tuple[Problem, ...]
    spoiled: frozenset[Path] = frozenset()

    def place(self, path: Path, *, key: bool = False) -> Place:
        """Where a path stands: its key, its value, or the nearest thing around it that is in the file."""
        first, second = (self.keys, self.values) if key else (self.values, self.keys)
        for length in range(len(path), -1, -1):
            found = first.get(path[:length]) or second.get(path[:length])
            if found:
                return found
        return Place(self.file)


def words(path: Path) -> str:
    """A path as it is shown to people."""
    return ".".join(str(part) for part in path)


@dataclass
class _Walk:
    file: str
    keys: dict[Path, Place] = field(default_factory=dict)
    values: dict[Path, Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    seen: set[int] = field(default_factory=set)
    spoiled: set[Path] = field(default_factory=set)

    def place(self, node: Any) -> Place:
        return Place(self.file, node.start_mark.line + 1, node.start_mark.column + 1)

    def complain(self, node: Any, path: Path, message: str) -> None:
        self.problems.append(Problem(self.place(node), words(path), message))
        self.spoiled.add(path)

    def plain(self, node: Any, path: Path) -> Any:
        """Data of a node; whatever cannot be taken is reported and left out."""
        self.values[path] = self.place(node)
        if id(node) in self.seen:
            self.complain(node, path, "points to another part of the file; write the content out instead")
            return None
        self.seen.add(id(node))
        if len(path) > DEEPEST:
            self.complain(node, path, f"is nested more than {DEEPEST} levels deep; no rig file needs that")
            return None
        if not node.tag.startswith(STANDARD) or "python" in node.tag:
            self.complain(node, path, f'carries the tag "{node.tag}"; tags are not used here, remove it')
            return None
        if isinstance(node, yaml.MappingNode):
            return dict(self.pairs(node, path))
        if isinstance(node, yaml.SequenceNode):
            return [self.plain(child, (*path, index)) for index, child in enumerate(node.value)]
        return str(node.value)

    def pairs(self, node: Any, path: Path) -> Iterator[tuple[str, Any]]:
        """Entries of a mapping; a key that is repeated or not plain text is reported."""
        met: dict[str, Any] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, yaml.ScalarNode):
                self.complain(key_node, path, "has a key that is not plain text")
                continue
            key = str(key_node.value)
            if key in met:
                self.complain(key_node, (*path, key), f"is written twice; the first is in line {met[key]}")
                continue
            met[key] = key_node.start_mark.line + 1
            self.keys[(*path, key)] = self.place(key_node)
            value = self.plain(value_node, (*path, key))
            if value == "" and not value_node.style:
                self.complain(
                    key_node,
                    (*path, key),
                    "has no value; write one or remove it; if it belongs to the text before it, put that in quotes",
                )
                continue
            yield key, value


def parse(text: str, file: str) -> Document:
    """Read YAML text; mistakes of the notation are among the document's problems.

    Args:
        text: of the file.
        file: name under which it is reported.
    """
    walk = _Walk(file)
    try:
        node = yaml.compose(text, Loader=Loader)
        data = {} if node is None else walk.plain(node, ())
    except yaml.MarkedYAMLError as error:
        return Document(file, {}, {}, {}, (_syntax(error, file),))
    except (yaml.YAMLError, RecursionError) as error:
        reason = str(error).split("\n", 1)[0]
        return Document(file, {}, {}, {}, (Problem(Place(file), "", f"cannot be read as YAML: {reason}"),))
    return Document(file, data, walk.keys, walk.values, tuple(walk.problems), frozenset(walk.spoiled))


def read(path: FilePath, file: str) -> Document:
    """Read one YAML file; a file that cannot be read has that as its only problem.

    Args:
        path: of the file.
        file: name under which it is reported.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return Document(file, {}, {}, {}, (Problem(Place(file), "", "is not UTF-8 text; save it as UTF-8"),))
    except OSError as error:
        return Document(file, {}, {}, {}, (Problem(Place(file), "", f"cannot be read: {error.strerror}"),))
    return parse(text, file)


def _syntax(error: yaml.MarkedYAMLError, file: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file)
    reason = error.problem or error.context or "the notation is broken"
    reason = PLAINER.get(reason, reason)
    return Problem(
        place, "", f"is not valid YAML here: {reason}; check indentation, colons and quotes around this line"
    )
