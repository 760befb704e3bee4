"""Fits the tube models to the published class C columns and writes builder/reference/fits.yaml.

Run with `python -m tests.make_fits` after a column has changed. Errors in variables: the drive of each column and the
plate swing are unknowns too, since peak drive is an approximate figure and plate current leans on it threefold.
"""

from dataclasses import dataclass
from functools import partial
from itertools import combinations

import numpy as np
import yaml
from scipy.optimize import least_squares

from builder.physics.class_c import grid_drive_power
from builder.physics.operating import operation_at_current, operation_at_swing, operation_from_meters
from builder.physics.tubes import Tetrode, Triode
from builder.reference.fits import (
    BOTH,
    METERED,
    MODEL,
    RULE,
    Rule,
    columns_hash,
    combined,
    fitted_columns,
    fitted_tubes,
    numbers,
    peak_drive,
    predictor,
    tube_has_screen,
)  # fmt: skip
from builder.reference.tables import HOME

SCALES = {"plate current": 0.015, "output power": 0.02, "grid current": 0.15, "screen current": 0.15}
"""How closely a column is taken to be printed, as shares."""
MU_SPREAD = 0.10
TRIODE_PRIORS = {"division": (2.4, 0.25)}
TETRODE_PRIORS = {"grid division": (8.0, 0.30), "screen division": (7.0, 0.60), "knee": (0.35, 0.20)}
"""Middle and spread of the parameters, from fits of ten glass tubes: slightly too kind to those ten."""
LEAST_SHARE, LEAST_SPREAD = 0.15, 0.6
"""Least plate voltage over plate voltage, and how widely it may lie, as a logarithm: of the study's own fits."""
BY_METERS_AND_WATTS = ("peak drive", "drive power", "grid current", "screen current")
BY_METERS = ("output power", "plate dissipation")
OUTPUT, GRID = ("meters", "output power"), ("meters and watts", "grid current")
"""What model and rule are combined for; plate dissipation follows from the output."""
HEAD = """\
# Made by `python -m tests.make_fits` from the class C columns of the tube files; do not edit by hand.
# The columns are remembered, not read: the errors below contain whatever was remembered wrongly.
"""


@dataclass(frozen=True)
class Columns:
    """Columns of one type as arrays, one entry for each column."""

    names: tuple[str, ...]
    mu: float
    screen: bool
    data: dict[str, np.ndarray]

    def rows(self, keep):
        """Some of the columns."""
        names = tuple(name for name, kept in zip(self.names, keep, strict=True) if kept)
        return Columns(names, self.mu, self.screen, {word: values[keep] for word, values in self.data.items()})

    def __len__(self):
        return len(self.names)


@dataclass(frozen=True)
class Result:
    """A fit: the model, the drive and swing that it finds for each column, and what is left over."""

    tube: Triode | Tetrode
    drive: np.ndarray
    swing: np.ndarray
    residuals: dict[str, np.ndarray]


def columns_of(tube):
    """The columns of a type as arrays."""
    rows = fitted_columns(tube)
    drives = [peak_drive(row) for row in rows]
    data = {word: np.array([numbers(row).get(word, 0.0) for row in rows]) for word in [*SCALES, "plate voltage"]}
    for word in ("grid voltage", "screen voltage", "drive power"):
        data[word] = np.array([numbers(row).get(word, 0.0) for row in rows])
    data["peak drive"] = np.array([drive.peak for drive in drives])
    data["drive spread"] = np.array([drive.spread for drive in drives])
    data["drive published"] = np.array([drive.published for drive in drives])
    return Columns(tuple(row.id for row in rows), float(tube.data.text("mu")), tube_has_screen(tube), data)


def priors_of(columns):
    return TETRODE_PRIORS if columns.screen else TRIODE_PRIORS


