"""The builder's words as blocks of runs, with values put in; no markup of theirs is ever obeyed as code."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from builder.examine import Examination
from builder.rig.story import Lookup, lookups


@dataclass(frozen=True)
class Run:
    """A piece of text of one style: plain, strong or emphasised."""

    text: str
    style: str = "plain"


@dataclass(frozen=True)
class Block:
    """A heading (level 2 and deeper), a paragraph, or a list item."""

    kind: str
    level: int
    runs: tuple[Run, ...]

    @property
    def text(self) -> str:
        """The words alone."""
        return "".join(run.text for run in self.runs)


def filled_in(examination: Examination) -> str:
    """The story with its values put in, still in its simple notation."""
    text = examination.folder.story
    for lookup in reversed(lookups(text)):
        text = text[: lookup.start] + _escaped(_value(examination, lookup)) + text[lookup.end :]
    return text


def _value(examination: Examination, lookup: Lookup) -> str:
    value = examination.value(_path(examination, lookup.thing), lookup.value)
    return value.plain if value else f"({lookup.value.replace('_', ' ')} not recorded)"


def _path(examination: Examination, thing: str) -> str:
    things = examination.sheets[examination.carrier].things
    return next((path for path in things if path == thing or path.rsplit(".", 1)[-1] == thing), "rig")


def _escaped(text: str) -> str:
    return text.replace("_", r"\_").replace("*", r"\*")


def blocks(examination: Examination) -> tuple[Block, ...]:
    """The story as blocks."""
    return tuple(parse(filled_in(examination)))


def parse(text: str) -> Iterator[Block]:
    """Blocks of a text in simple Markdown: headings, paragraphs, lists, emphasis; everything else is plain text.

    Args:
        text: without values to look up.
    """
    kind, level = "paragraph", 0
    for token in _reader().parse(text):
        if token.type == "heading_open":
            kind, level = "heading", max(2, int(token.tag[1:]))
        elif token.type == "list_item_open":
            kind, level = "item", 0
        elif token.type in {"heading_close", "bullet_list_close", "ordered_list_close"}:
            kind, level = "paragraph", 0
        elif token.type == "inline":
            yield Block(kind, level, tuple(_runs(token.children or [])))
        elif token.type in {"fence", "code_block"}:
            yield Block("paragraph", 0, (Run(token.content),))


@cache
def _reader() -> Any:
    from markdown_it import MarkdownIt

    return MarkdownIt("zero").enable(["heading", "list", "emphasis", "backticks", "escape", "newline"])


def _runs(tokens: list[Any]) -> Iterator[Run]:
    styles: list[str] = []
    for token in tokens:
        if token.type in {"strong_open", "em_open"}:
            styles.append("strong" if token.type == "strong_open" else "emphasised")
        elif token.type in {"strong_close", "em_close"}:
            styles.pop()
        elif token.type in {"softbreak", "hardbreak"}:
            yield Run(" ", styles[-1] if styles else "plain")
        elif token.content:
            yield Run(token.content, styles[-1] if styles else "plain")


def word_count(examination: Examination) -> int:
    """Words of the story."""
    return sum(len(block.text.split()) for block in blocks(examination))
