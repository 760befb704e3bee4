"""Checks as declarations, and what comes of them."""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from builder.quantity import show
from builder.reference.tables import word
from builder.rig.thing import Thing

from .judge import Judgement, Verdict
from .value import Missing, Origin, Value, shown_number
from .working import chain

Applies = Callable[[Any], bool]
SHORT = 1.0
"""Seconds; room to a limit below it is told as a time, since relays are thought of in milliseconds."""


@dataclass(frozen=True)
class Check:
    """One check.

    Args:
        title: in a few words; its id is the title with hyphens.
        subject: name of the module that it stands in.
        of: class of the things that it looks at.
        source: key of sources.yaml, with a locator behind a comma.
        margin: share of the limit that counts as close.
        why: what happens otherwise.
        remedy: what to do.
        function: from values to a judgement; its parameters are value names.
        applies: whether a thing is concerned at all.
        each_carrier: whether it is judged on each carrier with readings rather than on the first.
        every_carrier: whether it is judged on all carriers, readings or not, as the parts alone decide it.
        person: whether people, not only parts, are at stake.
    """

    title: str
    subject: str
    of: type[Thing]
    source: str
    margin: float
    why: str
    remedy: str
    function: Callable[..., Judgement]
    applies: Applies
    each_carrier: bool
    person: bool
    every_carrier: bool = False

    @property
    def id(self) -> str:
        """Name for commands and links."""
        return self.title.replace(" ", "-")

    @cached_property
    def parameters(self) -> tuple[str, ...]:
        """Names of the values that it needs; the first is the one judged."""
        return tuple(inspect.signature(self.function).parameters)

    @cached_property
    def rule(self) -> str:
        """What it asks for, from its docstring."""
        return inspect.cleandoc(self.function.__doc__ or "").split("\n\n", 1)[0].replace("\n", " ")


CHECKS: dict[str, Check] = {}
Declared = Callable[..., Judgement]


def check(  # noqa: PLR0913 - a declaration names all of its parts
    title: str, *, of: type[Thing], source: str, why: str, remedy: str, margin: float = 0.0,
    applies: Applies = lambda _thing: True, each_carrier: bool = False, every_carrier: bool = False,
    person: bool = False,
) -> Callable[[Declared], Declared]:  # fmt: skip
    """Declare a check; it is listed everywhere from then on."""

    def register(function: Declared) -> Declared:
        subject = function.__module__.rsplit(".", 1)[-1].replace("_", " ")
        made = Check(
            title, subject, of, source, margin, why, remedy, function, applies, each_carrier, person, every_carrier
        )
        CHECKS[made.id] = made
        return function

    return register


@dataclass(frozen=True)
class Finding:
    """The outcome of one check on one thing.

    Args:
        check: that was made.
        thing: path of the thing, such as ``stages.pa``.
        title: of the thing.
        carrier: on which it was judged; empty where it does not matter.
        verdict: outcome.
        judgement: comparison, where one could be made.
        values: what went in, by parameter.
        missing: what could not be had.
        reason: why nothing is shown, in words.
    """

    check: Check
    thing: str
    title: str
    carrier: str
    verdict: Verdict
    judgement: Judgement | None
    values: Mapping[str, Value]
    missing: tuple[Missing, ...] = ()
    reason: str = ""

    @property
    def id(self) -> str:
        """Name for links: check, thing, carrier."""
        parts = (self.check.id, self.thing.replace(".", "-").replace(" ", "-"), self.carrier)
        return "-".join(part for part in parts if part)

    @property
    def judged(self) -> Value | None:
        """The value that is judged."""
        named = self.judgement.of if self.judgement else ""
        return self.values.get(named or self.check.parameters[0])

    @property
    def unit(self) -> str:
        """Unit in which value and limits are read."""
        return self.judged.shown_unit if self.judged else ""

    @property
    def value_text(self) -> str:
        """What was judged, with its accuracy; empty where nothing could be."""
        return shown_number(self.judgement.value, self.unit) if self.judgement else ""

    @property
    def limit_text(self) -> str:
        """The rule and its limits in numbers; empty where nothing could be judged."""
        if self.judgement is None:
            return ""
        return f"{self.judgement.how} {' and '.join(shown_number(limit, self.unit) for limit in self.judgement.limits)}"

    @property
    def room_text(self) -> str:
        """How far the limit is, in words; empty where nothing could be judged or the limit is endless."""
        if self.room is None or self.judgement is None or not math.isfinite(self.room):
            return ""
        size = float(getattr(self.judgement.limits[0], "nominal_value", self.judgement.limits[0]))
        if self.unit == "Hz" or (self.unit == "s" and 0 < abs(size) < SHORT):
            return self._beside(show(abs(self.room * size), self.unit))
        if self.room > 1:
            return f"{self.room + 1:.3g} times what is asked for"
        return self._beside(f"{show(abs(self.room), '%', 2)} of the limit")

    def _beside(self, size: str) -> str:
        return f"{size} to spare" if self.room is None or self.room >= 0 else f"beyond it by {size}"

    @property
    def limits(self) -> tuple[Value, ...]:
        """The values that it was held against."""
        return tuple(self.values[name] for name in self.check.parameters[1:] if name in self.values)

    @property
    def room(self) -> float | None:
        """Room to the limit as a share of it; negative beyond it."""
        if self.judgement is None:
            return None
        return float(getattr(self.judgement.room, "nominal_value", self.judgement.room))

    @property
    def assumed(self) -> tuple[str, ...]:
        """Values of the rig file that could be measured, in a finding that rests on readings too."""
        parts = [part for value in self.values.values() for part in chain(value)]
        if not any(part.origin is Origin.MEASURED for part in parts):
            return ()
        given = (
            part for part in parts if part.origin is Origin.GIVEN and (entry := word(part.name)) and entry.measured
        )
        return tuple(dict.fromkeys(f"{part.thing.rsplit('.', 1)[-1]}: {part.words}" for part in given))

    @property
    def needs(self) -> tuple[str, ...]:
        """What to measure or to write down, so that it can be shown."""
        return tuple(dict.fromkeys(need for gap in self.missing for need in gap.needs))
