"""A circuit of one supply: the schematic with the supply's values, polarity and meters at hand."""

from __future__ import annotations

from builder.examine import Examination
from builder.rig.model import Meter
from builder.rig.supply import Supply

from .drawing import Drawing, Medium
from .schematic import Point, Schematic

FOOT = -1.0
"""Height at which parts reach the chassis, in units."""


class SupplySchematic(Schematic):
    """The schematic of a supply. The primary stands at zero.

    Args:
        examination: of the rig.
        path: of the supply, such as ``supplies.hv``.
    """

    def __init__(self, examination: Examination, path: str) -> None:
        super().__init__(examination.rig.parts)
        self.examination = examination
        self.path = path
        self.name = path.rsplit(".", 1)[-1]
        self.supply: Supply = examination.rig.supplies[self.name]

    @property
    def negative(self) -> bool:
        """Whether it feeds grids and nothing else, so that its positive side is at the chassis."""
        stages = self.examination.rig.stages.values()
        used = {name for name in ("grid", "plate", "screen") for stage in stages if self._feeds(stage, name)}
        return used == {"grid"}

    def _feeds(self, stage: object, electrode: str) -> bool:
        return getattr(getattr(stage, electrode, None), "supply", None) == self.name

    def voltage(self) -> str:
        """The output voltage with its sign."""
        found = self.examination.value(self.path, "output_voltage")
        sign = "−" if self.negative else "+"
        return f"{sign}{found.plain}" if found else sign

    def meter(self) -> Meter | None:
        """The panel meter in the return of the supply that shows the plate current of a stage that it feeds."""
        stages = self.examination.rig.stages
        for meter in self.examination.rig.meters.values():
            stage = stages.get(meter.shows.stage or "")
            current = meter.shows.value == "plate current"
            if stage and current and "B minus" in (meter.at or "") and self._feeds(stage, "plate"):
                return meter
        return None

    def dashed(self, start: Point, end: Point) -> None:
        """A line that stands for more of the same."""
        self.add(self._elements.Line(ls="--").at(start).to(end))

    def finish(self, medium: Medium) -> Drawing:
        """Finish the drawing under the supply's name."""
        title, found = self.supply.title(self.name), self.supply
        count = sum(section.choke is not None for section in found.filter)
        chokes = f"{count} choke{'s' if count > 1 else ''}" if count else "no choke"
        what = f"{found.rectifier.circuit} rectifier with {found.rectifier.type}, {chokes}"
        description = f"{title}: {what}, {self.voltage()}."
        return self.drawing(f"fragment-supplies-{self.name}", f"Circuit of {title}", description, medium)
