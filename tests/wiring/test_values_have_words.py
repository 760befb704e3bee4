"""Every value name is one word in one vocabulary, with one unit wherever it is used."""

import inspect
import re
from collections.abc import Mapping
from typing import get_args, get_type_hints

import pytest
from cases import annotations
from pydantic import BaseModel

from builder import discover
from builder.examination.finding import CHECKS
from builder.physics.units import unit_of
from builder.quantity import SI_SYMBOL
from builder.reference.tables import vocabulary, word
from builder.rig import network as rf
from builder.rig.control import Circuit
from builder.rig.fields import Measures, reference_of
from builder.rig.heating import (
    AIR_FORMULAS,
    DRIVEN_THROUGH,
    HEATER_FORMULAS,
    WITH_SCREEN,
    WITHOUT_SCREEN,
    HeaterWinding,
)
from builder.rig.metering import ALL_METERS, BARE, MULTIPLIED, SHUNTED
from builder.rig.model import SQUARE_SOURCE, Carrier, Meter, Rig, Station
from builder.rig.operating import cathode_driven_items, class_c_items
from builder.rig.primary import CLAMPED, PROTECTION, UNCLAMPED, Cord
from builder.rig.simulation import simulated
from builder.rig.stage import DIVIDED_SCREEN, STAGE_KINDS, Stage
from builder.rig.supply import (
    BEHIND_VARIABLE,
    BESIDE_GLOW,
    BOTH_WINDINGS,
    CAPACITOR_INPUT,
    CHOKE_INPUT,
    COMMON,
    DOUBLER,
    HALF_WAVE,
    INVERSE,
    ONE_WINDING,
    PLAIN_LOAD,
    STEPPED,
    Supply,
)
from builder.rig.thing import Back, Formula, Least, Total, Via, origins

discover.modules("builder.checks")
discover.modules("builder.rig.stages")

SHARES_ANYTHING = {"per_tube", "scale_error"}
"""Formulas whose unit is whatever is put in."""
TAKES_ANY_METER = {"meter_reading", "range"}
"""Values of a meter, in the unit that it shows."""
NOT_VALUES = {
    ("station", "mains_rise"): "becomes mains_high",
    ("networks", "taps"): "becomes the coil in use on its carrier",
    ("networks", "second_taps"): "becomes the second coil in use on its carrier",
    ("networks", "low_pass_edge"): "becomes filter_edge",
    ("networks", "low_pass_ripple"): "becomes filter_ripple",
    ("meters", "accuracy_reading"): "becomes the uncertainty of readings",
    ("meters", "accuracy_full_scale"): "becomes the uncertainty of readings",
    ("control.circuits", "delay"): "becomes the time of an event",
    ("control.circuits", "rise"): "becomes the time of an event",
    ("control.circuits", "fall"): "becomes the time of an event",
}
"""Quantities of a file that no value is made of, and what becomes of them instead."""
TABLES = {
    "square source": origins(*SQUARE_SOURCE), "filter by design": rf.DESIGN, "filter as built": rf.AS_BUILT,
    "supply": COMMON, "choke input": CHOKE_INPUT, "capacitor input": CAPACITOR_INPUT, "half wave": HALF_WAVE,
    **{f"inverse {name}": table for name, table in INVERSE.items()},
    **{f"variable {name}": table for name, table in BEHIND_VARIABLE.items()},
    "doubler": DOUBLER, "plain load": PLAIN_LOAD, "beside glow tubes": BESIDE_GLOW, "one winding": ONE_WINDING,
    "both windings": BOTH_WINDINGS, "step-start": STEPPED,
    "carrier": Carrier.origins_of_kind, "station": Station.origins_of_kind, "winding": HeaterWinding.origins_of_kind,
    "circuit": Circuit.origins_of_kind,
    "heaters": origins(*HEATER_FORMULAS), "air": origins(*AIR_FORMULAS),
    "heat, cathode driven": origins(*DRIVEN_THROUGH),
    "heat with screen": origins(*WITH_SCREEN), "heat without screen": origins(*WITHOUT_SCREEN),
    **{kind: cls.origins_of_kind for kind, cls in STAGE_KINDS.items()},
    "divided screen": DIVIDED_SCREEN,
    "network": rf.COMMON, "network coil": rf.COIL, **{f"{form} network": rows for form, rows in rf.FORMS.items()},
    "link tuned out": rf.LINK_TUNED_OUT, "link tuned out, filtered": rf.LINK_TUNED_OUT_FILTERED,
    "into a filter": rf.INTO_FILTER, **{f"{form} network, filtered": rows for form, rows in rf.FILTERED.items()},
    "every meter": origins(*ALL_METERS), "shunted meter": origins(*SHUNTED), "bare meter": origins(*BARE),
    "multiplied meter": origins(*MULTIPLIED), "cord": Cord.origins_of_kind, "protection": origins(*PROTECTION),
    "clamped return": origins(*CLAMPED), "return": origins(*UNCLAMPED),
    "modulated final": STAGE_KINDS["rf power"].modulated_origins,
}  # fmt: skip


