"""What a page is, the registry of pages, and how templates are filled in."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from builder import discover
from builder.account.safety import MARK
from builder.account.story import Run
from builder.drawings.drawing import Drawing
from builder.examination.judge import SHAPE
from builder.examination.notation import Latex, mathml
from builder.examination.value import Value
from builder.examination.working import working
from builder.examine import Examination
from builder.quantity import typeset
from builder.reference.tables import cite, cite_facts
from builder.rig.load import Content
from builder.templates import compiled_templates, templates_folder

SPECIAL = re.compile(r"[\\`*_{}\[\]()#+!|<>&\"'~^-]")


@dataclass(frozen=True)
class Tools:
    """What a page may ask for besides the examination.

    Args:
        content: the whole station.
        examinations: of every rig.
        figure: a drawing of a rig as it stands in a page; empty where there is none of that name.
        papers: files of a rig's papers, as name, title and what it is for.
        station_figure: the diagram of the station.
    """

    content: Content
    examinations: tuple[Examination, ...]
    figure: Callable[[Examination, str], Markup]
    papers: Callable[[Examination], tuple[Any, ...]]
    station_figure: Callable[[], Markup]


@dataclass(frozen=True)
class Page:
    """A finished page in Markdown."""

    path: str
    title: str
    text: str
    made_from: str


RigContext = Callable[[Examination, Tools], Mapping[str, Any]]
StationContext = Callable[[Tools], Mapping[str, Any]]


@dataclass(frozen=True)
class Kind:
    """A kind of page: of each rig, or of the station."""

    name: str
    title: str
    order: int
    group: str
    context: Callable[..., Mapping[str, Any]]
    made_from: str

    @property
    def template(self) -> str:
        """File of its template."""
        folder = f"{self.group}-" if self.group not in {"", "rig"} else ""
        return f"pages/{folder}{self.name}.md.j2"


RIG_PAGES: dict[str, Kind] = {}
STATION_PAGES: dict[str, Kind] = {}


def rig_page(name: str, title: str, order: int, made_from: str = "rig.yaml") -> Callable[[RigContext], RigContext]:
    """Make a page of every rig known."""

    def register(context: RigContext) -> RigContext:
        RIG_PAGES[name] = Kind(name, title, order, "rig", context, made_from)
        return context

    return register


def station_page(name: str, title: str, order: int, group: str = "") -> Callable[[StationContext], StationContext]:
    """Make a page of the station known; a group is a folder of its own in the menu."""

    def register(context: StationContext) -> StationContext:
        STATION_PAGES[name] = Kind(name, title, order, group, context, "station.yaml")
        return context

    return register


def rig_kinds() -> list[Kind]:
    """Every kind of page that a rig has, in order."""
    discover.modules("builder.pages")
    return sorted(RIG_PAGES.values(), key=lambda kind: kind.order)


def station_kinds() -> list[Kind]:
    """Every kind of page that the station has, in order."""
    discover.modules("builder.pages")
    return sorted(STATION_PAGES.values(), key=lambda kind: kind.order)


def rig_pages(examination: Examination, tools: Tools) -> list[Page]:
    """The pages of one rig."""
    home = f"rigs/{examination.id}"
    made_from = f"rigs/{examination.id}"
    return [
        Page(
            f"{home}/{'index' if kind.name == 'overview' else kind.name}.md",
            kind.title,
            fill_in(kind.template, {**kind.context(examination, tools), **_common(examination, tools)}),
            f"{made_from}/{kind.made_from}",
        )
        for kind in rig_kinds()
    ]


def station_pages(tools: Tools) -> list[Page]:
    """The pages of the station."""
    return [
        Page(path_of(kind), kind.title, fill_in(kind.template, {**kind.context(tools), "tools": tools}), kind.made_from)
        for kind in station_kinds()
    ]


def path_of(kind: Kind) -> str:
    """Path of a page of the station."""
    return f"{kind.group}/{kind.name}.md" if kind.group else f"{kind.name.replace('home', 'index')}.md"


def _common(examination: Examination, tools: Tools) -> dict[str, Any]:
    return {
        "examination": examination, "rig": examination.rig, "tools": tools,
        "figure": lambda name: tools.figure(examination, name),
    }  # fmt: skip


def fill_in(template: str, context: Mapping[str, Any]) -> str:
    """A template with its context."""
    text = environment().get_template(template).render(**context)
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


@cache
def environment() -> Environment:
    """Templates escape everything that is put in; only drawings and formulas come as markup."""
    made = Environment(
        loader=FileSystemLoader(templates_folder()), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=False, bytecode_cache=compiled_templates(),
    )  # fmt: skip
    made.filters |= {"md": markdown_text, "anchor": anchor, "formula": formula_markup, "run": run_markup}
    made.filters |= {"sentence": sentence, "typeset": typeset}
    made.filters |= {"cite": cite, "cite_facts": cite_facts}
    made.globals |= {"SHAPE": SHAPE, "MARK": MARK}
    return made


def markdown_text(text: object) -> Markup:
    """Text as it may stand in Markdown: nothing in it is taken for markup."""
    return Markup(SPECIAL.sub(lambda match: f"&#{ord(match[0])};", str(text)).replace("\n", " "))  # noqa: S704 - escaped here


def sentence(text: object) -> str:
    """Text that begins with a capital; the rest stays, for units and designators are not words."""
    return str(text)[:1].upper() + str(text)[1:]


def anchor(text: object) -> str:
    """A thing's path as the name of a place on a page."""
    return re.sub(r"[^a-z0-9]+", "-", str(text).lower()).strip("-")


def formula_markup(value: Value) -> Markup:
    """How a value was computed, as formulas for the browser; empty where it was not computed."""
    shown = working(value)
    if shown is None:
        return Markup("")
    lines = (shown.formula(Latex()), shown.filled_in(Latex()))
    return Markup('<div class="working">{}</div>').format(Markup("").join(Markup(mathml(line)) for line in lines))  # noqa: S704 - made by the converter from our own notation


def run_markup(run: Run) -> Markup:
    """A run of the story."""
    tag = {"strong": "strong", "emphasised": "em"}.get(run.style)
    return Markup("<{0}>{1}</{0}>").format(Markup(tag), run.text) if tag else Markup("{}").format(run.text)  # noqa: S704 - one of two fixed tags


def drawing_markup(drawing: Drawing) -> Markup:
    """A drawing with its caption, in the page itself so that it follows the colours."""
    frame = Markup(
        '<figure class="drawing" id="figure-{}"><div class="scroll">{}</div><figcaption>{}</figcaption></figure>'
    )
    return frame.format(drawing.name, Markup(drawing.svg), drawing.title)  # noqa: S704 - drawings escape what they write
