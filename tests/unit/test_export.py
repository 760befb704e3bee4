"""Everything that was found, as plain data."""

import json
import math

import pytest

from builder.examination.export import number, value_data
from builder.examination.value import Missing
from builder.examine import as_json


def test_a_whole_rig_goes_into_json(small):
    data = as_json(small.examine())
    text = json.dumps(data, allow_nan=False, sort_keys=True)
    again = json.loads(text)
    assert again["rig"] == "finch"
    assert sum(again["tally"].values()) == len(again["findings"])
    assert {row["verdict"] for row in again["findings"]} <= set(again["tally"])


def test_same_input_same_output(small):
    assert json.dumps(as_json(small.examine())) == json.dumps(as_json(small.examine()))


def test_numbers_on_the_page_are_the_numbers_in_json(small):
    examination = small.examine()
    data = as_json(examination)
    row = next(
        row for row in data["values"] if (row["thing"], row["name"], row["carrier"]) == ("stages.pa", "dc_input", "a")
    )
    value = examination.sheet("stages.pa")["dc_input"]
    assert row["value"] == value.nominal
    assert row["shown"] == str(value)
    assert row["working"] == ["P_i = V_p × I_p", "P_i = 560 V × 210 mA = 118 W"]
    assert row["unit"] == "W"
    assert row["origin"] == "computed"
    assert row["source"].startswith("Elementary circuit theory")


def test_given_and_measured_carry_their_place(small):
    data = as_json(small.examine())
    rows = [row for row in data["values"] if row["origin"] == "measured"]
    assert rows
    assert all(row["place"].split(":")[0].endswith("readings.yaml") for row in rows)


def test_missing_carries_its_needs(small):
    data = as_json(small.examine())
    row = next(
        row
        for row in data["values"]
        if (row["thing"], row["name"]) == ("stages.osc", "heater_voltage_rated") or row["origin"] == "missing"
    )
    assert row["reason"]
    assert value_data(Missing("x", "rig", ("rig: x",)), "a")["needs"] == ["rig: x"]


def test_findings_carry_rule_source_and_needs(small):
    data = as_json(small.examine())
    row = next(row for row in data["findings"] if row["check"] == "plate-dissipation" and row["thing"] == "stages.pa")
    assert row["rule"] == "at most"
    assert row["carrier"] == "a"
    assert row["margin"] == 0.10
    assert set(row["values"]) == {"plate_dissipation_per_tube", "plate_dissipation_rated"}
    assert row["source"].endswith("ratings (from memory)")
    open_row = next(
        row for row in data["findings"] if row["check"] == "heater-voltage" and row["thing"] == "stages.osc"
    )
    assert open_row["verdict"] == "not shown"
    assert open_row["needs"] == ["osc: heater or filament voltage"]


def test_endless_numbers_become_a_word(small):
    assert number(math.inf) == "unlimited"
    assert number(1.5) == 1.5
    small.rig["supplies"]["lv"]["bleeder"] = "none"
    text = json.dumps(as_json(small.examine()), allow_nan=False)
    assert '"unlimited"' in text


@pytest.mark.parametrize("emission", ["A1A", "J3E", "H3E"])
def test_other_emissions_go_into_json(small, emission):
    small.rig["emission"] = emission
    json.dumps(as_json(small.examine()), allow_nan=False)
