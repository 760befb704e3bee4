"""Parameters of tube models fitted to published class C columns, the columns they rest on, and how far they err."""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Literal, NamedTuple

from pydantic import ValidationError

from builder.document import read
from builder.physics.tubes import Tetrode, Triode
from builder.problem import BadInput, Problem
from builder.quantity import parse
from builder.reference.tables import HOME, Column, Entry, Facts, Tube, tube_file, tube_types

SERVICES = ("class C telegraphy", "class C plate-modulated")
LEFT_OUT = {
    "6146-T-400-175MHz": "its drive power covers circuit loss at very high frequency",
    "4CX250B-T-500": "its efficiency lies outside that of class C columns; the low plate voltage leaves little swing",
    "4-65A-P-2500": "its efficiency lies outside that of class C columns",
    "4-125A-T-2000": "its grid reaches 15 per cent too little above cut-off for its current beside the other columns",
    "811A-P-1250": "its grid reaches 28 per cent too far above cut-off for its current beside the other columns",
}
"""Class C columns that are not fitted, and why: each breaks an identity that the others keep, whatever it says."""
LEAST_COLUMNS = 2
SAME_AS = {"1625": "807", "6146B": "6146"}
"""Types whose electrodes are those of another, so that the other's fit is theirs: heater and base or ratings differ."""
FULL_DRIVE_SOURCES = ("eimac-manual", "eimac-4cx250b")
"""Sources whose driving power is peak drive times grid current; in the others it is 0.9 times that."""
DRIVE_SPREAD, IDENTITY_SPREAD = 0.05, 0.08
"""Standard uncertainty of a published peak drive, and of one worked out from driving power, before rounding."""
WORDS = {
    "plate voltage": "voltage", "screen voltage": "voltage", "grid voltage": "voltage", "peak drive": "voltage",
    "plate current": "current", "screen current": "current", "grid current": "current", "drive power": "power",
    "output power": "power",
}  # fmt: skip
"""What is read of a column, with its dimension; the hash covers these."""


MODEL, RULE, BOTH, METERED = "model", "rule", "model and rule", "model and grid meter"
PREDICTORS = {
    ("triodes", "meters", "output power"): BOTH, ("tetrodes", "meters", "output power"): BOTH,
    ("triodes", "meters", "plate dissipation"): BOTH, ("tetrodes", "meters", "plate dissipation"): BOTH,
    ("triodes", "meters and watts", "grid current"): BOTH,
    ("triodes", "meters and watts", "drive power"): METERED, ("tetrodes", "meters and watts", "drive power"): METERED,
}  # fmt: skip
"""What a result is shown by where that is not the model alone; one choice for a whole result, made beforehand.

Efficiency, and a triode's grid current, have two estimates that err for different reasons, and neither leaves out a
voltage that matters: the model, and the middle of the type's other columns. Their mean, each weighed by the inverse of
its mean square error, errs less than either (source: bates-granger). Drive and the electrode currents of a tetrode lean
on the screen voltage, which the middle of the columns knows nothing of, and no prediction from drive may ignore the
drive: there the model stands alone. Driving power needs no modelled grid current where the grid has a meter: it is 0.9
of drive times that current (source: rca-tt-columns).
"""


class Drive(NamedTuple):
    """Peak drive of a column, its relative standard uncertainty, and whether the maker states it."""

    peak: float
    spread: float
    published: bool


class Rule(Entry):
    """What a type's columns say of its grid current without any model, SI."""

    grid_current: float
    """Middle of the columns."""
    least_plate_current: float
    most_plate_current: float

    def at(self, plate_current: float) -> float:
        """Grid current of one tube: the middle of the columns, in step with plate current beyond their span.

        Args:
            plate_current: of one tube.
        """
        nearest = min(max(plate_current, self.least_plate_current), self.most_plate_current)
        return self.grid_current * plate_current / nearest


class Fit(Facts):
    """One type's fitted parameters: SI, perveance in ampere per volt to the power 3/2."""

    type: str
    kind: Literal["triode", "tetrode"]
    mu: float
    mu_published: float
    perveance: float
    division: float | None = None
    grid_division: float | None = None
    screen_division: float | None = None
    knee: float | None = None
    swing: float
    """Middle of plate swing over plate voltage over its columns."""
    columns: tuple[str, ...]
    columns_hash: str
    drives_worked_out: int
    rule: Rule
    residuals: tuple[dict[str, str], ...]

    @property
    def tube(self) -> Triode | Tetrode:
        """The model with these parameters."""
        if self.division is not None:
            return Triode(self.perveance, self.mu, self.division)
        return Tetrode(
            self.perveance, self.mu, self.grid_division or 0.0, self.screen_division or 0.0, self.knee or 1.0
        )


