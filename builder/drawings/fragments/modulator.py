"""Circuit of a push-pull audio stage with an output transformer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from builder.drawings import subcircuits as piece
from builder.drawings.drawing import Drawing, Medium, fragment
from builder.drawings.schematic import Point
from builder.drawings.stage_schematic import StageSchematic
from builder.drawings.theme import SMALL
from builder.examine import Examination

APART = 2.7
"""From the middle line to the middle of each tube, in units."""
JOINT = -2.6
"""Where the grid leaks hang."""
WINDING = 1.5
"""Half the length of a winding with its leads."""


@dataclass(frozen=True)
class Pair:
    """The two tubes, the lower one standing on its head."""

    upper: Any
    lower: Any


@fragment("modulator")
def modulator(examination: Examination, path: str, medium: Medium) -> Drawing:
    """Grid circuits, two tubes, common cathode circuit, screens, output transformer."""
    s = StageSchematic(examination, path)
    pair = Pair(piece.tube(s, (0.0, APART)), piece.tube(s, (0.0, -APART), upside_down=True))
    names(s)
    grids(s, pair)
    x = cathodes(s, pair)
    if s.stage.screen_grid:
        x = screens(s, pair, x)
    plates(s, pair, x + 4.6)
    return s.finish("push-pull audio stage", medium)


def names(s: StageSchematic) -> None:
    """Sockets and type at each tube; half of the bulbs each."""
    sockets = s.stage.tubes.sockets
    middle = (len(sockets) + 1) // 2
    piece.tube_words(s, (-0.85, APART + 1.3), ", ".join(sockets[:middle]))
    piece.tube_words(s, (-0.85, -APART - 1.3), ", ".join(sockets[middle:]) or sockets[0])


def grids(s: StageSchematic, pair: Pair) -> None:
    """Both grids, from a transformer or from two lines with leaks."""
    if s.stage.input_transformer:
        input_transformer(s, pair)
        return
    circuit = s.stage.grid
    for element, side, phase in ((pair.upper, "above", "one phase"), (pair.lower, "below", "other phase")):
        grid = element.control
        joint = (JOINT, grid[1])
        s.part("resistor", circuit.stopper, joint, grid, side)
        s.part("capacitor", circuit.coupling, (-4.6, grid[1]), joint, side)
        s.port((-4.6, grid[1]), "left", (*s.source(), phase))
        if circuit.leak:
            s.dot(joint)
            s.part("resistor", circuit.leak, joint, (JOINT, 0.0), "left")
    grid_notes(s, pair.upper.control, JOINT)
    if circuit.leak:
        bias_joint(s, (JOINT, 0.0), "left")


def grid_notes(s: StageSchematic, grid: Point, left: float) -> None:
    """Bias and current under the upper grid's lead."""
    s.note(((left + grid[0]) / 2 + 0.15, grid[1] - 0.12), "below", "grid_bias", "grid_current")


def bias_joint(s: StageSchematic, joint: Point, toward: str) -> None:
    """Where the grids get their bias: a supply, or the chassis."""
    x, y = joint
    s.dot(joint)
    away = -1 if toward == "left" else 1
    if s.stage.grid.supply:
        s.wire(joint, (x + 0.6 * away, y))
        s.port((x + 0.6 * away, y), toward, s.bias_words())
    else:
        s.wire(joint, (x + 0.6 * away, y), (x + 0.6 * away, y - 0.3))
        s.ground((x + 0.6 * away, y - 0.3))


def input_transformer(s: StageSchematic, pair: Pair) -> None:
    """The driver transformer, its secondary tapped in the middle for the bias."""
    x = -5.0
    for element, end in ((pair.upper, WINDING), (pair.lower, -WINDING)):
        grid = element.control
        s.wire((x, end), (x, grid[1]), grid)
    s.symbol("winding", (x, -WINDING), (x, WINDING))
    s.core((x - 0.5, 1.1), 2.2)
    s.symbol("winding", (x - 1.0, WINDING), (x - 1.0, -WINDING))
    for end, side in ((WINDING, "upper end"), (-WINDING, "lower end")):
        s.port((x - 1.0, end), "above" if end > 0 else "below", (*s.source(), side), "left")
    s.words((x - 1.4, 0.0), (s.stage.input_transformer,), "left")
    bias_joint(s, (x, 0.0), "right")
    grid_notes(s, pair.upper.control, x + 1.5)


