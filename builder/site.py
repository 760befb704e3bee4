"""From a content folder to everything that a site is made of, and to the finished site."""

from __future__ import annotations

import hashlib
import json
import logging
import os
import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass, field
from functools import cache, cached_property
from importlib.metadata import version
from pathlib import Path
from typing import Any

from markupsafe import Markup

from builder.drawings.drawing import Drawing, Medium, Plan, plans
from builder.drawings.station import station_diagram
from builder.drawings.theme import on_paper
from builder.examine import Examination, examine_all
from builder.pages.page import (
    Page,
    Tools,
    drawing_markup,
    path_of,
    rig_kinds,
    rig_pages,
    station_kinds,
    station_pages,
)  # fmt: skip
from builder.papers.paper import PaperFile, papers
from builder.reference.own_tables import own_files
from builder.rig.load import Content, RigFolder, load
from builder.templates import HOME, configuration_file, templates_folder

DRAWN_WITH = ("schemdraw", "matplotlib", "typst")
STAMP = ".made-from"
Told = Callable[[str], None]


@dataclass(frozen=True)
class Output:
    """One file of the site before the site generator has seen it.

    Args:
        path: below the site, with forward slashes.
        content: text of a page, or bytes of anything else.
        made_from: file in the content folder that an editor would change.
    """

    path: str
    content: str | bytes
    made_from: str = ""


@dataclass
class Workshop:
    """Makes drawings and papers, each once, and keeps them by the content of the files that they come from.

    Args:
        content: the station.
        cache: folder for what is kept; None keeps nothing.
        tell: is told what is being made.
        linked: whether drawings stand in files of their own rather than in the pages.
    """

    content: Content
    cache: Path | None
    tell: Told
    linked: bool = False
    drawn: dict[str, Drawing] = field(default_factory=dict)
    _plans: dict[str, dict[str, Plan]] = field(default_factory=dict)
    _papers: dict[str, tuple[PaperFile, ...]] = field(default_factory=dict)

    @cached_property
    def examinations(self) -> tuple[Examination, ...]:
        """Every rig, examined."""
        return tuple(examine_all(self.content))

    def drawing(self, examination: Examination, name: str, medium: Medium) -> Drawing | None:
        """A drawing of a rig by its name; None where the rig has none of that name."""
        key = f"{examination.id}/{name}"
        found = self.drawn.get(f"{key}/{medium}") or self._kept(examination, name, medium)
        if found is None:
            plan = self._plans_of(examination).get(name)
            if plan is None:
                return None
            self.tell(f"drawing {key}")
            found = self._made(examination, plan, medium)
            self._keep(self._file(examination, f"{name}.{medium}.json"), json.dumps(asdict(found)).encode())
        self.drawn[f"{key}/{medium}"] = found
        return found

    def _made(self, examination: Examination, plan: Plan, medium: Medium) -> Drawing:
        """Drawn for a page, or turned from the page's drawing into one for paper."""
        page = self.drawing(examination, plan.name, Medium.PAGE) if medium is Medium.PAPER else None
        return on_paper(page) if page else plan.make(medium)

    def figure(self, examination: Examination, name: str) -> Markup:
        """A drawing as it stands in a page."""
        found = self.drawing(examination, name, Medium.PAGE)
        if found is None:
            return Markup("")
        if self.linked:
            return Markup("![{}](drawings/{}.svg)").format(found.description, found.name)
        return drawing_markup(found)

    def station_figure(self) -> Markup:
        """The diagram of the station as it stands in a page."""
        found = station_diagram(self.content.station, self.examinations, Medium.PAGE)
        self.drawn["station"] = found
        if self.linked:
            return Markup("![{}](drawings/{}.svg)").format(found.description, found.name)
        return drawing_markup(found)

    def papers(self, examination: Examination) -> tuple[PaperFile, ...]:
        """The papers of a rig."""
        if examination.id not in self._papers:
            self._papers[examination.id] = self._papers_of(examination)
        return self._papers[examination.id]

    def _papers_of(self, examination: Examination) -> tuple[PaperFile, ...]:
        folder = self._folder(examination)
        index = folder / "papers.json" if folder else None
        if index and index.is_file():
            rows = json.loads(index.read_text(encoding="utf-8"))
            return tuple(PaperFile(**{**row, "content": (index.parent / row["name"]).read_bytes()}) for row in rows)
        self.tell(f"papers of {examination.id}")
        made = papers(self.content, examination, lambda name: self._print(examination, name))
        for paper in made:
            self._keep(self._file(examination, paper.name), paper.content)
        listed = [{**asdict(paper), "content": ""} for paper in made]
        self._keep(index, json.dumps(listed).encode())
        return made

    def _print(self, examination: Examination, name: str) -> str | None:
        found = self.drawing(examination, name, Medium.PAPER)
        return found.svg if found else None

    def _plans_of(self, examination: Examination) -> dict[str, Plan]:
        if examination.id not in self._plans:
            self._plans[examination.id] = plans(examination)
        return self._plans[examination.id]

    def _kept(self, examination: Examination, name: str, medium: Medium) -> Drawing | None:
        file = self._file(examination, f"{name}.{medium}.json")
        if file is None or not file.is_file():
            return None
        return Drawing(**json.loads(file.read_text(encoding="utf-8")))

    def _keep(self, file: Path | None, content: bytes) -> None:
        """Written beside and moved into place, so that an interrupted run leaves nothing half written."""
        if file is None:
            return
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=file.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
        Path(name).replace(file)

    def _folder(self, examination: Examination) -> Path | None:
        return self.cache / key_of(examination.folder, self.content) if self.cache else None

    def _file(self, examination: Examination, name: str) -> Path | None:
        folder = self._folder(examination)
        return folder / name if folder else None


