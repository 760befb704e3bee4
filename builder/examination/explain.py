"""The chain from the line in a file to a number, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from builder.problem import nearest

from .notation import Terminal
from .sheet import Sheets
from .value import Missing, Value
from .working import chain, working


def explain(sheets: Sheets, asked: str) -> tuple[list[str], bool]:
    """How a value came about, or why it cannot be had.

    Args:
        sheets: of a rig, on one carrier.
        asked: thing and value, such as ``pa: plate dissipation``.

    Returns:
        Lines of text, and whether the question was understood.
    """
    thing, colon, name = asked.partition(":")
    if not colon:
        return [f'"{asked}" is not understood; write thing and value, such as "pa: plate dissipation"'], False
    path = _path(sheets, thing.strip())
    if path is None:
        short = [known.rsplit(".", 1)[-1] for known in sheets.things if known != "carrier"]
        hint = nearest(thing.strip(), short) or f"; there are: {', '.join(short)}"
        return [f'there is nothing called "{thing.strip()}"{hint}'], False
    sheet = sheets.of(path)
    wanted = name.strip().replace(" ", "_")
    if wanted not in sheet.names():
        known = [item.replace("_", " ") for item in sheet.names()]
        hint = nearest(name.strip(), known) or f"; there are: {', '.join(sorted(known))}"
        return [f'{thing.strip()} has no value called "{name.strip()}"{hint}'], False
    found = sheet[wanted]
    return list(_missing(found) if isinstance(found, Missing) else _lines(found)), True


def _path(sheets: Sheets, thing: str) -> str | None:
    return next((path for path in sheets.things if thing in {path, path.rsplit(".", 1)[-1]}), None)


def _missing(found: Missing) -> Iterator[str]:
    yield f"{found.words}: not shown" + (f", {found.reason}" if found.reason else "")
    for need in found.needs:
        yield f"  needs {need}"


def _lines(value: Value) -> Iterator[str]:
    for item in chain(value):
        yield f"{item.thing.rsplit('.', 1)[-1]}: {item.words} = {item} ({item.origin})"
        if item.place:
            yield f"    {item.place}"
        shown = working(item)
        if shown:
            yield f"    {shown.formula(Terminal())}"
            yield f"    {shown.filled_in(Terminal())}"
        if item.source:
            yield f"    source: {item.citation}"
        if item.note:
            yield f"    {item.note}"
