"""A formula needs a source, units, words for its values and a worked example; these tests say which is missing."""

import ast
import inspect
import re
from pathlib import Path

import pytest
from cases import annotations, cases, formulas, source_line

from builder.physics import units
from builder.reference.tables import cite, sources

TESTS = Path(__file__).parent.parent
FORMULAS = formulas()
FUNCTIONS = sorted(FORMULAS.items())
NAMES = [name for name, _function in FUNCTIONS]
FREE = {"elementary", "common-practice"}
"""Sources whose formulas need no printed example; a figure of our own is enough."""
NOTHING_PRINTED = {
    "metering.shunted_error": "the guide's law of propagation; it prints no example of a meter",
    "metering.multiplied_error": "the guide's law of propagation; it prints no example of a meter",
    "metering.uncorrected_error": "the guide's rule is recalled; no worked example of it was read",
    "coils.wire_correction": "the paper is recalled; the derived example C05 stands in for it",
    "coils.wire_correction_low_frequency": "the paper is recalled; the derived example C05 stands in for it",
    "coils.corrected_inductance": "the paper is recalled; the derived example C05 stands in for it",
    "coils.solenoid_inductance": "sheet and corrections together; the derived example C05 stands in for it",
    "coils.solenoid_turns": "the inverse of solenoid_inductance",
    "coils.wheeler_inductance": "the formula is recalled; no worked example of it was read",
    "coils.wire_resistance": "the handbook is recalled; no worked example of it was read",
    "coils.solenoid_q": "the handbook is recalled; no worked example of it was read",
    "network_design.load_from_power": "the handbook is recalled; no worked example of it was read",
    "networks.reactance_share": "a rule of practice without printed numbers",
    "network_design.pi_load_q": "the handbook is recalled; its formulas were worked out for the collection",
    "network_design.pi_l_load_capacitor": "the handbooks are recalled; derived example B08 stands in for them",
    "network_design.tank_inductance": "derived example B30",
    "network_design.tank_loss": "the handbook is recalled; derived example B32 stands in for it",
    "networks.swing_at_most": "the handbook's rule is recalled; no worked example of it was read",
    "networks.plate_swing": "the handbook is recalled; no worked example of it was read",
    "networks.tune_capacitor_voltage": "the handbook's rule is recalled; no worked example of it was read",
    "networks.tune_capacitor_voltage_series_feed": "the handbook's rule is recalled; no worked example of it was read",
    "networks.load_capacitor_voltage": "the handbook is recalled; no worked example of it was read",
    "networks.capacitor_current": "the handbook is recalled; no worked example of it was read",
    "networks.tank_coil_current": "the handbook is recalled; no worked example of it was read",
    "harmonics.pi_harmonic_attenuation": "derived example B10, chain matrices",
    "amplifier.most_output": "the bound is computed here from columns of typical operation",
    "modulation.modulated_current": "the handbook's rule is recalled; no worked example of it was read",
    "modulation.emission_low": "the regulation states the rule and prints no example",
    "modulation.emission_high": "the regulation states the rule and prints no example",
    "supplies.two_section_ripple": "the handbook is recalled; a simulated circuit stands in for it",
    "supplies.share_of_string": "the handbook is recalled; equal parts share equally",
    "supplies.half_wave_ripple": "the article prints the rule and no numbers",
    "supply_parts.largest_equaliser": "the handbook is recalled; a constructed string stands in for it",
    "supply_parts.regulator_current": "the page gives the circuit; its result is worked out in tests/regression",
    "metering.scale_share": "the regulation prints shares of full scale and no readings",
    "class_c.tube_output": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.fundamental_current": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.plate_swing": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.plate_load": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.least_plate_voltage": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.swing_share": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.peak_plate_current": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.grid_drive_power": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.grid_heat": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.emission_share": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "class_c.screen_heat_modulated": "one step of arithmetic; tests/unit/test_operating.py tries the whole",
    "pulse.mean_share": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.fundamental_share": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.second_harmonic_ratio": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.third_harmonic_ratio": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.second_current_share": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.third_current_share": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.shares": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.half_angle_triode": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.half_angle_tetrode": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "pulse.grid_half_angle": "the tables are recalled; tests/unit/test_pulse.py integrates the pulse instead",
    "tubes.space_current": "the law; tests/unit/test_tubes.py tries its limits",
}
"""Formulas with a source for which no printed result was found, and why."""
SOLVERS = {
    name: "unit/test_operating.py" for name in NAMES if name.startswith("operating.")
} | {
    name: "unit/test_supply_simulation.py" for name in NAMES if name.startswith("supply_simulation.")
} | {"tubes.currents": "unit/test_tubes.py"}  # fmt: skip
"""Formulas that take a tube or a circuit, or give many results: a test of their own tries columns and closed forms."""
ANY_UNIT = {
    "envelope.sine_envelope": {"phase", "return"}, "envelope.carrier_under": {"envelope", "phase", "return"},
    "envelope.trapezoid": {"return"}, "metering.standard_uncertainty": {"reading", "full_scale", "return"},
    "metering.scale_share": {"reading", "full_scale"}, "metering.scale_error": {"marked", "built"},
    "metering.decibels": {"output_power", "input_power", "return"},
    "pulse.shares": {"return"}, "filters.filter_strain": {"return"},
    "filters.pi_circle_behind_filter": {"return"}, "filters.link_circle_behind_filter": {"return"},
    "tubes.space_current": {"perveance"}, "tubes.currents": {"tube", "return"},
    "operating.operation_at_swing": {"tube", "cathode_driven", "return"},
    "operating.operation_into_load": {"tube", "cathode_driven", "return"},
    "operating.operation_at_power": {"tube", "cathode_driven", "return"},
    "operating.operation_at_current": {"tube", "cathode_driven", "return"},
    "operating.operation_with_bias": {"tube", "bias", "cathode_driven", "return"},
    "operating.operation_from_meters": {"tube", "cathode_driven", "return"},
    "operating.modulation_sweep": {"tube", "bias", "return"},
    "operating.audio_pair": {"tube", "return"}, "operating.crest_grade": {"tube", "return"},
    "operating.operating_point": {"screen_voltage", "return"}, "operating.undriven_current": {"tube"},
    "operating.spread": {"readings", "uncertainties", "return"},
    "supply_simulation.steady_state": {"circuit", "return"}, "supply_simulation.regulation": {"circuit", "return"},
    "supply_simulation.switch_on": {"circuit", "phase", "return"},
    "supply_simulation.load_step": {"circuit", "return"},
    "supply_simulation.discharge": {"circuit", "choke_currents", "return"},
}  # fmt: skip
"""Parameters that take a quantity of any kind, an angle, an array, a tube or a circuit, so that no one unit fits."""
UNIT_PROSE = re.compile(
    r"\b(in|of|as) (volts?|amperes?|watts?|ohms?|farads?|henr(y|ies)|hertz|seconds?)\b|\[\w+\]", re.IGNORECASE
)


