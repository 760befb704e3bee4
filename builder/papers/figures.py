"""Figures of the papers: drawings and photographs with what is said under them."""

from __future__ import annotations

import io
import re
from dataclasses import asdict, dataclass
from html import unescape
from pathlib import Path
from typing import Any

from builder.account import figures, safety
from builder.drawings.theme import MILLIMETRES
from builder.examine import Examination
from builder.rig.load import RigFolder
from builder.rig.model import Picture
from builder.rig.stage import TubeStage

from .paper import DrawingOf

VIEW = re.compile(r'viewBox="\s*[-\d.]+[\s,]+[-\d.]+[\s,]+([\d.]+)[\s,]+([\d.]+)')
SIZE = (120.0, 80.0)
"""Millimetres for a drawing that does not say how large it is."""
TOLD = re.compile(r"<desc[^>]*>(.*?)</desc>|<title[^>]*>(.*?)</title>", re.DOTALL)
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True)
class Figure:
    """A drawing on its way to paper.

    Args:
        name: of the drawing.
        svg: of it.
        alt: what it shows, for those who cannot see it.
        caption: says something that the drawing does not show by itself.
        width: for which it is made, millimetres.
        height: that goes with it, millimetres.
    """

    name: str
    svg: str
    alt: str
    caption: str
    width: float
    height: float

    @property
    def data(self) -> dict[str, Any]:
        """As templates take it."""
        return asdict(self)


def figure(drawing: DrawingOf, name: str, caption: str) -> Figure | None:
    """A drawing with its caption; None where the rig has no such drawing.

    Args:
        drawing: gives the rig's drawings.
        name: of the drawing.
        caption: to stand under it.
    """
    svg = drawing(name)
    if svg is None:
        return None
    return Figure(name, svg, _told(svg) or caption, caption, *_size(svg))


def _told(svg: str) -> str:
    """The drawing's own description, or its title."""
    found = sorted(TOLD.findall(svg), key=lambda pair: not pair[0])
    return unescape(" ".join(found[0])).strip() if found else ""


def _size(svg: str) -> tuple[float, float]:
    match = VIEW.search(svg)
    return (float(match[1]) * MILLIMETRES, float(match[2]) * MILLIMETRES) if match else SIZE


def tubes_of(stage: TubeStage) -> str:
    """How many tubes of which type, such as ``two 6146B``."""
    return f"{counted(len(stage.tubes.sockets))} {stage.tubes.type}"


def counted(number: int) -> str:
    """A small number in words."""
    return COUNTS[number] if number < len(COUNTS) else str(number)


def several(number: int, thing: str) -> str:
    """A number of things in words, such as ``nine tubes``."""
    return f"{counted(number)} {thing}{'' if number == 1 else 's'}"


def block_caption(examination: Examination) -> str:
    """What to say under the block diagram."""
    rig = examination.rig
    stages = [stage for stage in rig.stages.values() if isinstance(stage, TubeStage)]
    tubes = sum(stage.count for stage in stages)
    power = figures.figure(examination, "rig", "carrier_power")
    made = f" to make {power.text} of carrier" if power else ""
    return f"{rig.name} as a whole: {several(tubes, 'tube')} in {several(len(stages), 'stage')}{made}."


def stage_caption(examination: Examination, name: str) -> str:
    """What to say under the schematic of a stage."""
    stage = examination.rig.stages[name]
    title = stage.title(name)
    opening = f"{title}: {tubes_of(stage)}" if isinstance(stage, TubeStage) else title
    wanted = ("plate_voltage", "plate_current", "dc_input", "output_power")
    found = (figures.figure(examination, f"stages.{name}", item) for item in wanted)
    told = [f"{item.words} {item.text}" for item in found if item]
    return f"{opening}; {', '.join(told)}." if told else f"{opening}."


def supply_caption(examination: Examination, name: str) -> str:
    """What to say under the schematic of a supply."""
    supply = examination.rig.supplies[name]
    feeds = f", for {supply.feeds}" if supply.feeds else ""
    wanted = ("output_voltage", "supply_current", "ripple", "stored_energy")
    found = (figures.figure(examination, f"supplies.{name}", item) for item in wanted)
    told = [f"{item.words} {item.text}" for item in found if item]
    return f"{supply.title(name)}{feeds}{'; ' + ', '.join(told) if told else ''}."


def decay_caption(examination: Examination, name: str) -> str:
    """What to say under the curve of a supply's discharge."""
    row = next(row for row in safety.charges(examination) if row.supply == name)
    if row.seconds is None:
        return f"{row.title} after switch-off: {row.volts} to begin with, and no bleeder on record that takes it away."
    return (
        f"{row.title} after switch-off, worst case: {row.volts} to begin with; waiting {row.wait} covers the fall to "
        "the voltage that may be touched, as long as the bleeder is whole."
    )


def envelope_caption(examination: Examination) -> str:
    """What to say under the picture of the modulated carrier."""
    found = (figures.figure(examination, "rig", item) for item in ("modulation_depth", "peak_envelope_power"))
    told = " and ".join(f"{item.words} {item.text}" for item in found if item)
    return f"The carrier under tone, drawn from the readings: {told}." if told else "The carrier under tone."


def photograph(folder: RigFolder, picture: Picture) -> bytes:
    """A photograph as JPEG for print, without what cameras and telephones write into a file.

    Args:
        folder: of the rig.
        picture: one of the rig's.
    """
    from PIL import Image, ImageOps

    with Image.open(Path(folder.folder) / "photos" / picture.file) as raw:
        upright = ImageOps.exif_transpose(raw).convert("RGB")
    upright.thumbnail((LONGEST, LONGEST))
    made = io.BytesIO()
    upright.save(made, "JPEG", quality=88, optimize=True, dpi=(300, 300))
    return made.getvalue()


LONGEST = 2100
"""Pixels of a photograph's longer side: 300 to the inch across the text of a sheet."""
