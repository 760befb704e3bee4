"""The site generator's side: finished pages go in as generated files. It decides nothing."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader
from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files, InclusionLevel

from builder.problem import BadInput
from builder.site import Output, Workshop, navigation, outputs, prepare
from builder.templates import compiled_templates, templates_folder

FINISHED = re.compile(r'<div class="finished">.*?<!--/finished-->|<(svg|math)\b.*?</\1>', re.DOTALL)
"""Drawings, formulas and arithmetic are finished markup, and nothing that anyone would search for: the generator would
only take them apart and put them together again."""
SOLID = re.compile(r"<(table|dl|section)\b.*?</\1>", re.DOTALL)
"""Tables, lists and findings are markup already too, but are searched."""
SOLID_PLACE = '<div data-solid="{}"></div>'
SOLID_PLACES = re.compile(SOLID_PLACE.format(r"(\d+)"))
UNSEARCHED = re.compile(r"(?:<(?!/?(?:p|code|pre|li|ol|ul|sub|sup)\b)[^<>]+>)+")
"""Tags that the search leaves out of its index; it would take them one at a time, and slowly."""
SEARCHED_PLACE = "<!--solid {}-->{}<!--/solid-->"
SEARCHED_PLACES = re.compile(SEARCHED_PLACE.format(r"(\d+)", ".*?"), re.DOTALL)
PLACE = '<b data-finished="{}"></b>'
PLACES = re.compile(PLACE.format(r"(\d+)"))


class Settings(Config):
    """What mkdocs.yml may say to the plugin."""

    content = config_options.Type(str, default="content")
    cache = config_options.Type(str, default=".cache/rigfolio")


class RigfolioPlugin(BasePlugin[Settings]):
    """Adds the pages of a content folder to the site, in memory."""

    def __init__(self) -> None:
        super().__init__()
        self.workshop: Workshop | None = None
        self.outputs: list[Output] | None = None
        self.serving = False
        self.finished: list[str] = []

    def on_startup(self, *, command: str, dirty: bool) -> None:  # noqa: ARG002 - the generator's own signature
        """Stay the same instance over every rebuild of a preview."""
        self.serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Read the content, unless it was handed over."""
        if self.workshop is None or self.serving:
            self._prepare(config)
        if self.workshop:
            config.site_name = self.workshop.content.station.name
        vars(config.theme)["get_env"] = partial(without_hidden, config.theme.get_env)
        return config

    def _prepare(self, config: MkDocsConfig) -> None:
        home = Path(config.config_file_path or ".").parent
        try:
            self.workshop = prepare(home / self.config.content, home / self.config.cache, lambda _text: None)
            self.outputs = outputs(self.workshop)
        except BadInput as error:
            if not self.serving:
                raise PluginError(f"the content has mistakes:\n{error}") from None
            self.workshop, self.outputs = None, [mistakes_page(error)]

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Add what was made; a page that is already there is a clash, not to be papered over."""
        self.finished = []
        for output in self.outputs or []:
            if files.get_file_from_path(output.path):
                raise PluginError(f"{output.path} is there twice")
            page = isinstance(output.content, str) and output.path.endswith(".md")
            content = self._set_aside(str(output.content)) if page else output.content
            file = File.generated(config, output.path, content=content, inclusion=InclusionLevel.UNDEFINED)
            file.edit_uri = None
            files.append(file)
        config.nav = navigation(self.workshop) if self.workshop else [{"Mistakes": "index.md"}]
        return files

    def on_env(self, env: Any, **_rest: Any) -> Any:
        """Let the generator's own templates stay compiled from one run to the next."""
        env.bytecode_cache = compiled_templates()
        return env

    def _set_aside(self, text: str) -> str:
        """A page with a place for each drawing, formula and table, which are kept until it is their turn."""

        def keep(found: re.Match[str], place: str) -> str:
            self.finished.append(found[0])
            return place.format(len(self.finished) - 1)

        bare = FINISHED.sub(partial(keep, place=PLACE), text)
        return SOLID.sub(partial(keep, place=SOLID_PLACE), bare)

    def on_page_content(self, html: str, **_rest: Any) -> str:
        """Put what can be searched of tables in their places, before the search looks at the page."""
        return SOLID_PLACES.sub(lambda found: searched(found[1], self.finished[int(found[1])]), html)

    def on_post_page(self, output: str, **_rest: Any) -> str:
        """Put everything finished in its place, and give the search box a name for those who cannot see it."""
        output = SEARCHED_PLACES.sub(lambda found: self.finished[int(found[1])], output)
        output = PLACES.sub(lambda found: self.finished[int(found[1])], output)
        return output.replace('role="dialog">', 'role="dialog" aria-label="Search">', 1)

    def on_serve(self, server: Any, *, config: MkDocsConfig, builder: Any) -> Any:  # noqa: ARG002
        """Rebuild when content or templates change."""
        server.watch(str(Path(config.config_file_path or ".").parent / self.config.content))
        server.watch(str(templates_folder()))
        return server


class Visible(FileSystemLoader):
    """Lists no hidden folders: the theme keeps thousands of icons there, and each would be looked at in vain."""

    def list_templates(self) -> list[str]:
        """Names of all files in all folders."""
        homes = [Path(place) for place in self.searchpath]
        tops = ((home, top) for home in homes for top in home.glob("[!.]*"))
        files = ((home, path) for home, top in tops for path in (top, *top.rglob("*")) if path.is_file())
        return sorted({path.relative_to(home).as_posix() for home, path in files})


def without_hidden(make: Callable[[], Environment]) -> Environment:
    """The theme's templates, listed without what is hidden.

    Args:
        make: makes them as the generator would.
    """
    made = make()
    if isinstance(made.loader, FileSystemLoader):
        made.loader = Visible(made.loader.searchpath)
    return made


def searched(number: str, table: str) -> str:
    """What the search is shown of a table or list: an empty comment wherever tags that it leaves out part the text.

    Args:
        number: its place among what is finished.
        table: finished markup.
    """
    return SEARCHED_PLACE.format(number, UNSEARCHED.sub("<!---->", table))


def mistakes_page(error: BadInput) -> Output:
    """What a preview shows in place of the site while the content has mistakes."""
    from builder.pages.page import markdown_text

    lines = "\n".join(f"- {markdown_text(problem)}" for problem in error.problems)
    return Output(
        "index.md", f"# The content has mistakes\n\nMend these and save; the page comes back by itself.\n\n{lines}\n"
    )