def tube_from(columns, unknown):
    """The model: perveance in 1e-3, then mu over the published one, then the divisions over their middles."""
    middles = [middle for middle, _spread in priors_of(columns).values()]
    shape = Tetrode if columns.screen else Triode
    rest = [middle * np.exp(value) for middle, value in zip(middles, unknown[2:], strict=False)]
    return shape(1e-3 * np.exp(unknown[0]), columns.mu * np.exp(unknown[1]), *(float(value) for value in rest))


def split(columns, unknown):
    """Model, drive and plate swing from the vector of unknowns, all of which are logarithms."""
    count = len(columns)
    tube = tube_from(columns, unknown[: -2 * count])
    drive = columns.data["peak drive"] * np.exp(unknown[-2 * count : -count])
    least = np.minimum(LEAST_SHARE * np.exp(unknown[-count:]), 0.95)
    return tube, drive, columns.data["plate voltage"] * (1 - least)


def made_by(tube, columns, drive, swing):
    """What the model makes of the columns at a drive and a swing."""
    data = columns.data
    found = operation_at_swing(tube, data["plate voltage"], data["grid voltage"], drive, swing, data["screen voltage"])
    return {
        "plate current": found.plate_current, "output power": found.output_power, "grid current": found.grid_current,
        "screen current": found.screen_current, "drive power": found.drive_power,
    }  # fmt: skip


def misses(columns, unknown):
    """Logarithmic residuals of the columns, in their own scales."""
    made = made_by(columns=columns, **dict(zip(("tube", "drive", "swing"), split(columns, unknown), strict=True)))
    words = [word for word in SCALES if columns.screen or "screen" not in word]
    return {word: np.log(np.maximum(made[word], 1e-9) / columns.data[word]) for word in words}


def fit(columns):
    """Errors-in-variables fit of one type: soft-L1 over residuals and priors together."""
    count, priors = len(columns), priors_of(columns)
    spreads = np.array([MU_SPREAD, *(spread for _middle, spread in priors.values())])

    def weighed(unknown):
        parts = [values / SCALES[word] for word, values in misses(columns, unknown).items()]
        own = unknown[1 : 1 + spreads.size] / spreads
        drive = unknown[-2 * count : -count] / columns.data["drive spread"]
        return np.concatenate([*parts, own, drive, unknown[-count:] / LEAST_SPREAD])

    start = np.zeros(1 + spreads.size + 2 * count)
    best = least_squares(weighed, start, loss="soft_l1", x_scale="jac", xtol=1e-9, ftol=1e-9, max_nfev=400)
    tube, drive, swing = split(columns, best.x)
    return Result(tube, drive, swing, {**misses(columns, best.x), "peak drive": best.x[-2 * count : -count]})


@dataclass(frozen=True)
class Prediction:
    """What is predicted of one column from others, and what it says itself; by mode and result."""

    published: dict[tuple[str, str], float]
    by_model: dict[tuple[str, str], float]
    by_rule: dict[tuple[str, str], float]

    def misses(self, key):
        """Logarithmic errors of model and rule; nothing where the model finds no answer."""
        pair = np.log([self.by_model[key] / self.published[key], self.by_rule[key] / self.published[key]])
        return [pair] if np.isfinite(pair).all() else []


def predictions(columns):
    """Every column, and every pair, predicted from the rest: columns left out, then the one that is predicted."""
    count = len(columns)
    return {
        left_out: predicted(columns, left_out)
        for size in (1, 2) if size < count for left_out in combinations(range(count), size)
    }  # fmt: skip


def predicted(columns, left_out):
    """Each of the columns left out, as the others have it."""
    keep = ~np.isin(np.arange(len(columns)), left_out)
    others = columns.rows(keep)
    result = fit(others)
    share = np.median(result.swing / others.data["plate voltage"])
    held = {index: columns.rows(np.arange(len(columns)) == index) for index in left_out}
    return {
        index: Prediction(said(row), modelled(row, result.tube, share), ruled(row, others))
        for index, row in held.items()
    }


