"""What a drawing is, and the registry of every kind of drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from builder import discover
from builder.examine import Examination


class Medium(StrEnum):
    """Where a drawing is seen: on a page that follows the reader's colour scheme, or on paper."""

    PAGE = "page"
    PAPER = "paper"


@dataclass(frozen=True)
class Drawing:
    """A finished drawing.

    Args:
        name: for files and links, unique within a rig, such as ``block`` or ``fragment-pa``.
        title: in a few words.
        description: what it shows, for those who cannot see it.
        svg: one element, without prolog and without blank lines.
        width: of the drawing in millimetres when printed.
    """

    name: str
    title: str
    description: str
    svg: str
    width: float


@dataclass(frozen=True)
class Plan:
    """A drawing that can be made of a rig; making it is put off until it is needed.

    Args:
        name: of the drawing.
        kind: that made the plan.
        thing: path of what it shows; empty for the whole rig.
        make: draws it for a medium.
    """

    name: str
    kind: str
    thing: str
    make: Callable[[Medium], Drawing]


Planner = Callable[[Examination], Iterator[Plan]]
KINDS: dict[str, Planner] = {}


def drawing(kind: str) -> Callable[[Planner], Planner]:
    """Make a kind of drawing known; the function yields a plan for each drawing that a rig has of it."""

    def register(planner: Planner) -> Planner:
        KINDS[kind] = planner
        return planner

    return register


Fragment = Callable[[Examination, str, Medium], Drawing]
FRAGMENTS: dict[str, Fragment] = {}


def fragment(kind: str) -> Callable[[Fragment], Fragment]:
    """Make the schematic fragment of a kind of stage (or ``supply``) known."""

    def register(function: Fragment) -> Fragment:
        FRAGMENTS[kind] = function
        return function

    return register


def plans(examination: Examination) -> dict[str, Plan]:
    """Every drawing that a rig has, by name."""
    discover.modules("builder.drawings")
    discover.modules("builder.drawings.fragments")
    found: dict[str, Plan] = {}
    for planner in KINDS.values():
        found |= {plan.name: plan for plan in planner(examination)}
    return found
