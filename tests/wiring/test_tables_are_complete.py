"""Tubes, rules, limits and sources: everything has a source and a mark, and the figures agree with each other."""

import re
from itertools import pairwise
from pathlib import Path

import pytest

from builder.problem import BadInput
from builder.quantity import EXAMPLE, parse
from builder.reference import tables
from builder.reference.own_tables import DIMENSIONS
from builder.reference.tables import (
    cite,
    electrodes_of,
    rule_file,
    rule_files,
    safety_limits,
    sources,
    tube_file,
    tube_types,
)  # fmt: skip
from builder.rig.stage import RATED, TYPICAL

TUBES = sorted(tube_types())
RULES = sorted(rule_files())
KINDS_OF_SOURCE = {
    "paper",
    "handbook",
    "textbook",
    "training course",
    "web page",
    "data sheet",
    "regulation",
    "standard",
    "practice",
}
HOT_COLUMNS = {}
"""Columns whose input less output is more than a tenth above the rating, and why they are kept."""
EFFICIENCY = (0.55, 0.85)
"""Class C columns outside this were written down wrongly, or are at very high frequency."""
UNUSUAL_EFFICIENCY = {}
"""Columns outside that band, and why they are kept."""


PINS_NOT_RECALLED = {"3CX800A7", "4-65A", "872A", "8877"}
"""Types whose base is known but whose pins were not recalled for certain."""
WITHOUT_PINS = {"1N4007", "1N5408", "833A"}
"""Types with leads or posts."""


def blocks(tube):
    yield "data", tube.data
    if tube.socket:
        yield "socket", tube.socket
    if tube.cooling:
        yield "cooling", tube.cooling
    yield from ((f"rating {row.service} {row.system} {row.condition}".strip(), row) for row in tube.ratings)
    yield from ((f"column {row.id}", row) for row in tube.typical)


@pytest.mark.parametrize("name", TUBES)
def test_tube_is_whole(name):
    tube = tube_file(tube_types()[name])
    assert tube.type == name, f"{name}.yaml describes {tube.type}: a tube file is named after its type"
    assert tube.electrodes, f"{name}: say which electrodes it has"
    for what, block in blocks(tube):
        assert block.source in sources(), f"{name}, {what}: unknown source {block.source}"
        assert block.mark in {"read", "from memory", "computed here", "invented"}, f"{name}, {what}: mark"


@pytest.mark.parametrize("name", TUBES)
def test_recalled_tube_data_is_not_presented_as_read(name):
    for what, block in blocks(tube_file(tube_types()[name])):
        if block.mark == "read":
            assert sources()[block.source].mark == "read", f"{name}, {what}: its source was recalled"


@pytest.mark.parametrize("name", TUBES)
def test_quantities_of_a_tube_have_the_right_dimension(name):
    for what, block in blocks(tube_file(tube_types()[name])):
        for key, text in (block.model_extra or {}).items():
            if key in DIMENSIONS:
                try:
                    parse(str(text), DIMENSIONS[key])
                except ValueError as error:
                    pytest.fail(f"{name}, {what}, {key}: {error}")


def test_every_quantity_that_is_asked_for_is_looked_at():
    """A table of a station with a mistake in one of these must not load; see own_tables.DIMENSIONS."""
    assert DIMENSIONS.items() >= (RATED | TYPICAL).items()


@pytest.mark.parametrize("name", TUBES)
def test_base_and_pins(name):
    socket = tube_file(tube_types()[name]).socket
    assert socket, f"{name}: add a block socket: with source, mark and base"
    assert socket.base
    free = name in PINS_NOT_RECALLED | WITHOUT_PINS
    assert bool(socket.pins) != free, f"{name}: give its pins, or put it in PINS_NOT_RECALLED of this test"
    assert socket.pins or socket.note, f"{name}: say in a note why it has no pins"
    assert sorted(socket.pins) == list(range(1, len(socket.pins) + 1)), f"{name}: number the pins from 1 on"


WITH_PINS = [name for name in TUBES if tube_file(tube_types()[name]).socket.pins]


@pytest.mark.parametrize("name", WITH_PINS)
def test_pins_name_every_electrode_and_no_other(name):
    tube = tube_file(tube_types()[name])
    met = [part for _pin, what in tube.socket.terminals for part in electrodes_of(what)]
    assert set(met) == set(tube.electrodes), f"{name}: pins and caps are joined to {', '.join(sorted(set(met)))}"
    for hot in {"heater", "filament"} & set(tube.electrodes):
        assert met.count(hot) >= 2, f"{name}: a {hot} has two ends"


@pytest.mark.parametrize("name", [name for name in WITH_PINS if tube_file(tube_types()[name]).units > 1])
def test_both_units_of_a_twin_have_plates(name):
    joined = [what for _pin, what in tube_file(tube_types()[name]).socket.terminals]
    for electrode in ("plate", "grid"):
        if electrode in tube_file(tube_types()[name]).electrodes:
            assert {f"{electrode} 1", f"{electrode} 2"} <= set(joined), f"{name}: {electrode} 1 and {electrode} 2"


