"""Circuit of a voltage amplifier of the audio chain, or of a phase splitter."""

from __future__ import annotations

from builder.drawings import subcircuits as piece
from builder.drawings.drawing import Drawing, Medium, fragment
from builder.drawings.schematic import Point
from builder.drawings.stage_schematic import BASE, StageSchematic
from builder.examine import Examination

NEXT = 9.6
"""From one half of a cascade to the next, in units."""
RAIL = 4.4
"""Height of the plate supply."""


@fragment("speech amplifier")
def speech_amplifier(examination: Examination, path: str, medium: Medium) -> Drawing:
    """One triode, two in cascade, or a triode with a split load, as the words of the circuit say."""
    s = StageSchematic(examination, path)
    words = s.stage.circuit.lower()
    if "split load" in words:
        split_load(s)
    else:
        cascade(s, 2 if "two" in words.split() else 1)
    return s.finish(s.stage.circuit, medium)


def halves(s: StageSchematic, count: int) -> tuple[str, ...]:
    """What each half of the chain is called: by its bulb, or by bulb and letter where one bulb holds both."""
    sockets = s.stage.tubes.sockets
    if len(sockets) >= count:
        return tuple(sockets[:count])
    return tuple(f"{sockets[0]}{letter}" for letter in "AB"[:count])


def cascade(s: StageSchematic, count: int) -> None:
    """So many like halves, the gain control behind the first."""
    names = halves(s, count)
    start = input_point(s, s.source())
    for index, name in enumerate(names):
        x = index * NEXT
        plate = half(s, x, name, start)
        if index == 0:
            start = coupled(s, plate, last=count == 1)
            continue
        piece.output_port(s, (x + 2.6, plate[1]), plate)
    feed(s, [index * NEXT for index in range(count)])


def input_point(s: StageSchematic, words: tuple[str, ...]) -> Point:
    """The terminal where the signal comes in, behind its coupling capacitor."""
    s.port((-4.0, 0.0), "left", words)
    s.part("capacitor", s.stage.grid.coupling, (-4.0, 0.0), (-2.4, 0.0), "above")
    return (-2.4, 0.0)


def half(s: StageSchematic, x: float, name: str, start: Point) -> Point:
    """One tube with its plate load and cathode circuit; returns the plate line."""
    element = piece.tube(s, (x, 0.0))
    piece.tube_words(s, (x - 0.85, 1.3), name)
    grid = element.control
    s.part("resistor", s.stage.grid.stopper, (grid[0] - 1.2, grid[1]), grid, "above")
    s.wire(start, (start[0], grid[1]), (grid[0] - 1.2, grid[1]))
    if s.stage.grid.leak:
        joint = (x - 2.4, grid[1])
        s.dot(joint)
        s.part("resistor", s.stage.grid.leak, joint, (joint[0], BASE), "left")
        s.ground((joint[0], BASE))
    piece.emitter_return(s, element)
    plate = (x, 2.0)
    s.wire(element.anode, plate)
    s.dot(plate)
    s.note((x + 0.15, 1.5), "right", "plate_voltage")
    s.part("resistor", s.stage.load, plate, (x, 4.0), "right")
    s.wire((x, 4.0), (x, RAIL))
    return plate


def coupled(s: StageSchematic, plate: Point, *, last: bool) -> Point:
    """The coupling capacitor and the gain control behind it; returns where the signal goes on."""
    x, y = plate
    s.wire(plate, (x + 1.4, y))
    s.part("capacitor", s.stage.coupling, (x + 1.4, y), (x + 3.2, y), "above")
    end = (x + 4.0, y)
    s.wire((x + 3.2, y), end)
    if s.stage.gain_control:
        foot = (end[0], y - 2.6)
        control = s.symbol("potentiometer", end, foot)
        s.label(0.3, s.stage.gain_control, end, foot, "left")
        s.ground(foot)
        end = control.tap
    if last:
        piece.output_port(s, (end[0] + 1.4, end[1]), end)
        return end
    turn = (end[0] + 0.5, end[1])
    s.wire(end, turn)
    return turn


def feed(s: StageSchematic, columns: list[float]) -> None:
    """The plate supply over all halves."""
    s.wire((columns[0], RAIL), (columns[-1], RAIL))
    if len(columns) > 1:
        s.dot((columns[0], RAIL))
    piece.supply_port(s, (columns[0], RAIL), s.stage.plate.through)


def split_load(s: StageSchematic) -> None:
    """Equal resistors at plate and cathode, an output from each."""
    start = input_point(s, s.source())
    plate = half(s, 0.0, halves(s, 2)[-1] if "half" in s.stage.circuit.lower() else "", start)
    feed(s, [0.0])
    x, y = -0.4, BASE
    s.dot((x, y + 0.5))
    for index, (joint, words) in enumerate(((plate, "one phase"), ((x, y + 0.5), "other phase"))):
        s.wire(joint, (1.6, joint[1]))
        s.part("capacitor", s.stage.coupling, (1.6, joint[1]), (3.4, joint[1]), "above" if index == 0 else "below")
        s.port((3.4, joint[1]), "right", (f"to {s.receiver() or 'next stage'},", words))