def origins_of_tables():
    return [(table, name, origin) for table, rows in TABLES.items() for name, many in rows.items() for origin in many]


FITTED = [
    item for items in (
        class_c_items("4-250A", dropping=False), class_c_items("4-250A", dropping=True),
        class_c_items("811A", dropping=False), cathode_driven_items("811A"), cathode_driven_items("4-250A"),
        simulated("bridge"),
    )
    for item in items if isinstance(item, Formula)
]  # fmt: skip
"""What only stages with a fitted tube have, and what is simulated of a supply; solvers take plain numbers."""
ORIGINS = origins_of_tables()
FORMULAS = [(table, name, origin) for table, name, origin in ORIGINS if isinstance(origin, Formula)]
LINKS = [(table, name, origin) for table, name, origin in ORIGINS if isinstance(origin, Via | Total | Least | Back)]


def known(name, who):
    assert word(name), f'{who} asks for "{name}": add it to builder/reference/vocabulary.yaml'
    return word(name)


@pytest.mark.parametrize("title", sorted(CHECKS))
def test_check_asks_for_known_values(title):
    check = CHECKS[title]
    from builder.physics import units

    hints = inspect.get_annotations(
        check.function, eval_str=True, globals={**vars(units), **check.function.__globals__}
    )
    for name in check.parameters:
        entry = known(name, f"the check {title}")
        unit = unit_of(hints[name])
        assert unit, f"the check {title}: annotate {name} with a unit"
        assert unit.symbol == entry.unit, f"the check {title}: {name} is in {entry.unit or 'plain numbers'}"


@pytest.mark.parametrize(("table", "name", "origin"), FORMULAS, ids=lambda part: str(getattr(part, "gives", part)))
def test_formula_gives_and_takes_known_values(table, name, origin):
    hints = annotations(origin.function)
    fields = get_type_hints(hints["return"], include_extras=True) if inspect.isclass(hints["return"]) else {}
    if unit_of(fields.get(origin.part)):
        hints["return"] = fields[origin.part]
    pairs = [
        ("return", name),
        *((part, origin.value_of(part)) for part in inspect.signature(origin.function).parameters),
    ]
    for part, value in pairs:
        entry = known(value, f"{table}: {origin.function.__name__}")
        unit = unit_of(hints[part])
        loose = origin.function.__name__ in SHARES_ANYTHING or value in TAKES_ANY_METER
        assert loose or unit.symbol == entry.unit, (
            f"{table}: {origin.function.__name__} has {part} in {unit.symbol or 'plain numbers'}, "
            f"the vocabulary has {value} in {entry.unit or 'plain numbers'}"
        )


@pytest.mark.parametrize(("table", "name", "origin"), FORMULAS, ids=lambda part: str(getattr(part, "gives", part)))
def test_renamed_inputs_are_parameters(table, name, origin):
    parameters = set(inspect.signature(origin.function).parameters)
    assert {part for part, _value in origin.inputs} <= parameters, f"{table}: {name} renames what the formula has not"


@pytest.mark.parametrize(("table", "name", "origin"), LINKS, ids=str)
def test_link_joins_values_of_one_unit(table, name, origin):
    here, there = known(name, f"{table}: a link"), known(origin.value, f"{table}: the link to {name}")
    assert here.unit == there.unit, f"{table}: {name} is in {here.unit}, {origin.value} in {there.unit}"


def quantity_fields(model, path=()):
    """Names of the values that the fields of a model give, with their dimensions."""
    for name, field in model.model_fields.items():
        here = (*path, (field.alias or name).replace(" ", "_"))
        measures = next((item for item in field.metadata if isinstance(item, Measures)), None)
        measures = measures or next(iter(inner(field.annotation, Measures)), None)
        refers = reference_of(field)
        if measures and measures.dimension in SI_SYMBOL and measures.dimension != "count":
            yield "_".join(here), SI_SYMBOL[measures.dimension]
        elif refers and refers.dimension:
            yield "_".join(here), SI_SYMBOL[refers.dimension]
        else:
            for part in models_in(field.annotation):
                yield from quantity_fields(part, here)


