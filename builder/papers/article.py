"""The newsletter article: the builder's story with figures, results and parts, for the PDF and for the text file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from builder.account import figures, safety, story
from builder.account.story import Block, Run
from builder.examine import Examination
from builder.quantity import show
from builder.rig.load import Content
from builder.rig.stage import TubeStage

from . import figures as drawn
from .edition import latest, long_date
from .figures import Figure
from .paper import DrawingOf

LEAD_AT_MOST = 90
"""Words that a first paragraph may have to serve as the lead."""
PARTS_AT_MOST = 14
COLUMN = 100.0
"""Millimetres of a drawing's own width beyond which it goes across both columns."""
OF_INTEREST = ("T", "L", "Y", "K", "Z")
"""Class letters of parts that take some finding: iron, coils, crystals, relays, networks."""
RESULTS = (
    "carrier_power", "peak_envelope_power", "modulation_depth", "plate_voltage", "plate_current", "screen_voltage",
    "screen_current", "grid_current", "grid_bias", "output_power", "output_voltage", "heater_voltage",
)  # fmt: skip
MISSING = "The builder has not written a story for this rig yet."


@dataclass(frozen=True)
class Numbered:
    """A figure with its number in the article."""

    number: int
    figure: Figure
    wide: bool

    @property
    def label(self) -> str:
        """How the text calls it."""
        return f"Figure {self.number}"


@dataclass(frozen=True)
class StageLine:
    """A stage in a sentence, with the label of its figure where it has one."""

    title: str
    tubes: str
    does: str
    label: str

    @property
    def says(self) -> str:
        """Tubes and task."""
        return "; ".join(text for text in (self.tubes, self.does) if text)


@dataclass(frozen=True)
class Article:
    """Everything that the article prints.

    Args:
        title: of the article.
        subject: name of the rig and what it is.
        byline: call sign and date.
        lead: opening paragraph.
        blocks: the story that follows.
        figures: in the order of their call-outs.
        stages: the circuit, stage by stage.
        results: value, of what, reading, meter and condition.
        condition: under which the results were read.
        safety: sentences of the side box.
        parts: designator and description.
    """

    title: str
    subject: str
    byline: str
    lead: tuple[Run, ...]
    blocks: tuple[Block, ...]
    figures: tuple[Numbered, ...]
    stages: tuple[StageLine, ...]
    results: tuple[tuple[str, str, str], ...]
    condition: str
    safety: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]

    @property
    def words(self) -> int:
        """Words of the running text: lead, story and the stages."""
        texts = ["".join(run.text for run in self.lead), *(block.text for block in self.blocks)]
        texts += [f"{row.title} {row.says}" for row in self.stages]
        return sum(len(text.split()) for text in texts)


def article(content: Content, examination: Examination, drawing: DrawingOf) -> Article:
    """Pick and order what the article tells.

    Args:
        content: the station.
        examination: of the rig.
        drawing: gives the rig's drawings.
    """
    title, lead, blocks = _opening(examination)
    numbered = tuple(_numbered(examination, drawing))
    return Article(
        title,
        f"{examination.rig.name}: {examination.rig.what}",
        f"{content.station.signs} · {long_date(latest(examination))}",
        lead,
        blocks,
        numbered,
        tuple(_stages(examination, {row.figure.name: row.label for row in numbered})),
        tuple(_results(examination)),
        _condition(examination),
        side_box(examination),
        tuple(_parts(examination)),
    )


def _opening(examination: Examination) -> tuple[str, tuple[Run, ...], tuple[Block, ...]]:
    """Title, lead and the rest: a heading that opens the story is the title, a short first paragraph the lead."""
    name, what = examination.rig.name, examination.rig.what
    found = list(story.blocks(examination))
    title = found.pop(0).text if found and found[0].kind == "heading" else name
    if found and found[0].kind == "paragraph" and len(found[0].text.split()) <= LEAD_AT_MOST:
        return title, found[0].runs, tuple(found[1:])
    return title, (Run(f"{name}: {what}."),), tuple(found) or (Block("paragraph", 0, (Run(MISSING),)),)