def said(held):
    """What a column says, the peak drive only where the maker states it."""
    data = {word: float(values[0]) for word, values in held.data.items()}
    words = ["drive power", "grid current", *(["screen current"] if held.screen else [])]
    found = {("meters and watts", word): data[word] for word in words}
    found["meters", "output power"] = data["output power"]
    found["meters", "plate dissipation"] = input_power(data) - data["output power"]
    if data["drive published"]:
        found["meters and watts", "peak drive"] = data["peak drive"]
        found |= {("forward", word): data[word] for word in ("plate current", "output power")}
    return found


def modelled(held, tube, share):
    """One column under each of the three modes."""
    data = held.data
    common = (data["plate voltage"], data["grid voltage"])
    screen, swing = data["screen voltage"], share * data["plate voltage"]
    full = operation_from_meters(tube, *common, data["plate current"], data["output power"], screen)
    half = operation_at_current(tube, *common, swing, data["plate current"], screen)
    forward = made_by(tube, held, data["peak drive"], swing)
    found = {("meters and watts", word): getattr(full, word.replace(" ", "_")) for word in BY_METERS_AND_WATTS}
    found |= {("meters", word): getattr(half, word.replace(" ", "_")) for word in BY_METERS}
    found |= {("forward", word): forward[word] for word in ("plate current", "output power")}
    return {key: float(np.asarray(value).ravel()[0]) for key, value in found.items()}


def ruled(held, others):
    """One column by the plain rule: efficiency and currents as in the middle of the others."""
    data = {word: float(values[0]) for word, values in held.data.items()}
    output = np.median(others.data["output power"] / input_power(others.data)) * input_power(data)
    found = {("meters", "output power"): output, ("meters", "plate dissipation"): input_power(data) - output}
    for word in ["grid current", *(["screen current"] if held.screen else [])]:
        found["meters and watts", word] = rule_of(others, word).at(data["plate current"])
    return {key: float(value) for key, value in found.items()}


def rule_of(columns, word="grid current"):
    """The plain rule for a current."""
    own = columns.data["plate current"]
    values = {
        "grid current": np.median(columns.data[word]),
        "least plate current": own.min(),
        "most plate current": own.max(),
    }
    return Rule.model_validate({name: float(f"{value:.5g}") for name, value in values.items()})


def input_power(data):
    return data["plate voltage"] * data["plate current"]


def weight_of(misses):
    """Share of the model beside the rule, each weighed by the inverse of its mean square error."""
    by_model, by_rule = np.mean(np.square(misses), axis=0)
    return float(by_rule / (by_model + by_rule))


def weight_without(known, name, index, key):
    """The share as all columns but one have it: that one is left out of the fits and of the errors alike."""
    misses = []
    for other, found in known.items():
        for row in {row for left_out in found for row in left_out} - ({index} if other == name else set()):
            left_out = tuple(sorted({row, index})) if other == name else (row,)
            misses += found[left_out][row].misses(key) if left_out in found else []
    return weight_of(misses)


def shown(prediction, weigh):
    """What is predicted of a column by other means than the model or the rule alone: rows of (key, by, found)."""
    published, model, rule = prediction.published, prediction.by_model, prediction.by_rule
    output = combined(model[OUTPUT], rule[OUTPUT], weigh(OUTPUT))
    taken = published[OUTPUT] + published["meters", "plate dissipation"]
    yield OUTPUT, BOTH, output
    yield ("meters", "plate dissipation"), BOTH, taken - output
    yield GRID, BOTH, combined(model[GRID], rule[GRID], weigh(GRID))
    metered = grid_drive_power(model["meters and watts", "peak drive"], published[GRID])
    yield ("meters and watts", "drive power"), METERED, metered


def tried(prediction, weigh):
    """Everything predicted of a column: rows of (key, by, error)."""
    found = [(key, MODEL, value) for key, value in prediction.by_model.items()]
    found += [(key, RULE, value) for key, value in prediction.by_rule.items()]
    found += shown(prediction, weigh)
    published = prediction.published
    return [(key, by, off(value, published[key])) for key, by, value in found if key in published]