class Error(Facts):
    """How far a prediction errs on columns that were held out, as shares of the published value."""

    of: Literal["triodes", "tetrodes"]
    mode: Literal["meters and watts", "meters", "forward"]
    result: str
    by: Literal["model", "rule", "model and rule", "model and grid meter"]
    weight: float | None = None
    """Share of the model, where it is combined with the rule."""
    columns: int
    median: float
    p90: float
    worst: float

    @property
    def shown(self) -> bool:
        """Whether this is how the result is predicted; the other rows stand beside it for comparison."""
        return self.by == predictor(self.of, self.mode, self.result)


class Fits(Entry):
    """The whole table."""

    fits: tuple[Fit, ...]
    errors: tuple[Error, ...]


@cache
def table(path: Path = HOME / "fits.yaml") -> Fits:
    """Every fit and every error.

    Args:
        path: of the table.

    Raises:
        BadInput: the table is incomplete, or a value lacks source or mark.
    """
    document = read(path, path.name)
    if document.problems:
        raise BadInput(document.problems)
    try:
        return Fits.model_validate(document.data)
    except ValidationError as error:
        found = [
            Problem(document.place(tuple(row["loc"])), ".".join(map(str, row["loc"])), row["msg"])
            for row in error.errors()
        ]
        raise BadInput(found) from None


def fit(type_name: str) -> Fit | None:
    """Fit of a type; None where there is none.

    Args:
        type_name: as the tube files name it.
    """
    wanted = SAME_AS.get(type_name, type_name)
    return next((row for row in table().fits if row.type == wanted), None)


def predictor(of: str, mode: str, result: str) -> str:
    """What a result is shown by: the model, the rule, both together, or the model with the grid meter.

    Args:
        of: triodes or tetrodes.
        mode: what was known.
        result: by its words, such as "plate current".
    """
    return PREDICTORS.get((of, mode, result), MODEL)


def error(of: str, mode: str, result: str, by: str = "") -> Error | None:
    """How far one result errs; None where it was not tried.

    Args:
        of: triodes or tetrodes.
        mode: what was known.
        result: by its words, such as "plate current".
        by: predictor; that which is shown if left out.
    """
    wanted = (of, mode, result, by or predictor(of, mode, result))
    return next((row for row in table().errors if (row.of, row.mode, row.result, row.by) == wanted), None)


def combined(model: float, rule: float, weight: float) -> float:
    """Two estimates of one thing as one, their logarithms weighed; source: bates-granger.

    Args:
        model: one estimate, above zero.
        rule: the other, above zero.
        weight: share of the first.
    """
    return float(model**weight * rule ** (1 - weight))


def fitted_columns(tube: Tube) -> tuple[Column, ...]:
    """Class C columns of a type that tell enough to be fitted: one tube, one section, all currents and powers.

    Args:
        tube: from its file.
    """
    if tube.units != 1 or tube.type in SAME_AS or tube.data.text("mu") is None:
        return ()
    needed = {word for word in WORDS if word != "peak drive" and (tube_has_screen(tube) or "screen" not in word)}
    return tuple(
        row for row in tube.typical
        if row.service in SERVICES and row.id not in LEFT_OUT and row.tubes == 1
        and all(row.text(word) is not None for word in needed)
    )  # fmt: skip


def tube_has_screen(tube: Tube) -> bool:
    """Whether a type has a screen.

    Args:
        tube: from its file.
    """
    return "screen" in tube.electrodes


def peak_drive(column: Column) -> Drive:
    """Peak drive of a column: published, otherwise from driving power and grid current, with the rounding in it.

    Args:
        column: with driving power and grid current.
    """
    published = column.text("peak drive")
    if published is not None:
        return Drive(parse(published, "voltage").value, DRIVE_SPREAD, published=True)
    power, current = numbers(column)["drive power"], numbers(column)["grid current"]
    factor = 1.0 if column.source in FULL_DRIVE_SOURCES else 0.9
    decimals = len((column.text("drive power") or "").split()[0].partition(".")[2])
    rounding = 10**-decimals / 12**0.5 / power
    return Drive(power / (factor * current), (IDENTITY_SPREAD**2 + rounding**2) ** 0.5, published=False)


def numbers(column: Column) -> dict[str, float]:
    """What a column says, in SI, by its words.

    Args:
        column: one published column.
    """
    stated = {word: column.text(word) for word in WORDS}
    return {word: parse(text, WORDS[word]).value for word, text in stated.items() if text is not None}


def columns_hash(tube: Tube) -> str:
    """A name for the content of the columns that a fit rests on; it changes when one of them does.

    Args:
        tube: from its file.
    """
    rows = [[row.id, row.source, *(f"{word}={row.text(word)}" for word in WORDS)] for row in fitted_columns(tube)]
    content = [str(tube.data.text("mu")), *("|".join(row) for row in sorted(rows))]
    return sha256("\n".join(content).encode()).hexdigest()[:16]


@cache
def fitted_tubes() -> dict[str, Tube]:
    """Every type that has columns enough: one alone, without its peak drive, says too little about the tube."""
    found = {name: tube_file(path) for name, path in tube_types().items()}
    return {name: tube for name, tube in found.items() if len(fitted_columns(tube)) >= LEAST_COLUMNS}