@pytest.mark.parametrize("name", [name for name in WITH_PINS if "octal" in tube_file(tube_types()[name]).socket.base])
def test_an_octal_base_has_eight_pins(name):
    pins = tube_file(tube_types()[name]).socket.pins
    assert len(pins) == 8


@pytest.mark.parametrize("name", TUBES)
def test_ids_of_columns_are_unique(name):
    names = [row.id for row in tube_file(tube_types()[name]).typical]
    assert sorted(names) == sorted(set(names))


def columns():
    for name in TUBES:
        tube = tube_file(tube_types()[name])
        for column in tube.typical:
            voltage, current = column.quantity("plate voltage", "voltage"), column.quantity("plate current", "current")
            output = column.quantity("output power", "power")
            if voltage and current and output:
                yield tube, column, voltage.value * current.value, output.value


def rated_dissipation(tube, column):
    """Rating of dissipation for the cooling that the column names, else the first listed for the service."""
    same = [row for row in tube.ratings if row.service == column.service and row.condition == column.text("condition")]
    first = tube.rating(column.service, column.system) or tube.rating(column.service, None)
    rating = next(iter(same), first)
    return rating.quantity("plate dissipation", "power") if rating else None


COLUMNS = [pytest.param(*row, id=row[1].id) for row in columns()]
RATED_COLUMNS = [pytest.param(*row, id=row[1].id) for row in columns() if rated_dissipation(*row[:2])]
CLASS_C = [pytest.param(*row, id=row[1].id) for row in columns() if row[1].service.startswith("class C")]


@pytest.mark.parametrize(("tube", "column", "taken", "output"), COLUMNS)
def test_column_gives_less_than_it_takes(tube, column, taken, output):
    assert output < taken, f"{tube.type}, {column.id}: more comes out than goes in"


@pytest.mark.parametrize(("tube", "column", "taken", "output"), RATED_COLUMNS)
def test_column_stays_within_its_rating(tube, column, taken, output):
    limit = rated_dissipation(tube, column)
    heat = (taken - output) / column.tubes
    hot = heat > limit.value * 1.1
    assert hot == (column.id in HOT_COLUMNS), f"{column.id}: {heat:.1f} W for a rating of {limit}; read the sheet again"


@pytest.mark.parametrize(("tube", "column", "taken", "output"), CLASS_C)
def test_efficiency_of_a_class_c_column(tube, column, taken, output):
    usual = EFFICIENCY[0] <= output / taken <= EFFICIENCY[1]
    assert usual == (column.id not in UNUSUAL_EFFICIENCY), f"{tube.type}, {column.id}: {output / taken:.2f}"


OTHER_SHARE = {
    ("807", "ICAS"): "25 of 30 W as recalled from the tube manual",
    ("1625", "ICAS"): "as type 807",
    ("813", "ICAS"): "100 of 125 W as recalled from the tube manual",
    ("5763", "ICAS"): "12 of 13.5 W as recalled from the tube manual",
}
"""Types whose ratings for intermittent service are not in the usual proportion."""


@pytest.mark.parametrize("name", TUBES)
def test_modulated_rating_is_below_the_telegraphy_rating(name):
    """Plate-modulated dissipation is two thirds of that for telegraphy, within what makers round."""
    tube = tube_file(tube_types()[name])
    for system in {row.system for row in tube.ratings}:
        pair = [tube.rating(service, system) for service in ("class C plate-modulated", "class C telegraphy")]
        limits = [row.quantity("plate dissipation", "power") for row in pair if row]
        if len(limits) == 2 and all(limits):
            share = limits[0].value / limits[1].value
            usual = share == pytest.approx(2 / 3, abs=0.07)
            assert usual == ((name, system) not in OTHER_SHARE), f"{name}, {system}: {share:.2f}; read the sheet again"


@pytest.mark.parametrize("name", RULES)
def test_rule_table_is_whole(name):
    rules = rule_file(rule_files()[name])
    assert rules.id == name
    assert rules.date.year > 2000
    assert rules.caution, f"{name}: a rule table warns that rules change"
    for row in (*rules.limits, *rules.segments, rules.power):
        assert row.paragraph, f"{name}: every row names its paragraph"
        assert row.source in sources(), f"{name}, {row.paragraph}: unknown source {row.source}"
    for row in (*rules.spurious, *rules.exposure.values()):
        assert row["paragraph"], f"{name}: every row names its paragraph"
        assert row["source"] in sources(), f"{name}: {row['source']}"
        assert row["mark"] in {"read", "from memory"}


@pytest.mark.parametrize("name", RULES)
def test_segments_do_not_overlap(name):
    rules = rule_file(rule_files()[name])
    keys = {(c, e) for row in rules.segments for c in row.classes for e in row.emissions}
    for license_class, emission in sorted(keys):
        rows = [row for row in rules.segments if license_class in row.classes and emission in row.emissions]
        edges = sorted((*row.edges, row.band) for row in rows)
        for (_low, high, band), (low, _high, other) in pairwise(edges):
            assert high <= low, f"{name}: {band} and {other} overlap for {license_class}, {emission}"