def off(found, published):
    """Error as a share of the published value; a result that could not be found counts as wholly wrong."""
    return float(np.nan_to_num(np.abs(found / published - 1), nan=1.0))


def known(tubes):
    """Predictions by kind of tube and type, over the types that have more than one column."""
    found = {"triodes": {}, "tetrodes": {}}
    for columns in filter(lambda columns: len(columns) > 1, map(columns_of, tubes)):
        found["tetrodes" if columns.screen else "triodes"][columns.names] = predictions(columns)
    return found


def grouped(known):
    """Errors of the columns held out, by kind of tube, mode, result and predictor."""
    groups = {}
    for of, types in known.items():
        for name, found in types.items():
            for index in range(len(name)):
                weigh = partial(weight_without, types, name, index)
                for (mode, result), by, error in tried(found[index,][index], weigh):
                    groups.setdefault((of, mode, result, by), []).append(error)
    return {key: errors for key, errors in groups.items() if key[-1] in {MODEL, RULE, predictor(*key[:-1])}}


def weights(known):
    """Shares of the model as all columns have them, by kind of tube, mode and result."""
    found = {
        (of, *key): weight_without(types, None, None, key) for of, types in known.items() for key in (OUTPUT, GRID)
    }
    return {key: round(weight, 3) for key, weight in found.items()}


def errors(known):
    """The leave-one-column-out table."""
    shares = weights(known)
    return [
        {
            "of": of, "mode": mode, "result": result, "by": by, "source": "classc-identities", "mark": "computed here",
            "columns": len(errors), "median": round(float(np.median(errors)), 4),
            "p90": round(float(np.quantile(errors, 0.9)), 4), "worst": round(max(errors), 4),
        } | ({"weight": shares[of, mode, result]} if by == BOTH and (of, mode, result) in shares else {})
        for (of, mode, result, by), errors in sorted(grouped(known).items())
    ]  # fmt: skip


def entry(tube):
    """One type's entry of the table."""
    columns = columns_of(tube)
    result = fit(columns)
    model = result.tube
    own = {"perveance": float(f"{model.perveance:.5g}"), "mu": round(float(model.mu), 4)}
    names = ("grid_division", "screen_division", "knee") if columns.screen else ("division",)
    own |= {name.replace("_", " "): round(getattr(model, name), 4) for name in names}
    left = [
        {"column": name} | {word: f"{100 * values[row]:.1f} %" for word, values in result.residuals.items()}
        for row, name in enumerate(columns.names)
    ]
    return {
        "type": tube.type, "kind": "tetrode" if columns.screen else "triode", "source": "classc-identities",
        "mark": "computed here", "mu published": columns.mu, **own,
        "swing": round(float(np.median(result.swing / columns.data["plate voltage"])), 4),
        "columns": list(columns.names), "columns hash": columns_hash(tube),
        "drives worked out": int((~columns.data["drive published"]).sum()),
        "rule": rule_of(columns).model_dump(by_alias=True), "residuals": left,
    }  # fmt: skip


def main():
    tubes = list(fitted_tubes().values())
    table = {"fits": [entry(tube) for tube in tubes], "errors": errors(known(tubes))}
    text = yaml.safe_dump(table, sort_keys=False, width=200, allow_unicode=True, default_flow_style=None)
    (HOME / "fits.yaml").write_text(HEAD + text, encoding="utf-8")
    for row in table["fits"]:
        print(*(f"{key} {row[key]}" for key in row if key not in {"residuals", "source", "mark", "columns"}))
    for row in table["errors"]:
        percents = " / ".join(f"{100 * row[key]:.1f}" for key in ("median", "p90", "worst"))
        print(f"{row['of']:9} {row['mode']:17} {row['result']:18} {row['by']:21} {row['columns']:3}  {percents}")


if __name__ == "__main__":
    main()
