"""Circuit of a grid-driven final."""

from __future__ import annotations

from builder.drawings import subcircuits as piece
from builder.drawings.drawing import Drawing, Medium, fragment
from builder.drawings.networks import hang, network
from builder.drawings.schematic import Point
from builder.drawings.stage_schematic import StageSchematic
from builder.examine import Examination


@fragment("rf power")
def rf_power(examination: Examination, path: str, medium: Medium) -> Drawing:
    """Grid circuit, tube, plate feed and output network of a final."""
    s = StageSchematic(examination, path)
    element = piece.tube(s)
    piece.tube_words(s, (-0.85, 1.7))
    piece.grid_input(s, element.control, s.source())
    piece.emitter_return(s, element)
    joint = piece.plate_line(s, element.anode)
    feed = piece.plate_feed(s, joint, s.stage.output.choke)
    piece.screen_feed(s, element.screen if s.stage.screen_grid else (0, 0), feed)
    piece.modulated_feed(s, feed)
    neutralising(s, joint)
    output(s, joint)
    return s.finish("grid-driven final", medium)


def neutralising(s: StageSchematic, joint: Point) -> None:
    """The capacitor that feeds back what the tube lets through the wrong way."""
    if s.stage.neutralised_by:
        x, y = joint
        s.part("capacitor", s.stage.neutralised_by, (x - 0.7, y), (x - 2.3, y), "above")
        s.wire((x, y), (x - 0.7, y))
        s.wire((x - 2.3, y), (x - 2.6, y))
        s.port((x - 2.6, y), "left", ("to the input circuit,", "opposite phase"))


def output(s: StageSchematic, joint: Point) -> None:
    """Blocking capacitor, network, safety choke, terminal."""
    y = joint[1]
    s.wire(joint, (4.3, y))
    s.part("capacitor", s.stage.output.blocking, (4.3, y), (5.9, y), "above")
    s.wire((5.9, y), (7.0, y))
    end = network(s, (7.0, y))
    if s.stage.output.safety_choke:
        s.wire(end, (end[0] + 2.0, y))
        end = (end[0] + 2.0, y)
        hang(s, "choke", s.stage.output.safety_choke, end)
    piece.output_port(s, (end[0] + 1.5, y), end)
