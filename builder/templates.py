"""Where the templates are: beside the package in a checkout, inside it in an installed wheel."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import BytecodeCache

HOME = Path(__file__).parent


@cache
def templates_folder() -> Path:
    """The folder with pages, papers, parts, theme and static files."""
    inside = HOME / "site_templates"
    return inside if inside.is_dir() else HOME.parent / "site_templates"


@cache
def configuration_file() -> Path:
    """The site generator's own settings that come with this project."""
    inside = HOME / "mkdocs.yml"
    return inside if inside.is_file() else HOME.parent / "mkdocs.yml"


@cache
def compiled_templates() -> BytecodeCache | None:
    """Where compiled templates are kept between runs, by their content; None where there is no safe place for them."""
    from jinja2 import FileSystemBytecodeCache

    try:
        return FileSystemBytecodeCache()
    except (OSError, RuntimeError):
        return None