@pytest.mark.parametrize("name", RULES)
def test_limits_parse(name):
    for row in rule_file(rule_files()[name]).limits:
        assert row.watts > 0
        assert (row.from_ is None) == (row.to is None), f"{name}: {row.paragraph} has only one edge"


def test_forty_metres_is_as_the_text_has_it():
    rules = rule_file(rule_files()["us"])
    assert rules.segment(7.2e6, "general", "phone").edges == (7.175e6, 7.3e6)
    assert rules.segment(7.15e6, "extra", "phone").edges == (7.125e6, 7.3e6)
    assert rules.segment(7.15e6, "general", "phone") is None
    assert rules.power_limit(7.2e6, "extra").watts == 1500
    assert rules.power_limit(10.12e6, "extra").watts == 200


@pytest.mark.parametrize("name", sorted(sources()))
def test_source_is_whole(name):
    source = sources()[name]
    assert re.fullmatch(r"[a-z][a-z0-9-]*", name), f"{name}: keys are small letters, digits and hyphens"
    assert len(source.reference) > 10, f"{name}: write the full reference"
    assert source.kind in KINDS_OF_SOURCE, f"{name}: {source.kind} is not a kind of source"
    assert cite(name).startswith(source.reference)


def test_recalled_sources_say_so():
    assert cite("terman43, power-supply systems").endswith("power-supply systems (from memory)")
    assert cite("kishore, p. 155").endswith(", p. 155")


def test_safety_limits_parse():
    for name, limit in safety_limits().items():
        assert limit.amount.value > 0, name
        assert limit.measures in EXAMPLE


GOOD_TUBE = """
type: "X99"
kind: triode
electrodes: [filament, cathode, grid, plate]
data: {source: common-practice, mark: invented, heater voltage: 6.3 V, heater current: 1 A}
ratings:
- {service: class C telegraphy, system: CCS, source: common-practice, mark: invented, plate dissipation: 50 W}
"""


def written(tmp_path, name, text):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_new_tube_is_one_file(tmp_path):
    path = written(tmp_path, "X99.yaml", GOOD_TUBE)
    tube = tube_file(path)
    assert tube.rating("class C telegraphy", None).quantity("plate dissipation", "power").value == 50
    found = tube_types((Path(tables.HOME) / "tubes", tmp_path))
    assert found["X99"] == path
    assert "6146" in found


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("source: common-practice, mark: invented, heater", "mark: invented, heater", "source"),
        ("mark: invented, heater", "heater", "mark"),
        ("mark: invented, heater", "mark: certain, heater", "mark"),
        ("source: common-practice, mark: invented, heater", "source: hearsay, mark: invented, heater", "hearsay"),
        ("kind: triode", "kynd: triode", "kynd"),
    ],
)
def test_a_tube_that_is_not_whole_is_refused(tmp_path, old, new, expected):
    path = written(tmp_path, "X99.yaml", GOOD_TUBE.replace(old, new))
    with pytest.raises(BadInput, match=expected):
        tube_file(path)


GOOD_RULES = """
id: xx
country: Nowhere
date: 2026-01-01
source: common-practice
caution: Made up.
power: {measure: carrier power, source: common-practice, paragraph: "1", mark: invented}
limits:
- {classes: [all], limit: 100 W, paragraph: "2", source: common-practice, mark: invented}
segments:
- {band: 40 m, from: 7 MHz, to: 7.2 MHz, classes: [full], emissions: [phone],
   paragraph: "3", source: common-practice, mark: invented}
"""


def test_a_new_rule_table_is_one_file(tmp_path):
    rules = rule_file(written(tmp_path, "xx.yaml", GOOD_RULES))
    assert rules.segment(7.1e6, "full", "phone").band == "40 m"
    assert rules.power_limit(7.1e6, "full").watts == 100


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("date: 2026-01-01\n", "", "date"),
        ("date: 2026-01-01", "date: yesterday", "date"),
        ('paragraph: "3", source: common-practice, mark', 'paragraph: "3", mark', "source"),
        ('paragraph: "3", source', "source", "paragraph"),
        ('paragraph: "3", source: common-practice, mark: invented', 'paragraph: "3", source: common-practice', "mark"),
    ],
)
def test_a_rule_table_that_is_not_whole_is_refused(tmp_path, old, new, expected):
    assert old in GOOD_RULES
    with pytest.raises(BadInput, match=expected):
        rule_file(written(tmp_path, "xx.yaml", GOOD_RULES.replace(old, new)))


@pytest.mark.parametrize("paragraph", ["1", "2", "3"])
def test_a_rule_row_with_an_unknown_source_is_refused(tmp_path, paragraph):
    text = GOOD_RULES
    rows = [line for line in text.splitlines() if f'paragraph: "{paragraph}"' in line]
    text = text.replace(rows[0], rows[0].replace("source: common-practice", "source: hearsay"))
    with pytest.raises(BadInput, match="hearsay"):
        rule_file(written(tmp_path, "xx.yaml", text))
