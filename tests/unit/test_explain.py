"""The chain from the line of a file to a number, as text."""

import pytest

from builder.examination.explain import explain


@pytest.fixture
def ask(small):
    examination = small.examine()
    return lambda text: explain(examination.sheets["a"], text)


def test_a_computed_value_is_told_from_its_readings_on(ask):
    lines, understood = ask("pa: plate dissipation per tube")
    assert understood
    told = [line for line in lines if not line.startswith(" ")]
    assert [line.split(" = ")[0] for line in told] == [
        "pa: plate voltage",
        "pa: plate current",
        "pa: plate input",
        "pa: output power",
        "pa: plate dissipation",
        "pa: number of tubes",
        "pa: plate dissipation of each tube",
    ]
    assert "    P_p,1 = 38.6 W / 2 = 19.3 W" in lines
    assert any("readings.yaml:" in line for line in lines)
    assert any(line.startswith("    source: Elementary circuit theory") for line in lines)


def test_the_path_of_a_thing_is_understood_as_well(ask):
    assert ask("stages.pa: plate voltage") == ask("pa: plate voltage")


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        ("plate voltage", '"plate voltage" is not understood; write thing and value, such as "pa: plate dissipation"'),
        ("qq: plate voltage", 'there is nothing called "qq"; there are: '),
        ("modulatr: plate voltage", 'there is nothing called "modulatr"; did you mean "modulator"?'),
        ("pa: plate voltge", 'pa has no value called "plate voltge"; did you mean "plate voltage"?'),
    ],
)
def test_what_is_not_understood_is_answered_kindly(ask, asked, answer):
    lines, understood = ask(asked)
    assert not understood
    assert lines[0].startswith(answer)


def test_what_is_missing_names_what_it_needs(small):
    del small.rig["stages"]["pa"]["output"]["power"]
    small.readings = {}
    lines, understood = explain(small.examine().sheets["a"], "pa: plate dissipation")
    assert understood
    assert lines == ["plate dissipation: not shown", "  needs pa: output power"]


def test_a_reason_is_told(small):
    small.readings["sessions"][1]["stages"]["pa"]["output power"]["reads"] = "500 W"
    lines, _understood = explain(small.examine().sheets["a"], "pa: plate dissipation")
    assert lines[0].startswith("plate dissipation: not shown, outside the range of the formula")
