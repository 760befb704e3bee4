"""The chain of radio-frequency power from oscillator to antenna: what each stage gives, what the next one needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from builder.examination.value import Value
from builder.examine import Examination
from builder.physics.metering import decibels
from builder.quantity import show

MILLIWATT = 1e-3
"""Reference of levels in dBm, watt."""


@dataclass(frozen=True)
class Step:
    """One stage of the chain.

    Args:
        thing: path of the stage; empty for what drives the rig from outside.
        title: of the stage.
        watts: what it gives.
        level: the same in dBm.
        needed: what the next stage needs, watt; None where that is not known.
        volts: radio-frequency voltage where the power arrives; empty where it is not known.
        to: title of what it drives.
    """

    thing: str
    title: str
    watts: float
    level: float
    needed: float | None
    volts: str
    to: str

    @property
    def power_text(self) -> str:
        """Power for reading."""
        return show(self.watts, "W")

    @property
    def level_text(self) -> str:
        """Level for reading."""
        return dbm(self.level)

    @property
    def needed_level(self) -> float | None:
        """What the next stage needs, in dBm."""
        return float(decibels(self.needed, MILLIWATT)) if self.needed else None

    @property
    def needed_text(self) -> str:
        """What the next stage needs, for reading."""
        return show(self.needed, "W") if self.needed else ""

    @property
    def margin_text(self) -> str:
        """How much more is there than is needed."""
        if self.needed is None or self.needed_level is None:
            return ""
        return f"{self.level - self.needed_level:+.1f} dB".replace("-", "\u2212")


def dbm(level: float) -> str:
    """A level for reading."""
    return f"{level:.1f} dBm".replace("-", "\u2212")


def steps(examination: Examination) -> tuple[Step, ...]:
    """The chain in the order of the signal; stages whose output is not known are left out."""
    return tuple(_steps(examination))


def _steps(examination: Examination) -> Iterator[Step]:
    chain = _chain(examination)
    first = f"stages.{chain[0]}"
    outside = examination.value(first, "drive_power")
    if examination.rig.exciter and outside:
        yield _step(examination, "", "Exciter", outside, chain[0])
    for name, after in zip(chain, (*chain[1:], ""), strict=True):
        output = examination.value(f"stages.{name}", "output_power")
        if output:
            yield _step(examination, f"stages.{name}", examination.rig.stages[name].title(name), output, after)


def _chain(examination: Examination) -> tuple[str, ...]:
    """Names of the stages that lead to the final, the first one first."""
    found: list[str] = []
    name: str | None = examination.rig.final
    while name and name not in found:
        found.append(name)
        name = examination.rig.stages[name].driven_by
    return tuple(reversed(found))


def _step(examination: Examination, thing: str, title: str, output: Value, after: str) -> Step:
    watts = output.nominal
    path = f"stages.{after}"
    needed = (examination.value(path, "drive_needed") if thing else None) if after else None
    to = examination.rig.stages[after].title(after) if after else "antenna"
    arrives = examination.value(path, "peak_drive") if after else _at_the_antenna(examination, thing)
    volts = f"{arrives.plain} peak" if arrives else ""
    level = float(decibels(watts, MILLIWATT))
    return Step(thing, title, watts, level, needed.nominal if needed and needed.nominal else None, volts, to)


def _at_the_antenna(examination: Examination, thing: str) -> Value | None:
    final = examination.rig.stages[thing.split(".", 1)[1]]
    network = getattr(getattr(final, "output", None), "network", None)
    return examination.value(f"networks.{network}", "output_swing") if network else None