PRINTED = {case.row["function"] for case in cases("published")}
OWN = {case.row["function"] for case in cases("regression") if "function" in case.row}


@pytest.mark.parametrize("name", NAMES)
def test_docstring_says_what_it_is(name):
    text = inspect.getdoc(FORMULAS[name]) or ""
    assert text, f"{name} has no docstring: write one sentence, Args and Source"
    assert text.splitlines()[0].endswith("."), f"{name}: the first line of its docstring is one sentence"
    assert source_line(FORMULAS[name]), f'{name}: end its docstring with "Source: <key>, <page or equation>"'


@pytest.mark.parametrize("name", NAMES)
def test_source_is_known(name):
    key = re.split(r"[ ,;]", source_line(FORMULAS[name]))[0]
    assert key in sources(), f'{name}: "{key}" is not a key of builder/reference/sources.yaml'


@pytest.mark.parametrize("name", NAMES)
def test_first_source_can_be_cited(name):
    from builder.examination.sheet import source_of

    key = source_of(FORMULAS[name])
    assert cite(key), f'{name}: write its source as "<key>, <locator>"; "{key}" cannot be cited'


@pytest.mark.parametrize("name", NAMES)
def test_every_number_has_a_unit(name):
    function = FORMULAS[name]
    hints = annotations(function)
    wanted = [*inspect.signature(function).parameters, "return"]
    bare = {part for part in wanted if part not in hints or units.unit_of(hints[part]) is None}
    assert bare == ANY_UNIT.get(name, set()), (
        f"{name}: annotate {', '.join(sorted(bare)) or 'the return'} with a unit of builder/physics/units.py, "
        f"or say in ANY_UNIT of this test why none fits"
    )


