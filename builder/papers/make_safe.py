"""The make-safe card: one sheet to hang beside the rig."""

from __future__ import annotations

from collections.abc import Iterator

from builder.account import safety
from builder.examine import Examination
from builder.rig.load import Content

from . import chapters
from .edition import head
from .paper import DrawingOf, PaperFile, paper
from .typesetting import ACCESSIBLE, typeset

TITLE = "make-safe card"
SAYS = "One sheet in large type: switch off, wait, prove dead, ground, what stays live, whom to call."


@paper("make-safe", title="Make-safe card", says=SAYS)
def make_safe(content: Content, examination: Examination, drawing: DrawingOf) -> Iterator[PaperFile]:  # noqa: ARG001 - every paper is offered the drawings
    """The card.

    Args:
        content: the station.
        examination: of the rig.
        drawing: not used; the card has none.
    """
    data = {
        "head": head(content, examination, TITLE),
        "highest": safety.highest_voltage(examination),
        "charges": chapters.charges(examination),
        **chapters.make_safe(content, examination),
    }
    made = typeset("make-safe", data, standards=ACCESSIBLE)
    yield PaperFile(f"{examination.id}-make-safe.pdf", "application/pdf", made, f"{examination.rig.name}: {TITLE}")
