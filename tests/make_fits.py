"""Fits the tube models to the published class C columns and writes builder/reference/fits.yaml.

Run with `python -m tests.make_fits` after a column has changed. Errors in variables: the drive of each column and the
plate swing are unknowns too, since peak drive is an approximate figure and plate current leans on it threefold.
"""

from dataclasses import dataclass

import numpy as np
import yaml
from scipy.optimize import least_squares

from builder.physics.operating import operation_at_current, operation_at_swing, operation_from_meters
from builder.physics.tubes import Tetrode, Triode
from builder.reference.fits import columns_hash, fitted_columns, fitted_tubes, numbers, peak_drive, tube_has_screen
from builder.reference.tables import HOME

SCALES = {"plate current": 0.015, "output power": 0.02, "grid current": 0.15, "screen current": 0.15}
"""How closely a column is taken to be printed, as shares."""
MU_SPREAD = 0.10
TRIODE_PRIORS = {"division": (2.4, 0.25)}
TETRODE_PRIORS = {"grid division": (8.0, 0.30), "screen division": (7.0, 0.60), "knee": (0.35, 0.20)}
"""Middle and spread of the parameters, from fits of ten glass tubes: slightly too kind to those ten."""
LEAST_SHARE, LEAST_SPREAD = 0.15, 0.6
"""Least plate voltage over plate voltage, and how widely it may lie, as a logarithm: of the study's own fits."""
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


def held_out(columns):
    """Every column predicted from the others: rows of (mode, result, error as a share)."""
    for index in range(len(columns)):
        keep = np.arange(len(columns)) != index
        others, held = columns.rows(keep), columns.rows(~keep)
        result = fit(others)
        yield from errors_of(held, result.tube, np.median(result.swing / others.data["plate voltage"]))
        yield from errors_of_the_rule(held, others)


def errors_of(held, tube, share):
    """Errors of one column under each of the three modes."""
    data = held.data
    common = (data["plate voltage"], data["grid voltage"])
    screen, swing = data["screen voltage"], share * data["plate voltage"]
    published = bool(data["drive published"][0])
    full = operation_from_meters(tube, *common, data["plate current"], data["output power"], screen)
    if published:
        yield "meters and watts", "peak drive", off(full.peak_drive, data["peak drive"])
    yield "meters and watts", "drive power", off(full.drive_power, data["drive power"])
    yield "meters and watts", "grid current", off(full.grid_current, data["grid current"])
    if held.screen:
        yield "meters and watts", "screen current", off(full.screen_current, data["screen current"])
    heat = data["plate voltage"] * data["plate current"] - data["output power"]
    half = operation_at_current(tube, *common, swing, data["plate current"], screen)
    yield "meters", "output power", off(half.output_power, data["output power"])
    yield "meters", "plate dissipation", off(half.plate_dissipation, heat)
    if published:
        forward = made_by(tube, held, data["peak drive"], swing)
        yield "forward", "plate current", off(forward["plate current"], data["plate current"])
        yield "forward", "output power", off(forward["output power"], data["output power"])


def errors_of_the_rule(held, others):
    """Errors of the plain rule: efficiency and currents as in the middle of the other columns."""
    share = others.data["output power"] / (others.data["plate voltage"] * others.data["plate current"])
    taken = held.data["plate voltage"] * held.data["plate current"]
    output = np.median(share) * taken
    yield "rule", "output power", off(output, held.data["output power"])
    yield "rule", "plate dissipation", off(taken - output, taken - held.data["output power"])
    for word in ["grid current", *(["screen current"] if held.screen else [])]:
        yield "rule", word, off(np.median(others.data[word]), held.data[word])


def off(found, published):
    """Error as a share of the published value; a result that could not be found counts as wholly wrong."""
    return float(np.nan_to_num(np.abs(found / published - 1), nan=1.0)[0])


def grouped(tubes):
    """Errors of the columns held out, by kind of tube, mode and result, over the types that have more than one."""
    groups = {}
    for columns in filter(lambda columns: len(columns) > 1, map(columns_of, tubes)):
        for mode, result, error in held_out(columns):
            groups.setdefault(("tetrodes" if columns.screen else "triodes", mode, result), []).append(error)
    return groups


def errors(tubes):
    """The leave-one-column-out table."""
    return [
        {
            "of": of, "mode": mode, "result": result, "source": "classc-identities", "mark": "computed here",
            "columns": len(errors), "median": round(float(np.median(errors)), 4),
            "p90": round(float(np.quantile(errors, 0.9)), 4), "worst": round(max(errors), 4),
        }
        for (of, mode, result), errors in sorted(grouped(tubes).items())
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
        "drives worked out": int((~columns.data["drive published"]).sum()), "residuals": left,
    }  # fmt: skip


def main():
    tubes = list(fitted_tubes().values())
    table = {"fits": [entry(tube) for tube in tubes], "errors": errors(tubes)}
    text = yaml.safe_dump(table, sort_keys=False, width=200, allow_unicode=True, default_flow_style=None)
    (HOME / "fits.yaml").write_text(HEAD + text, encoding="utf-8")
    for row in table["fits"]:
        print(*(f"{key} {row[key]}" for key in row if key not in {"residuals", "source", "mark", "columns"}))
    for row in table["errors"]:
        percents = " / ".join(f"{100 * row[key]:.1f}" for key in ("median", "p90", "worst"))
        print(f"{row['of']:9} {row['mode']:17} {row['result']:18} {row['columns']:3}  {percents}")


if __name__ == "__main__":
    main()