@cache
def program_key() -> str:
    """What the program itself adds to the look of everything: its code, tables, templates and drawing libraries."""
    made = hashlib.sha256(" ".join(f"{name} {version(name)}" for name in DRAWN_WITH).encode())
    folders = {HOME, templates_folder()}
    files = sorted(path for folder in folders for path in folder.rglob("*") if path.is_file() and path.suffix != ".pyc")
    for path in (*files, configuration_file()):
        made.update(path.name.encode() + path.read_bytes())
    return made.hexdigest()


def key_of(folder: RigFolder, content: Content) -> str:
    """Names the state of everything that a rig's drawings and papers are made from."""
    made = hashlib.sha256(program_key().encode())
    station = Path(content.station_document.file)
    files = sorted(path for path in folder.folder.rglob("*") if path.is_file())
    for path in (*files, station, *own_files()):
        made.update(path.name.encode() + path.read_bytes())
    return f"{folder.id}-{made.hexdigest()[:24]}"


def content_key(content: Path) -> str:
    """Names the state of a whole content folder and of the program."""
    made = hashlib.sha256(program_key().encode())
    for path in sorted(path for path in content.rglob("*") if path.is_file()):
        made.update(path.relative_to(content).as_posix().encode() + path.read_bytes())
    return made.hexdigest()


def outputs(workshop: Workshop) -> list[Output]:
    """Every page, drawing and paper of a station."""
    tools = Tools(workshop.content, workshop.examinations, workshop.figure, workshop.papers, workshop.station_figure)
    pages = [page for item in workshop.examinations for page in rig_pages(item, tools)]
    found = [_output(page) for page in (*station_pages(tools), *pages)]
    for item in workshop.examinations:
        found += _files_of(workshop, item)
    if workshop.linked:
        found.append(Output("drawings/station.svg", workshop.drawn["station"].svg))
    return found


def _output(page: Page) -> Output:
    return Output(page.path, page.text, page.made_from)


def _files_of(workshop: Workshop, examination: Examination) -> Iterator[Output]:
    home = f"rigs/{examination.id}"
    for paper in workshop.papers(examination):
        yield Output(f"{home}/papers/{paper.name}", paper.content)
    for picture in examination.rig.pictures:
        yield Output(f"{home}/photos/{picture.file}", cleaned(examination.folder.folder / "photos" / picture.file))
    if workshop.linked:
        drawn = (
            item
            for key, item in workshop.drawn.items()
            if key.startswith(f"{examination.id}/") and key.endswith("page")
        )
        for drawing in drawn:
            yield Output(f"{home}/drawings/{drawing.name}.svg", drawing.svg)


def cleaned(path: Path) -> bytes:
    """A photograph without the data that cameras hide in it: place, time, serial numbers.

    Args:
        path: of a JPEG, PNG or WebP file.
    """
    import io

    from PIL import Image, ImageOps

    with Image.open(path) as image:
        kind = image.format or "JPEG"
        upright = ImageOps.exif_transpose(image)
        bare = Image.new(upright.mode, upright.size)
        bare.paste(upright)
    made = io.BytesIO()
    bare.save(made, format=kind, quality=92)
    return made.getvalue()


def navigation(workshop: Workshop) -> list[Any]:
    """The menu: the station's pages, every rig with its pages, the reference."""
    plain = [{kind.title: path_of(kind)} for kind in station_kinds() if not kind.group]
    rigs = [{item.rig.name: list(_rig_menu(item))} for item in workshop.examinations]
    reference = [{kind.title: path_of(kind)} for kind in station_kinds() if kind.group]
    return [plain[0], *rigs, {"Station": plain[1:]}, {"Reference": reference}]


def _rig_menu(examination: Examination) -> Iterator[dict[str, str]]:
    for kind in rig_kinds():
        name = "index" if kind.name == "overview" else kind.name
        yield {kind.title: f"rigs/{examination.id}/{name}.md"}


def prepare(content: Path, cache_folder: Path | None, tell: Told, *, linked: bool = False) -> Workshop:
    """Load a content folder and make ready to draw.

    Raises:
        BadInput: with every mistake in it.
    """
    tell("reading")
    return Workshop(load(content), cache_folder, tell, linked)