def _numbered(examination: Examination, drawing: DrawingOf) -> Iterator[Numbered]:
    found = (drawn.figure(drawing, name, caption) for name, caption in _wanted(examination))
    for number, picture in enumerate((item for item in found if item), 1):
        yield Numbered(number, picture, wide=picture.width > COLUMN)


def _wanted(examination: Examination) -> Iterator[tuple[str, str]]:
    """Drawings of the article in the order in which the text calls them, with their captions.

    One curve is enough for an article: the modulated carrier, or else the fall of the charge.
    """
    rig = examination.rig
    yield "block", drawn.block_caption(examination)
    modulator = getattr(getattr(rig.stages[rig.final], "plate", None), "modulated_by", None)
    for name in dict.fromkeys(stage for stage in (*rig.stages, rig.final) if stage in {rig.final, modulator}):
        yield f"fragment-stages-{name}", drawn.stage_caption(examination, name)
    modulated = modulator is not None
    if modulated:
        yield "envelope", drawn.envelope_caption(examination)
    for row in () if modulated else safety.charges(examination)[:1]:
        yield f"decay-{row.supply}", drawn.decay_caption(examination, row.supply)


def _stages(examination: Examination, labels: dict[str, str]) -> Iterator[StageLine]:
    for name, stage in examination.rig.stages.items():
        tubes = drawn.tubes_of(stage) if isinstance(stage, TubeStage) else ""
        yield StageLine(stage.title(name), tubes, stage.does or "", labels.get(f"fragment-stages-{name}", ""))


def _results(examination: Examination) -> Iterator[tuple[str, str, str]]:
    """Measured values of the rig, its final and its modulator: words, reading, meter."""
    rig = examination.rig
    modulator = getattr(getattr(rig.stages[rig.final], "plate", None), "modulated_by", None)
    things = ["rig", f"stages.{rig.final}", *([f"stages.{modulator}"] if modulator else [])]
    groups = {group.thing: group for group in figures.performance(examination)}
    met: set[tuple[str, str]] = set()
    for group in (groups[thing] for thing in things if thing in groups):
        for row in group.rows:
            if row.name in RESULTS and row.measured and (row.measured, row.value.note) not in met:
                met.add((row.measured, row.value.note))
                yield (
                    _result_words(row.words, group.thing, rig.final, group.title),
                    row.measured,
                    _meter(row.value.note),
                )


def _result_words(words: str, thing: str, final: str, title: str) -> str:
    return words if thing in {"rig", f"stages.{final}"} else f"{words}, {title[:1].lower()}{title[1:]}"


def _meter(note: str) -> str:
    """The meter out of a reading's note, which is day, meter, condition."""
    return note.split(", ")[1] if note.count(", ") else note


def _condition(examination: Examination) -> str:
    sessions = examination.folder.readings.sessions
    if not sessions:
        return ""
    last = max(sessions, key=lambda session: session.date)
    return f"{long_date(last.date)}; {last.condition}"


def waited(examination: Examination) -> str:
    """The waiting time as part of a sentence."""
    text = safety.longest_wait(examination)
    return f"wait {text}" if text[0].isdigit() else text


def side_box(examination: Examination) -> tuple[str, ...]:
    """Safety in a few sentences, for those who build after the article."""
    tag = [f"The builder's tag on the rig says: {examination.rig.tag}."] if examination.rig.tag else []
    return (
        *tag,
        f"Up to {safety.highest_voltage(examination)} inside, worst case.",
        f"After switch-off: {waited(examination)}, prove it dead, short the filter to chassis with a stick.",
        "A bleeder that has opened gives no sign. A panel meter at zero proves nothing.",
        safety.DEFER,
    )


def _parts(examination: Examination) -> Iterator[tuple[str, str]]:
    """Parts that take some finding, as far as there is room."""
    letters = {name: name.rstrip("0123456789") for name in examination.rig.parts}
    found = [name for name, letter in letters.items() if letter in OF_INTEREST or examination.rig.parts[name].note]
    for name in found[:PARTS_AT_MOST]:
        part = examination.rig.parts[name]
        amount = ", ".join(show(item.value, item.unit) for item in (part.value, part.voltage, part.current) if item)
        note = f"; {part.note}" if part.note else ""
        yield name, f"{part.what}{f', {amount}' if amount else ''}{note}"
