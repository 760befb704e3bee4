"""Circuit of a crystal oscillator."""

from __future__ import annotations

from builder.drawings import subcircuits as piece
from builder.drawings.drawing import Drawing, Medium, fragment
from builder.drawings.schematic import HOP, Point
from builder.drawings.stage_schematic import BASE, StageSchematic
from builder.examine import Examination
from builder.quantity import show

MOST_CRYSTALS = 4
"""How many crystals are listed beside the symbol."""


@fragment("crystal oscillator")
def crystal_oscillator(examination: Examination, path: str, medium: Medium) -> Drawing:
    """The tube with its crystal where the words of the circuit place it."""
    s = StageSchematic(examination, path)
    element = piece.tube(s)
    piece.tube_words(s, (0.9, -0.9), side="right")
    grid = element.control
    joint = (piece.GRID, grid[1])
    s.wire(joint, grid)
    piece.grid_return(s, joint)
    s.note((-1.65, grid[1] - 0.12), "below", "grid_bias", "grid_current")
    piece.emitter_return(s, element)
    plate = piece.plate_line(s, element.anode)
    if s.stage.screen_grid:
        piece.screen_feed(s, element.screen)
    crystal_and_feedback(s, joint, plate, element.screen if s.stage.screen_grid else plate)
    top = piece.plate_feed(s, plate, s.stage.choke)
    piece.supply_port(s, top, s.stage.plate.through)
    piece.output_port(s, (4.6, plate[1]), plate)
    return s.finish(s.stage.circuit, medium)


def crystal_and_feedback(s: StageSchematic, joint: Point, plate: Point, screen: Point) -> None:
    """The crystal between the grid and what the circuit names: screen, plate or chassis; the feedback at the other."""
    words = s.stage.circuit.lower()
    if "screen" in words and screen != plate:
        crystal_above(s, joint, 1.42)
        over_the_plate(s, (joint[0], 1.42), screen)
        to_chassis(s, "capacitor", s.stage.feedback, joint)
    elif "plate" in words.replace("tuned plate", ""):
        crystal_above(s, joint, plate[1])
        s.wire((joint[0], plate[1]), plate)
        to_chassis(s, "capacitor", s.stage.feedback, joint)
    else:
        crystal_to_chassis(s, joint)
        if s.stage.feedback:
            s.part("capacitor", s.stage.feedback, joint, (joint[0], plate[1]), "left")
            s.wire((joint[0], plate[1]), plate)


def crystals(s: StageSchematic) -> tuple[str, ...]:
    """Every crystal with its frequency, the one in use first."""
    rig, used = s.examination.rig, s.examination.carrier
    order = sorted(rig.carriers.items(), key=lambda row: row[0] != used)
    found = [(item.crystal, item.frequency) for _name, item in order if item.crystal]
    rows = [f"{part} {show(frequency.value, 'Hz', 6)}" for part, frequency in found[:MOST_CRYSTALS]]
    more = len(found) - MOST_CRYSTALS
    return (*rows, f"and {more} more") if more > 0 else tuple(rows)


def crystal_above(s: StageSchematic, joint: Point, top: float) -> None:
    """The crystal upward from the grid."""
    s.dot(joint)
    s.symbol("crystal", joint, (joint[0], top))
    rows = crystals(s)
    s.words((joint[0] - 0.45, (joint[1] + top) / 2 + 0.12), (*rows, "one in use") if len(rows) > 1 else rows, "left")


def crystal_to_chassis(s: StageSchematic, joint: Point) -> None:
    """The crystal from the grid to the chassis."""
    spot = (joint[0] - 2.4, joint[1])
    s.dot(joint)
    s.wire(joint, spot, (spot[0], spot[1] - 0.6))
    s.symbol("crystal", (spot[0], spot[1] - 0.6), (spot[0], BASE))
    s.ground((spot[0], BASE))
    s.words((spot[0] - 0.45, (spot[1] - 0.6 + BASE) / 2), crystals(s), "left")


def to_chassis(s: StageSchematic, symbol: str, designator: str | None, joint: Point) -> None:
    """A part from the grid to the chassis, left of the leak."""
    if designator:
        x = joint[0] - 2.2
        s.dot(joint)
        s.wire(joint, (x, joint[1]))
        s.part(symbol, designator, (x, joint[1]), (x, BASE), "left")
        s.ground((x, BASE))


def over_the_plate(s: StageSchematic, start: Point, screen: Point) -> None:
    """From the crystal across the plate's lead to the screen."""
    height = start[1]
    spot = (1.9, screen[1])
    s.wire(start, (-HOP, height))
    s.hop_across((0.0, height))
    s.wire((HOP, height), (spot[0], height), spot)
    s.dot(spot)