@dataclass(frozen=True)
class Built:
    """What came of a build: where the site is, and whether anything had to be made."""

    site: Path
    changed: bool


class BuildFailed(Exception):  # noqa: N818 - it reports what the site generator said
    """The site generator refused; its own words are kept."""

    def __init__(self, messages: Iterable[str]) -> None:
        self.messages = tuple(messages)
        super().__init__("\n".join(self.messages))


def build(content: Path, site: Path, cache_folder: Path | None, tell: Told, *, fresh: bool = False) -> Built:
    """Build the whole site beside the old one and put it in its place only when it is finished.

    Args:
        content: folder with station.yaml and rigs.
        site: folder that the site goes to.
        cache_folder: for drawings and papers; None keeps nothing.
        tell: is told what is going on.
        fresh: build even if nothing has changed.

    Raises:
        BadInput: the content has mistakes; the old site is untouched.
        BuildFailed: a page has a bad link or the like; the old site is untouched.
    """
    key = content_key(content)
    stamp = site / STAMP
    if not fresh and stamp.is_file() and stamp.read_text(encoding="utf-8") == key:
        return Built(site, changed=False)
    workshop = prepare(content, cache_folder, tell)
    made = outputs(workshop)
    site.parent.mkdir(parents=True, exist_ok=True)
    beside = Path(tempfile.mkdtemp(prefix=f".{site.name}-", dir=site.parent))
    try:
        tell("building the site")
        run_generator(workshop, made, beside)
        (beside / STAMP).write_text(key, encoding="utf-8")
        swap(beside, site)
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return Built(site, changed=True)


def run_generator(workshop: Workshop, made: list[Output], folder: Path) -> None:
    """Let the site generator turn pages into HTML.

    Raises:
        BuildFailed: it complained.
    """
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    os.environ.setdefault("SOURCE_DATE_EPOCH", "315532800")
    from mkdocs.commands.build import build as generate
    from mkdocs.config import load_config
    from mkdocs.exceptions import Abort, MkDocsException

    heard = _Listener()
    logging.getLogger("mkdocs").addHandler(heard)
    try:
        config = load_config(str(configuration_file()), site_dir=str(folder), strict=True)
        plugin = config.plugins["rigfolio"]
        plugin.workshop, plugin.outputs = workshop, made
        generate(config)
    except (Abort, MkDocsException) as error:
        raise BuildFailed([*heard.messages, str(error)]) from None
    finally:
        logging.getLogger("mkdocs").removeHandler(heard)


class _Listener(logging.Handler):
    """Keeps the warnings of the site generator."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.messages: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one."""
        self.messages.append(record.getMessage())


def swap(new: Path, place: Path) -> None:
    """Put a finished folder in its place; the old one goes only when the new one is there."""
    old = Path(tempfile.mkdtemp(prefix=f".{place.name}-old-", dir=place.parent))
    new.chmod(0o755)
    if place.exists():
        place.replace(old / "site")
    new.replace(place)
    shutil.rmtree(old, ignore_errors=True)


def render(content: Path, out: Path, cache_folder: Path | None, tell: Told) -> int:
    """Write the pages as plain Markdown with their drawings and papers beside them.

    Args:
        content: folder with station.yaml and rigs.
        out: folder to write to; it is swapped in whole.
        cache_folder: for drawings and papers; None keeps nothing.
        tell: is told what is going on.

    Returns:
        The number of files.

    Raises:
        BadInput: the content has mistakes; nothing is written.
    """
    workshop = prepare(content, cache_folder, tell, linked=True)
    made = outputs(workshop)
    out.parent.mkdir(parents=True, exist_ok=True)
    beside = Path(tempfile.mkdtemp(prefix=f".{out.name}-", dir=out.parent))
    try:
        for output in made:
            write(output, beside)
        swap(beside, out)
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return len(made)


def write(output: Output, folder: Path) -> None:
    """Write one file below a folder."""
    path = folder / output.path
    path.parent.mkdir(parents=True, exist_ok=True)
    content = output.content if isinstance(output.content, bytes) else output.content.encode()
    path.write_bytes(content)


def serve(content: Path, port: int) -> None:
    """Preview the site; it is built anew whenever content or templates change.

    Args:
        content: folder with station.yaml and rigs.
        port: on this machine.
    """
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    from mkdocs.commands.serve import serve as preview

    settings = configuration_file().read_text(encoding="utf-8")
    home = configuration_file().parent
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "mkdocs.yml"
        paths = {"docs_dir: site_templates": f"docs_dir: {home}/site_templates", "strict: true": "strict: false"}
        kept = json.dumps(str(Path(".cache/rigfolio").resolve()))
        paths["{content: content}"] = f"{{content: {json.dumps(str(content.resolve()))}, cache: {kept}}}"
        for old, new in paths.items():
            settings = settings.replace(old, new)
        file.write_text(settings, encoding="utf-8")
        preview(config_file=str(file), dev_addr=f"127.0.0.1:{port}")
