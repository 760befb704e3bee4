"""What a paper is, and the registry of every paper that a rig gets."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

from builder import discover
from builder.drawings.drawing import Medium, plans
from builder.examine import Examination
from builder.rig.load import Content

DrawingOf = Callable[[str], str | None]
"""From the name of a drawing to its SVG for paper; None where the rig has no such drawing."""


@dataclass(frozen=True)
class PaperFile:
    """A finished file.

    Args:
        name: of the file, such as ``heron-hand-off.pdf``.
        media: type of its content, such as ``application/pdf``.
        content: bytes.
        title: in a few words.
    """

    name: str
    media: str
    content: bytes
    title: str


Maker = Callable[[Content, Examination, DrawingOf], Iterator[PaperFile]]


@dataclass(frozen=True)
class Paper:
    """One kind of paper.

    Args:
        name: in file names, after that of the rig.
        title: in a few words.
        says: whom it is for and what it tells, in one sentence.
        make: yields its files.
    """

    name: str
    title: str
    says: str
    make: Maker


PAPERS: dict[str, Paper] = {}


def paper(name: str, *, title: str, says: str) -> Callable[[Maker], Maker]:
    """Make a paper known; the function yields its files.

    Args:
        name: in file names.
        title: in a few words.
        says: whom it is for and what it tells.
    """

    def register(make: Maker) -> Maker:
        PAPERS[name] = Paper(name, title, says, make)
        return make

    return register


def papers(content: Content, examination: Examination, drawing: DrawingOf) -> tuple[PaperFile, ...]:
    """Every file of every paper of one rig.

    Args:
        content: the station that it belongs to.
        examination: of the rig.
        drawing: gives the rig's drawings for paper.
    """
    discover.modules("builder.papers")
    return tuple(file for made in PAPERS.values() for file in made.make(content, examination, drawing))


def drawn(examination: Examination) -> DrawingOf:
    """The drawings of a rig for paper, each made when it is first asked for.

    Args:
        examination: of the rig.
    """
    known = plans(examination)

    @cache
    def drawing(name: str) -> str | None:
        plan = known.get(name)
        return plan.make(Medium.PAPER).svg if plan else None

    return drawing