def cathodes(s: StageSchematic, pair: Pair) -> float:
    """Both cathodes to one point and on to the chassis; returns how far right that reaches."""
    start = common_cathode(s, pair)
    meter = s.meter("plate current", "cathode")
    joint = (start[0] + 1.7, 0.0)
    s.put_meter(meter, start, joint, "above")
    circuit = s.stage.cathode
    if circuit is None or circuit.resistor is None:
        s.wire(joint, (joint[0], -0.3))
        s.ground((joint[0], -0.3))
        return joint[0] + 0.4
    s.part("resistor", circuit.resistor, joint, (joint[0], -1.7))
    s.ground((joint[0], -1.7))
    if circuit.bypass is None:
        return joint[0] + 1.6
    beside = (joint[0] + 1.9, 0.0)
    s.dot(joint)
    s.wire(joint, beside)
    s.part("capacitor", circuit.bypass, beside, (beside[0], -1.7))
    s.ground((beside[0], -1.7))
    return beside[0] + 1.7


def common_cathode(s: StageSchematic, pair: Pair) -> Point:
    """Where both cathodes meet: on the wire between them, or at the middle of the filament winding."""
    if "heat1" not in pair.upper.anchors:
        s.wire(pair.upper.cathode, pair.lower.cathode)
        joint = (pair.upper.cathode[0], 0.0)
        s.dot(joint)
        return joint
    left, right = pair.upper.heat1, pair.upper.heat2
    s.wire(left, pair.lower.heat1)
    s.wire(right, pair.lower.heat2)
    upper, lower = 0.62, -0.62
    s.dot((left[0], upper), (right[0], lower))
    s.wire((left[0], upper), (right[0] - 0.14, upper))
    s.hop_across((right[0], upper))
    s.wire((right[0] + 0.14, upper), (1.3, upper))
    s.wire((right[0], lower), (1.3, lower))
    s.symbol("filament winding", (1.3, lower), (1.3, upper))
    s.words((1.5, 0.95), s.filament_words(), "right", size=SMALL)
    return (1.3, 0.0)


def screens(s: StageSchematic, pair: Pair, x: float) -> float:
    """Both screens to one line and its feed; returns how far right the line stands."""
    upper, lower = pair.upper.screen, pair.lower.screen
    bus = max(x, 2.4)
    s.wire(upper, (bus, upper[1]), (bus, lower[1]), lower)
    s.note((1.75, upper[1] - 0.12), "below", "screen_voltage", "screen_current")
    circuit = s.stage.screen
    if circuit is None:
        return bus
    s.dot((bus, 1.9))
    end = (bus + (2.0 if circuit.through else 0.8), 1.9)
    s.part("resistor", circuit.through, (bus, 1.9), end, "below")
    words = s.supply_words(circuit.supply or s.stage.plate.supply)
    s.port(end, "right", words, "above" if circuit.through else "right")
    if circuit.bypass:
        beside = (bus + 0.9, -1.2)
        s.dot((bus, -1.2))
        s.wire((bus, -1.2), beside)
        s.part("capacitor", circuit.bypass, beside, (beside[0], -2.8))
        s.ground((beside[0], -2.8))
    return bus


def plates(s: StageSchematic, pair: Pair, x: float) -> None:
    """The output transformer: plates at the ends of its primary, the supply in the middle."""
    high = APART + 2.2
    for element, sign in ((pair.upper, 1), (pair.lower, -1)):
        anode = element.anode
        s.wire(anode, (anode[0], sign * high), (x, sign * high), (x, sign * WINDING))
    s.note((0.15, APART + 1.68), "right", "plate_voltage", "plate_current")
    s.symbol("winding", (x, WINDING), (x, -WINDING))
    s.wire((x, 0.0), (x - 0.5, 0.0))
    s.port((x - 0.5, 0.0), "left", s.supply_words(s.stage.plate.supply))
    s.core((x + 0.5, 1.1), 2.2)
    s.symbol("winding", (x + 1.0, -WINDING), (x + 1.0, WINDING))
    secondary(s, x + 1.0)


def secondary(s: StageSchematic, x: float) -> None:
    """The ends of the secondary and what they lead to."""
    transformer, ratio = s.stage.transformer, s.reads("transformer_ratio")
    if transformer:
        s.words((x + 0.4, 0.0), (transformer.part, *(f"{text} : 1" for text in ratio)), "right")
    upper, lower = secondary_words(s)
    s.wire((x, WINDING), (x + 0.6, WINDING))
    s.wire((x, -WINDING), (x + 0.6, -WINDING))
    s.port((x + 0.6, WINDING), "right", upper)
    s.port((x + 0.6, -WINDING), "right", lower)


def secondary_words(s: StageSchematic) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What the upper and the lower end of the secondary lead to."""
    modulated: Any = s.examination.rig.stages.get(s.stage.modulates or "")
    if modulated is not None:
        feed = (f"to {s.stage_title(s.stage.modulates)},", "plate feed")
        return feed, s.supply_words(modulated.plate.supply)
    receiver = f"to {s.receiver() or 'next stage'},"
    return (receiver, "one phase"), (receiver, "other phase")
