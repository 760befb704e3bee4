"""Figures of our own making: they pin our formulas, they do not prove them."""

import pytest
import yaml
from cases import HOME, KEYS, KINDS_OWN, cases

from builder.physics import amplifier, modulation
from builder.quantity import parse

CASES = [case for case in cases("regression") if "function" in case.row]
COLUMNS = yaml.safe_load((HOME / "regression" / "columns.yaml").read_text(encoding="utf-8"))
CLASS_C = [row for row in COLUMNS if row["service"] in {"cw", "pm"}]
PAIRS = [row for row in COLUMNS if row["service"] in {"b", "ab"}]
EFFICIENCY = (0.60, 0.835)
"""Range of the class C columns collected here, 60 to 83 per cent in whole numbers."""


def name_of(row):
    return f"{row['tube']}-{row['service']}-{row['plate_voltage']}"


@pytest.mark.parametrize("case", CASES, ids=str)
def test_own_figure(case):
    assert case.worked_out() == pytest.approx(case.printed(), rel=0, abs=case.allowed())


@pytest.mark.parametrize("case", CASES, ids=str)
def test_own_figure_is_labelled(case):
    assert set(case.row) <= KEYS
    assert case.row["kind"] in KINDS_OWN, f"{case}: printed results belong in tests/published"
    assert "source" not in case.row, f"{case}: a figure of our own making has no source"
    assert "tolerance" not in case.row or case.row["tolerance"]["reason"]


def test_ids_are_unique():
    names = [case.row["id"] for case in CASES]
    assert sorted(names) == sorted(set(names))


@pytest.mark.parametrize("row", CLASS_C, ids=name_of)
def test_column_keeps_its_energy(row):
    """What goes in as direct current comes out as output and heat, at an efficiency that class C really has."""
    voltage, current = parse(row["plate_voltage"], "voltage").value, parse(row["plate_current"], "current").value
    output = parse(row["output_power"], "power").value
    taken = amplifier.dc_input(voltage, current)
    assert amplifier.plate_dissipation(taken, output) + output == pytest.approx(taken)
    assert EFFICIENCY[0] <= amplifier.efficiency(output, taken) <= EFFICIENCY[1]
    assert output <= amplifier.most_output(taken)


@pytest.mark.parametrize("row", PAIRS, ids=name_of)
def test_column_of_a_pair_agrees_with_ideal_class_b(row):
    """Current agrees within 7 per cent for the columns collected here, so the load does within twice that."""
    output, current = parse(row["output_power"], "power").value, parse(row["plate_current"], "current").value
    load = parse(row["load"], "resistance").value
    assert modulation.class_b_load(2 * output, 2 * current) == pytest.approx(load, rel=0.15)
