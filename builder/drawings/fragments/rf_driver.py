"""Circuit of a buffer, multiplier or driver."""

from __future__ import annotations

from builder.drawings import subcircuits as piece
from builder.drawings.drawing import Drawing, Medium, fragment
from builder.drawings.stage_schematic import StageSchematic
from builder.examine import Examination


@fragment("rf driver")
def rf_driver(examination: Examination, path: str, medium: Medium) -> Drawing:
    """Grid circuit, tube, and a tuned or untuned plate circuit."""
    s = StageSchematic(examination, path)
    element = piece.tube(s)
    piece.tube_words(s, (-0.85, 1.7))
    piece.grid_input(s, element.control, s.source())
    piece.emitter_return(s, element)
    joint = piece.plate_line(s, element.anode)
    if s.stage.screen_grid:
        piece.screen_feed(s, element.screen)
    if s.stage.coil or s.stage.tune:
        top = piece.tank(s, s.stage.coil, s.stage.tune, joint)
        if s.stage.choke:
            s.part("choke", s.stage.choke, top, (top[0], top[1] + 2.0), "left")
            top = (top[0], top[1] + 2.0)
    else:
        top = piece.plate_feed(s, joint, s.stage.choke)
    piece.supply_port(s, top, s.stage.plate.through)
    piece.output_port(s, (4.6, joint[1]), joint)
    return s.finish(s.stage.plate_circuit, medium)
