"""Circuit of a linear amplifier driven at the cathode."""

from __future__ import annotations

from typing import Any

from builder.drawings import subcircuits as piece
from builder.drawings.drawing import Drawing, Medium, fragment
from builder.drawings.stage_schematic import BASE, StageSchematic
from builder.drawings.theme import SMALL
from builder.examine import Examination

from .rf_power import output

DRIVE = -1.9
"""Height of the line that brings the drive to the cathode."""


@fragment("cathode driven")
def cathode_driven(examination: Examination, path: str, medium: Medium) -> Drawing:
    """Drive into the cathode, grids at the chassis, plate feed and output network."""
    s = StageSchematic(examination, path)
    element = piece.tube(s)
    piece.tube_words(s, (-0.85, 1.7))
    grid_to_chassis(s, element)
    drive(s, element)
    if s.stage.screen_grid:
        piece.screen_feed(s, element.screen)
    joint = piece.plate_line(s, element.anode)
    feed = piece.plate_feed(s, joint, s.stage.output.choke)
    piece.supply_port(s, feed, s.stage.plate.through)
    output(s, joint)
    return s.finish("cathode-driven linear amplifier", medium)


def grid_to_chassis(s: StageSchematic, element: Any) -> None:
    """The grid straight to the chassis."""
    x, y = element.control
    s.wire((x, y), (x - 0.5, y), (x - 0.5, y - 0.6))
    s.ground((x - 0.5, y - 0.6))
    s.note((x - 0.85, y - 0.35), "left", "grid_current")


def drive(s: StageSchematic, element: Any) -> None:
    """The drive from the left, into a cathode or into a filament that hangs on its choke."""
    left = element.cathode
    entry = (left[0], DRIVE)
    s.wire(left, entry)
    s.dot(entry)
    s.part("capacitor", s.stage.grid.coupling, (-4.0, DRIVE), (-2.0, DRIVE), "above")
    s.wire((-2.0, DRIVE), entry)
    s.wire((-4.4, DRIVE), (-4.0, DRIVE))
    s.port((-4.4, DRIVE), "left", (*s.source(), *s.reads("drive_power")))
    if "heat2" in element.anchors:
        filament_choke(s, element)
    else:
        s.part("choke", s.stage.filament_choke, entry, (left[0], BASE - 1))
        s.ground((left[0], BASE - 1))


def filament_choke(s: StageSchematic, element: Any) -> None:
    """Two windings on one rod between the filament and its transformer."""
    top, foot = DRIVE - 0.4, DRIVE - 2.6
    left, right = element.heat1[0] - 0.2, element.heat2[0] + 0.2
    s.wire((element.heat1[0], DRIVE), (element.heat1[0], top + 0.2), (left, top + 0.2), (left, top))
    s.wire(element.heat2, (element.heat2[0], top + 0.2), (right, top + 0.2), (right, top))
    if s.stage.filament_choke:
        s.symbol("choke", (left, top), (left, foot))
        s.symbol("choke", (right, foot), (right, top))
        s.label(0.3, s.stage.filament_choke, (right, top), (right, foot))
    else:
        s.wire((left, top), (left, foot))
        s.wire((right, top), (right, foot))
    s.symbol("filament winding", (left - 0.2, foot - 0.4), (right + 0.2, foot - 0.4))
    s.wire((left, foot), (left, foot - 0.2), (left - 0.2, foot - 0.2), (left - 0.2, foot - 0.4))
    s.wire((right, foot), (right, foot - 0.2), (right + 0.2, foot - 0.2), (right + 0.2, foot - 0.4))
    s.words((right + 0.4, foot - 0.4), s.filament_words(), "right", size=SMALL)
    s.wire((0, foot - 0.4), (0, foot - 0.8))
    s.port((0, foot - 0.8), "below", ("B minus",))
