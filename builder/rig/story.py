"""The builder's own words; numbers in them are looked up by name, never typed twice."""

from __future__ import annotations

import re
from dataclasses import dataclass

LOOKUP = re.compile(r"\{([^{}\n]{1,80})\}")


@dataclass(frozen=True)
class Lookup:
    """A place in the story where a value goes: of which thing, under which name, and where it stands."""

    thing: str
    value: str
    start: int
    end: int
    line: int
    column: int
    text: str


def lookups(text: str) -> tuple[Lookup, ...]:
    """Every value that a story asks for.

    Args:
        text: of the story; ``{pa: plate current}`` asks for a value of the thing called pa.
    """
    return tuple(_lookup(match, text) for match in LOOKUP.finditer(text))


def _lookup(match: re.Match[str], text: str) -> Lookup:
    thing, _, value = match[1].partition(":")
    before = text[: match.start()]
    line = before.count("\n") + 1
    column = match.start() - (before.rfind("\n") + 1) + 1
    name = value.strip().replace(" ", "_")
    return Lookup(thing.strip(), name, match.start(), match.end(), line, column, match[0])
