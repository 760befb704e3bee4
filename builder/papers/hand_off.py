"""The hand-off document: everything that the next owner needs, with a first page for those who know no radio."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from builder.examine import Examination
from builder.rig.load import Content

from . import chapters, workings
from .edition import head
from .figures import photograph
from .lay import first_page
from .paper import DrawingOf, PaperFile, paper
from .typesetting import typeset

TITLE = "hand-off papers"
COVER = "cover.jpg"
SAYS = "Everything that the next owner needs; its first page is for somebody who knows nothing of radio."


@paper("hand-off", title="Hand-off papers", says=SAYS)
def hand_off(content: Content, examination: Examination, drawing: DrawingOf) -> Iterator[PaperFile]:
    """The hand-off document, with the rig's own files attached.

    Args:
        content: the station.
        examination: of the rig.
        drawing: gives the rig's drawings.
    """
    files = {**attachments(examination), **_cover(examination)}
    data = told(content, examination, drawing)
    data["cover"] = _cover_data(examination)
    data["front"] = next((row["figure"] for row in data["construction"] if row["figure"]), None)
    data["attached"] = sorted(attachments(examination))
    made = typeset("hand-off", data, files)
    yield PaperFile(f"{examination.id}-hand-off.pdf", "application/pdf", made, f"{examination.rig.name}: {TITLE}")


def told(content: Content, examination: Examination, drawing: DrawingOf) -> dict[str, Any]:
    """All that the document tells, chapter by chapter."""
    return {
        "head": head(content, examination, TITLE),
        "first": first_page(content, examination),
        "identification": chapters.identification(content, examination),
        "goes_with": chapters.goes_with(content, examination),
        "hazards": chapters.hazards(examination, drawing),
        "make_safe": chapters.make_safe(content, examination),
        "operation": chapters.operation(examination, drawing),
        "circuit": chapters.circuit(examination, drawing),
        "output_network": chapters.output_network(examination, drawing),
        "performance": chapters.performance(examination, drawing),
        "checks": chapters.checks(examination),
        "repairs": chapters.repairs(content, examination),
        "parts": chapters.parts(examination),
        "tubes": chapters.tubes(examination),
        "construction": chapters.construction(examination, drawing),
        "history": chapters.history(examination),
        "story": chapters.own_words(examination),
        "sources": workings.sources(examination),
        "rests_on": chapters.rests_on(content),
    }


def attachments(examination: Examination) -> dict[str, bytes]:
    """The rig's own files, as they are."""
    home = examination.folder.folder
    return {name: (home / name).read_bytes() for name in ("rig.yaml", "readings.yaml") if (home / name).is_file()}


def _cover(examination: Examination) -> dict[str, bytes]:
    pictures = examination.rig.pictures
    return {COVER: photograph(examination.folder, pictures[0])} if pictures else {}


def _cover_data(examination: Examination) -> dict[str, str] | None:
    pictures = examination.rig.pictures
    return {"file": COVER, "caption": pictures[0].caption, "credit": pictures[0].credit or ""} if pictures else None
