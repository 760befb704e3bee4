"""A circuit of one stage: the schematic with the stage's values, tubes and neighbours at hand."""

from __future__ import annotations

from typing import Any

from builder.examine import Examination
from builder.rig.model import Meter
from builder.rig.stage import Stage

from .drawing import Drawing, Medium
from .schematic import DIRECTION, Point, Schematic
from .theme import SMALL, Ink

BASE = -3.4
"""Height of the chassis line below the middle of a tube, in units."""


class StageSchematic(Schematic):
    """The schematic of a stage. The middle of its first tube is the origin.

    Args:
        examination: of the rig.
        path: of the stage, such as ``stages.pa``.
    """

    def __init__(self, examination: Examination, path: str) -> None:
        super().__init__(examination.rig.parts)
        self.examination = examination
        self.path = path
        self.name = path.rsplit(".", 1)[-1]
        self.stage: Any = examination.rig.stages[self.name]

    def reads(self, *names: str) -> tuple[str, ...]:
        """Values of the stage as text; what cannot be had is left out."""
        found = (self.examination.value(self.path, name) for name in names)
        return tuple(value.plain for value in found if value)

    def note(self, point: Point, side: str, *names: str) -> None:
        """Values beside an electrode."""
        self.words(point, self.reads(*names), side, Ink.SECOND, SMALL)

    def stage_title(self, name: str | None) -> str:
        """What another stage is called; the words themselves where they name none."""
        if not name:
            return ""
        other: Stage | None = self.examination.rig.stages.get(name)
        return other.title(name) if other else name

    def supply_words(self, name: str | None, sign: str = "B+") -> tuple[str, ...]:
        """Voltage and name of a supply."""
        supply = self.examination.rig.supplies.get(name or "")
        if supply is None or name is None:
            return (sign,)
        voltage = self.examination.value(f"supplies.{name}", "output_voltage")
        return (f"{sign} {voltage.plain}" if voltage else sign, supply.title(name))

    def receiver(self) -> str:
        """Where the output goes."""
        return self.stage_title(self.stage.output.into)

    def source(self) -> str:
        """Where the drive comes from."""
        if self.stage.driven_by:
            return self.stage_title(self.stage.driven_by)
        return getattr(self.stage, "input", None) or self.examination.rig.exciter or "previous stage"

    def meter(self, value: str, *where: str) -> Meter | None:
        """The panel meter that shows a value of this stage at one of some spots."""
        for meter in self.examination.rig.meters.values():
            shown = meter.shows.stage == self.name and meter.shows.value == value
            if shown and any(word in (meter.at or "") for word in where):
                return meter
        return None

    def put_meter(self, meter: Meter | None, start: Point, end: Point, side: str = "right") -> None:
        """A meter in a line, or a plain wire where there is none."""
        if meter is None:
            self.wire(start, end)
            return
        self.symbol("meter", start, end)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self.words(middle, ("mA" if meter.range.unit == "A" else meter.range.unit,), "middle", size=SMALL)
        across, up = DIRECTION[side]
        spot = (middle[0] + 0.57 * across, middle[1] + 0.57 * up)
        self.words(spot, (meter.part or "", meter.label), side, size=SMALL)

    def filament_words(self) -> tuple[str, ...]:
        """Voltage of the filament, as the tube wants it."""
        return (*self.reads("heater_voltage_nominal"), "filament")

    def finish(self, what: str, medium: Medium) -> Drawing:
        """Finish the drawing under the stage's name."""
        title = self.stage.title(self.name)
        tubes = self.stage.tubes
        description = f"{title}: {what}, with {', '.join(tubes.sockets)}, {tubes.type}."
        return self.drawing(f"fragment-stages-{self.name}", f"Circuit of {title}", description, medium)
