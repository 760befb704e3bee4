"""A circuit of one stage: the schematic with the stage's values, tubes and neighbours at hand."""

from __future__ import annotations

from typing import Any

from builder.examine import Examination
from builder.quantity import show
from builder.rig.model import Meter
from builder.rig.stage import Stage

from .drawing import Drawing, Medium
from .schematic import Point, Schematic
from .theme import SMALL, Ink
from .typeface import wrapped

BASE = -3.4
"""Height of the chassis line below the middle of a tube, in units."""

DOWN = 1.6
"""Height of a line of its own under the circuit, in units."""
WORDS = 125.0
"""Longest line of words at a terminal, in pixels."""


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

    def supply_words(self, name: str | None, sign: str = "B+ ") -> tuple[str, ...]:
        """Voltage and name of a supply."""
        supply = self.examination.rig.supplies.get(name or "")
        if supply is None or name is None:
            return (sign.strip(),)
        voltage = self.examination.value(f"supplies.{name}", "output_voltage")
        return (f"{sign}{voltage.plain}" if voltage else sign.strip(), supply.title(name))

    def bias_words(self) -> tuple[str, ...]:
        """Voltage and name of the supply of the grids."""
        return self.supply_words(self.stage.grid.supply, "bias −")

    def receiver(self) -> str:
        """Where the output goes."""
        if self.stage.output.into:
            return self.stage_title(self.stage.output.into)
        stages = self.examination.rig.stages.items()
        return next((other.title(name) for name, other in stages if other.driven_by == self.name), "")

    def source(self) -> tuple[str, ...]:
        """Where the drive comes from, on as many lines as that takes."""
        known = self.stage_title(self.stage.driven_by) or getattr(self.stage, "input", None)
        return wrapped(f"from {known or self.examination.rig.exciter or 'previous stage'}", SMALL, WORDS, 3)

    def meter(self, value: str, *where: str) -> Meter | None:
        """The panel meter that shows a value of this stage at one of some spots."""
        for meter in self.examination.rig.meters.values():
            shown = meter.shows.stage == self.name and meter.shows.value == value
            if shown and any(word in (meter.at or "") for word in where):
                return meter
        return None

    def filament_words(self) -> tuple[str, ...]:
        """Voltage of the filament, as the tube wants it."""
        return (*self.reads("heater_voltage_nominal"), "filament")

    def heater_lead(self) -> None:
        """Under the circuit, the heater lead where a resistor stands in it."""
        heater = self.stage.heater
        if heater.through is None:
            return
        winding = self.examination.rig.windings.get(heater.winding or "")
        y = self.foot() - DOWN
        self.port((-1.0, y), "left", (f"{winding.voltage}", winding.part) if winding else ("heater winding",))
        self.part("resistor", heater.through, (-1.0, y), (1.0, y), "above")
        self.port((1.0, y), "right", (f"heater of {', '.join(self.stage.tubes.sockets)}",))

    def air(self) -> None:
        """Under the circuit, the blower and its flow."""
        air = self.stage.cooling
        if air.blower is None:
            return
        flow = f"air, {show(air.air.value, air.air.unit)}" if air.air else "air"
        words = wrapped(f"{flow} from {air.blower}", SMALL, WORDS, 2)
        self.words((0.0, self.foot() - 0.3), words, "below", Ink.SECOND, SMALL)

    def finish(self, what: str, medium: Medium) -> Drawing:
        """Finish the drawing under the stage's name."""
        self.heater_lead()
        self.air()
        title = self.stage.title(self.name)
        tubes = self.stage.tubes
        description = f"{title}: {what}, with {', '.join(tubes.sockets)}, {tubes.type}."
        return self.drawing(f"fragment-stages-{self.name}", f"Circuit of {title}", description, medium)
