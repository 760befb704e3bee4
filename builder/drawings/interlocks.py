"""The chain of interlocks: from the line, contact by contact, to the coil or primary that opens with any of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from builder.account.switching import Chain, Link, chains
from builder.examine import Examination

from . import typeface
from .drawing import Drawing, Medium, Plan, drawing
from .markup import Line, circle, polyline, rectangle
from .theme import FINE, SMALL, WIRE, Box, Ink, finished

KIND = "interlock chain"
WIDE = 344.0
"""Of the whole drawing, so that a telephone shows it without scrolling, in pixels."""
WIRE_AT, BRANCH, TEXT_AT = 26.0, 30.0, 74.0
"""Where the wire runs, how far contacts in parallel stand apart, and where text begins."""
STEP, GAP = 46.0, 8.0
"""From contact to contact, and half of the opening in the wire."""
TALL = 14.0


@drawing(KIND)
def interlock_chains(examination: Examination) -> Iterator[Plan]:
    """One for a rig whose interlocks are described."""
    if chains(examination):
        yield Plan("interlocks", KIND, "rig", partial(made, examination))


@dataclass(frozen=True)
class Piece:
    """Something drawn, its text, and where the next thing begins."""

    body: str
    rows: tuple[Line, ...]
    bottom: float


def made(examination: Examination, medium: Medium) -> Drawing:
    """Every chain below the other, then what the chain cannot do."""
    pieces: list[Piece] = []
    y = 0.0
    for each in chains(examination):
        for piece in ladder(each, y):
            pieces.append(piece)
            y = piece.bottom
        y += 26
    pieces.append(notes(examination, y - 12))
    body = "".join(piece.body for piece in pieces) + "".join(str(row) for piece in pieces for row in piece.rows)
    frame = Box(0, 0, WIDE, pieces[-1].bottom)
    title = f"Interlocks of {examination.rig.name}"
    return finished("interlocks", title, told(examination), body, frame, medium)


def told(examination: Examination) -> str:
    """The chains in words."""
    rows = []
    for each in chains(examination):
        names = ", ".join(
            f"{' or '.join(filter(None, link.names)) or 'a circuit'} ({link.what})" for link in each.links
        )
        then = f", which closes {'; '.join(each.closes)}" if each.closes else ""
        rows.append(f"From the line through {names} to {each.feeds}{then}")
    return ". ".join(rows) + "."


def ladder(each: Chain, top: float) -> Iterator[Piece]:
    """Line, contacts, load, return."""
    yield terminal("line", top)
    y = top + TALL
    for link in each.links:
        piece = rung(link, y)
        yield piece
        y = piece.bottom
    piece = load(each, y)
    yield piece
    yield terminal("return", piece.bottom)


def terminal(text: str, top: float) -> Piece:
    """The end of a chain."""
    y = top + TALL / 2
    return Piece(circle((WIRE_AT, y), 3.2), (label(text, y, Ink.FAINT),), top + TALL)


def label(text: str, y: float, ink: Ink = Ink.TEXT, *, bold: bool = False) -> Line:
    """A line of text beside the wire."""
    return Line((TEXT_AT, y + 0.36 * SMALL), text, size=SMALL, ink=ink, bold=bold)


def rung(link: Link, top: float) -> Piece:
    """One place of the series: contacts in parallel, designators, what they are."""
    words = typeface.wrapped(link.what, SMALL, WIDE - TEXT_AT, 3)
    names = " or ".join(name if makes else f"{name}, break" for name, makes in zip(link.names, link.makes, strict=True))
    heads = [names] if any(link.names) else []
    tall = max(STEP, 14 * (len(heads) + len(words)) + 14)
    middle = top + tall / 2
    body = "".join(contact(link, at, top, top + tall) for at in range(len(link.names)))
    if link.guards:
        body = rectangle(Box(0, top + 4, WIDE, top + tall - 4), fill=Ink.SOFT, ink=None, corner=4) + body
    start = middle - 7 * (len(heads) + len(words) - 1)
    rows = [label(name, start, bold=True) for name in heads]
    rows += [label(word, start + 14 * (len(heads) + at)) for at, word in enumerate(words)]
    return Piece(body, tuple(rows), top + tall)


def contact(link: Link, at: int, top: float, bottom: float) -> str:
    """One contact as it stands with the covers shut and everything else off; those in parallel stand beside it."""
    x, middle = WIRE_AT + BRANCH * at, (top + bottom) / 2
    drawn = polyline(((x, top + 6 if at else top), (x, middle - GAP)))
    drawn += polyline(((x, middle + GAP), (x, bottom - 6 if at else bottom)))
    if at:
        drawn += polyline(((x - BRANCH, top + 6), (x, top + 6))) + polyline(((x - BRANCH, bottom - 6), (x, bottom - 6)))
    tip = (x, middle - GAP) if link.closed[at] else (x - 9, middle - GAP + 1)
    return drawn + polyline(((x, middle + GAP), tip), width=2) + dots(x, middle)


def dots(x: float, middle: float) -> str:
    """The two ends of a contact."""
    return "".join(circle((x, y), 2.2, fill=Ink.TEXT, ink=None) for y in (middle - GAP, middle + GAP))


def load(each: Chain, top: float) -> Piece:
    """The coil or the primary at the end of the chain, and what the coil's relay closes."""
    texts = [each.feeds, *(f"closes {row}" for row in each.closes)]
    words = [row for text in texts for row in typeface.wrapped(text, SMALL, WIDE - TEXT_AT, 3)]
    tall = max(STEP, 14 * len(words) + 14)
    middle = top + tall / 2
    box = Box(WIRE_AT - 15, middle - 10, WIRE_AT + 15, middle + 10)
    body = polyline(((WIRE_AT, top), (WIRE_AT, middle - 10))) + polyline(
        ((WIRE_AT, middle + 10), (WIRE_AT, top + tall))
    )
    body += rectangle(box, width=WIRE) + polyline(((box.left, box.bottom), (box.right, box.top)), width=FINE)
    start = middle - 7 * (len(words) - 1)
    return Piece(body, tuple(label(row, start + 14 * at, bold=not at) for at, row in enumerate(words)), top + tall)


NO_PROOF = (
    "Drawn with the covers shut and everything else off. Any open contact takes the plate supplies off the line; it "
    "does not empty their filters. Wait, measure, then use the discharge stick, in that order, every time."
)


def notes(examination: Examination, top: float) -> Piece:
    """What the chain cannot do, and what is earthed."""
    earth = examination.rig.safety.protective_earth
    texts = [NO_PROOF, f"Protective earth: {earth}." if earth else "Protective earth: not recorded."]
    words = [row for text in texts for row in (*typeface.wrapped(text, SMALL, WIDE, 6), "")]
    rows = tuple(Line((0, top + 14 * (at + 1)), row, size=SMALL) for at, row in enumerate(words) if row)
    return Piece(polyline(((0, top), (WIDE, top)), ink=Ink.FAINT, width=FINE), rows, rows[-1].box.bottom)
