"""The newsletter article as a two-column PDF, as plain text for the editor, and its figures one by one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from builder.account.story import Block, Run
from builder.examine import Examination
from builder.rig.load import Content

from .article import Article, Numbered, article
from .chapters import block_data
from .edition import head
from .paper import DrawingOf, PaperFile, paper
from .typesetting import ACCESSIBLE, typeset

TITLE = "newsletter article"
SAYS = "A story of the rig for a club's newsletter: as a printable sheet, as text with captions, and its figures."
OBEYED = re.compile(r"([\\`*_<\[])")
OPENING = re.compile(r"^(\s*(?:\d+(?=[.)]\s))?)([#+>~.)-])")
AROUND = {"plain": "", "strong": "**", "emphasised": "*"}


@paper("newsletter", title="Newsletter article", says=SAYS)
def newsletter(content: Content, examination: Examination, drawing: DrawingOf) -> Iterator[PaperFile]:
    """The article, its text, and its figures.

    Args:
        content: the station.
        examination: of the rig.
        drawing: gives the rig's drawings.
    """
    made = article(content, examination, drawing)
    name, title = f"{examination.id}-newsletter", f"{examination.rig.name}: {TITLE}"
    data = {"head": head(content, examination, TITLE), **told(made)}
    yield PaperFile(f"{name}.pdf", "application/pdf", typeset("newsletter", data, standards=ACCESSIBLE), title)
    text = markdown(made, examination)
    yield PaperFile(f"{name}.txt", "text/markdown; charset=utf-8", text.encode(), f"{title}, text and captions")
    for row in made.figures:
        yield PaperFile(
            figure_file(examination, row), "image/svg+xml", row.figure.svg.encode(), f"{title}, {row.label}"
        )


def figure_file(examination: Examination, row: Numbered) -> str:
    """Name of the file of a figure."""
    return f"{examination.id}-newsletter-figure-{row.number}.svg"


def told(made: Article) -> dict[str, Any]:
    """The article as the template takes it."""
    return {
        "title": made.title,
        "subject": made.subject,
        "byline": made.byline,
        "lead": _runs(made.lead),
        "blocks": [block_data(block) for block in made.blocks],
        "figures": {
            row.figure.name: {**row.figure.data, "number": row.number, "wide": row.wide} for row in made.figures
        },
        "stages": [
            {"title": row.title, "tubes": row.tubes, "does": row.does, "label": row.label} for row in made.stages
        ],
        "results": [list(row) for row in made.results],
        "condition": made.condition,
        "safety": list(made.safety),
        "parts": [list(row) for row in made.parts],
        "words": made.words,
    }


def _runs(runs: tuple[Run, ...]) -> list[dict[str, str]]:
    return [{"text": run.text, "style": run.style} for run in runs]


def markdown(made: Article, examination: Examination) -> str:
    """The article as text for an editor: title, author, paragraphs, tables as lines, captions at the end.

    Args:
        made: the article.
        examination: of the rig, for the names of files.
    """
    pieces = [
        f"<!-- {made.words} words, {len(made.figures)} figures -->",
        f"# {escaped(made.title)}",
        escaped(made.byline),
        escaped(made.subject),
        run_text(made.lead),
        *story_text(made.blocks),
        *stage_text(made),
        *result_text(made),
        *list_text("Parts that take some finding", [f"{name}: {text}" for name, text in made.parts]),
        *list_text("Safety", list(made.safety)),
        *caption_text(made, examination),
    ]
    return "\n\n".join(pieces) + "\n"


def escaped(text: str) -> str:
    """Text in which nothing is taken for notation."""
    return OPENING.sub(r"\1\\\2", OBEYED.sub(r"\\\1", text))


def run_text(runs: tuple[Run, ...]) -> str:
    """Runs with their emphasis."""
    return "".join(f"{AROUND[run.style]}{escaped(run.text)}{AROUND[run.style]}" for run in runs)


def story_text(blocks: tuple[Block, ...]) -> Iterator[str]:
    """The story, block by block."""
    for block in blocks:
        marks = {"heading": "#" * block.level + " ", "item": "- "}
        yield marks.get(block.kind, "") + run_text(block.runs)


def stage_text(made: Article) -> Iterator[str]:
    """The circuit, stage by stage, with its call-outs."""
    block = next((row for row in made.figures if row.figure.name == "block"), None)
    yield "## Stage by stage"
    if block:
        yield f"{block.label} shows the whole."
    for row in made.stages:
        called = f" ({row.label})" if row.label else ""
        yield f"- {escaped(row.title)}: {escaped(row.says)}{called}"


def result_text(made: Article) -> Iterator[str]:
    """What was measured, a line for each value, and the call-outs of the curves."""
    yield "## Results"
    yield f"Measured {escaped(made.condition)}." if made.condition else "No measurement is recorded."
    for words, reading, meter in made.results:
        yield f"- {escaped(words)}: {escaped(reading)} ({escaped(meter)})"
    for row in made.figures:
        if row.figure.name == "envelope":
            yield f"{row.label} shows the modulated carrier."
        elif row.figure.name.startswith("decay"):
            yield f"{row.label} shows how the charge falls after switch-off."


def list_text(title: str, rows: list[str]) -> Iterator[str]:
    """A heading with a list; nothing where the list is empty."""
    if rows:
        yield f"## {title}"
        yield "\n".join(f"- {escaped(row)}" for row in rows)


def caption_text(made: Article, examination: Examination) -> Iterator[str]:
    """Captions, one for each figure, with the name of its file."""
    yield "## Captions"
    if not made.figures:
        yield "No figures."
    for row in made.figures:
        yield f"{row.label} ({figure_file(examination, row)}): {escaped(row.figure.caption)}"
