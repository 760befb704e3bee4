"""What is wrong in a file, where, and what to write instead."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, order=True)
class Place:
    """A spot in a file; line and column count from 1."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        """As editors and compilers write it."""
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake of the user's, as data.

    Args:
        place: where it stands.
        path: what it belongs to inside the file, such as ``stages.pa.plate``; empty for the whole file.
        message: what was found, what was expected and, where it helps, what to write instead.
    """

    place: Place
    path: str
    message: str

    def __str__(self) -> str:
        """One line, ready for a terminal."""
        return f"{self.place}: {self.path}: {self.message}" if self.path else f"{self.place}: {self.message}"


class BadInput(Exception):  # noqa: N818 - it reports the user's input, not an error of the program
    """Raised once, at the end of loading, with every problem found."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


def nearest(word: str, known: Iterable[str]) -> str:
    """A question naming the known word that is closest, or an empty string."""
    found = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f'; did you mean "{found[0]}"?' if found else ""