@pytest.mark.parametrize("name", NAMES)
def test_every_argument_is_explained(name):
    text = inspect.getdoc(FORMULAS[name]) or ""
    for parameter in inspect.signature(FORMULAS[name]).parameters:
        assert f"\n    {parameter}: " in text, f"{name}: say under Args what {parameter} is"


@pytest.mark.parametrize("name", NAMES)
def test_units_are_not_prose(name):
    text = inspect.getdoc(FORMULAS[name]) or ""
    found = UNIT_PROSE.search(text.split("Source:")[0])
    assert found is None, f'{name}: "{found and found[0]}" stands in its docstring; units belong in the annotations'


@pytest.mark.parametrize("name", NAMES)
def test_what_it_raises_is_written_down(name):
    function = FORMULAS[name]
    tree = ast.parse(inspect.getsource(function))
    refuses = any(isinstance(node, ast.Call) and ast.unparse(node.func) == "require" for node in ast.walk(tree))
    text = inspect.getdoc(function) or ""
    assert ("Raises:" in text) == refuses, f"{name}: its docstring needs Raises exactly when it calls require"


@pytest.mark.parametrize("name", NAMES)
def test_has_a_worked_example(name):
    function = FORMULAS[name]
    key = re.findall(r"[a-z][a-z0-9-]*", source_line(function))[0]
    if name in PRINTED:
        assert name not in NOTHING_PRINTED, f"{name} has a printed example now: take it out of NOTHING_PRINTED"
        return
    if name in SOLVERS:
        assert name.partition(".")[2] in (TESTS / SOLVERS[name]).read_text(encoding="utf-8")
        return
    assert name in OWN, f"{name}: write a case in tests/published, or in tests/regression if nothing is printed"
    if key not in FREE:
        assert name in NOTHING_PRINTED, f"{name}: add a case from {key} to tests/published/{name.split('.')[0]}.yaml"


def test_exceptions_are_still_there():
    assert set(NOTHING_PRINTED) | set(ANY_UNIT) <= set(FORMULAS)


def test_physics_imports_nothing_of_ours():
    from builder import discover

    for module in discover.modules("builder.physics"):
        tree = ast.parse(inspect.getsource(module))
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom):
                outside = node.level > 1 or (node.module or "").startswith("builder")
                assert not outside, f"{module.__name__} imports {node.module}: physics stands alone"
            if isinstance(node, ast.Import):
                assert not any(alias.name.startswith("builder") for alias in node.names), module.__name__


def test_units_are_listed_once():
    symbols = [units.unit_of(unit).symbol for unit in units.ALL if units.unit_of(unit).symbol]
    assert sorted(symbols) == sorted(set(symbols))
    from builder.quantity import SI_SYMBOL

    for unit in units.ALL:
        found = units.unit_of(unit)
        assert SI_SYMBOL[found.dimension] == found.symbol, f"{found}: symbol differs from builder/quantity.py"
