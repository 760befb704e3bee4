"""From plain data and a template to a PDF; text is handed over as data and never as notation."""

from __future__ import annotations

import datetime
import json
import re
import unicodedata
from collections.abc import Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Literal

from builder.templates import templates_folder

Standard = Literal["a-3a", "ua-1"]
ARCHIVE: tuple[Standard, ...] = ("a-3a", "ua-1")
"""Standards of what must last: PDF/A-3a and PDF/UA-1."""
ACCESSIBLE: tuple[Standard, ...] = ("ua-1",)
"""Standard of what is read soon: PDF/UA-1."""
UNPRINTABLE = {"Cc", "Co", "Cn", "Cs"}
"""Unicode categories without a picture of their own: control, private use, not assigned, surrogate."""
STAND_IN = "\N{WHITE SQUARE}"
APOSTROPHE = re.compile(r"(?<=\w)'(?=\w)")


def typeset(
    template: str,
    data: Mapping[str, Any],
    files: Mapping[str, bytes] | None = None,
    standards: tuple[Standard, ...] = ARCHIVE,
) -> bytes:
    """Make a PDF.

    Args:
        template: name in the folder of paper templates, without its ending.
        data: plain data; the template reads it as ``data.json``.
        files: pictures and attachments, by the names that the data use for them.
        standards: of the PDF.
    """
    import typst

    sources: Any = {f"{name}.typ": text for name, text in templates().items() if name != template}
    sources["main.typ"] = templates()[template]
    sources["data.json"] = json.dumps(printable(data), ensure_ascii=False).encode()
    sources.update(files or {})
    made = typst.compile(
        sources,
        format="pdf",
        font_paths=_fonts(),
        ignore_system_fonts=True,
        pdf_standards=[*standards],
    )
    return bytes(made)


@cache
def templates() -> dict[str, bytes]:
    """Every template, by its name."""
    found = sorted((templates_folder() / "papers").glob("*.typ"))
    return {path.stem: path.read_bytes() for path in found}


@cache
def _fonts() -> Any:
    """Only fonts that come with the typesetter and with the plotting library, so that every machine sets the same."""
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(font_folder())])


def font_folder() -> Path:
    """Folder with the sans-serif family; found without importing the package that it belongs to."""
    spec = find_spec("matplotlib")
    home = Path(spec.origin).parent if spec and spec.origin else Path()
    return home / "mpl-data" / "fonts" / "ttf"


def printable(item: Any) -> Any:
    """Data with every text fit for print: no character without a picture, curved apostrophes.

    Args:
        item: text, number, list or mapping of them; keys are left as they are.
    """
    if isinstance(item, str):
        return APOSTROPHE.sub("\N{RIGHT SINGLE QUOTATION MARK}", _shown(item))
    if isinstance(item, Mapping):
        return {key: value if key in {"svg", "math"} else printable(value) for key, value in item.items()}
    if isinstance(item, list | tuple):
        return [printable(part) for part in item]
    return item


def _shown(text: str) -> str:
    if text.isascii() and text.isprintable():
        return text
    return "".join(_character(character) for character in text)


def _character(character: str) -> str:
    if character in "\n\t":
        return " "
    return STAND_IN if unicodedata.category(character) in UNPRINTABLE else character


def date_parts(date: datetime.date) -> list[int]:
    """Year, month and day, as templates take them."""
    return [date.year, date.month, date.day]