def inner(annotation, kind):
    for part in get_args(annotation):
        if isinstance(part, kind):
            yield part
        else:
            yield from inner(part, kind)


def models_in(annotation):
    """Models that stand directly in a field; those in lists and mappings are not values of their own."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    elif getattr(annotation, "__origin__", None) not in {tuple, dict, list, Mapping}:
        for part in get_args(annotation):
            yield from models_in(part)


THINGS = [
    Station, Rig, Circuit, HeaterWinding, Cord, Carrier, Meter, Supply, rf.Network, *STAGE_KINDS.values(),
]  # fmt: skip


@pytest.mark.parametrize("thing", THINGS, ids=lambda thing: thing.kind_words)
def test_quantity_of_the_file_is_a_value(thing):
    for name, unit in quantity_fields(thing):
        if (thing.collection, name) in NOT_VALUES:
            assert word(name) is None, f"{name} is in the vocabulary now: take it out of NOT_VALUES"
            continue
        entry = known(name, f"the field {name.replace('_', ' ')} of a {thing.kind_words}")
        assert entry.unit == unit, f"{thing.kind_words}: the field {name} is in {unit}, the vocabulary in {entry.unit}"


@pytest.mark.parametrize("kind", sorted(STAGE_KINDS))
def test_stage_kind_is_described(kind):
    cls = STAGE_KINDS[kind]
    module = inspect.getmodule(cls)
    assert module.__doc__, f"{module.__name__} has no docstring: say in one sentence what kind of stage it holds"
    assert cls.__doc__, f"{cls.__name__} has no docstring"
    assert module.__name__ == f"builder.rig.stages.{kind.replace(' ', '_')}", f"the module of {kind} is named after it"
    assert issubclass(cls, Stage)


@pytest.mark.parametrize("kind", sorted(STAGE_KINDS))
def test_models_of_a_stage_are_described(kind):
    for field in STAGE_KINDS[kind].model_fields.values():
        for model in models_in(field.annotation):
            assert model.__doc__, f"{model.__name__} has no docstring; the rig file reference is made from it"


def test_vocabulary_is_tidy():
    units = set(SI_SYMBOL.values())
    for name, entry in vocabulary().items():
        assert re.fullmatch(r"[a-z0-9_]+", name), f"{name}: small letters and underscores"
        assert entry.unit in units, f"{name}: {entry.unit} is not a unit of builder/quantity.py"
        assert entry.shown in {"", "%", "ppm", "deg"}, f"{name}: shown is per cent, ppm or deg"
        assert not entry.shown or entry.unit == "", f"{name}: only ratios are shown per hundred"
        assert not entry.words.endswith("."), f"{name}: words are part of a sentence"


def test_every_word_is_used():
    """A value that nothing gives, takes or checks belongs out of the vocabulary."""
    used = {name for _table, name, _origin in ORIGINS} | {origin.value for _t, _n, origin in LINKS}
    used |= {
        origin.value_of(part) for _t, _n, origin in FORMULAS for part in inspect.signature(origin.function).parameters
    }
    used |= {origin.gives for origin in FITTED}
    used |= {origin.value_of(part) for origin in FITTED for part in inspect.signature(origin.function).parameters}
    used |= {name for check in CHECKS.values() for name in check.parameters}
    used |= {name for thing in THINGS for name, _unit in quantity_fields(thing)}
    stems = {name.removesuffix(end) for name in used for end in ("_rated", "_typical", "_nominal", "_per_tube")}
    unused = sorted(set(vocabulary()) - used - stems - INDIRECT)
    assert not unused, f"not used by any field, formula, link or check: {', '.join(unused)}"


INDIRECT = {
    "carrier_power", "peak_envelope_power", "mean_power", "necessary_bandwidth", "positive_peak", "modulated_current",
    "segment_low", "segment_high", "power_limit", "line_current", "plate_input", "grid_voltage", "plate_load",
    "heater_current", "grid_dissipation", "peak_current", "warm_up", "third_capacitor", "third_choke", "mains_high",
    "drive_power", "output_power", "meter_reading", "scale_share", "range", "plate_dissipation_unmodulated",
    "rectifiers_in_series", "tube_airflow", "rectifiers_in_path", "tubes_count", "efficiency_of_supply",
    "series_resistance",
}  # fmt: skip
"""Given by methods of things, or only as the stem of a rated value."""
