"""A screen fed from a voltage divider: Ohm's law on both resistors; the screen's share is not all that flows."""

import pytest

from builder.examination.judge import Verdict


@pytest.fixture
def divided(small):
    small.rig["parts"]["R60"] = {"what": "lower divider resistor", "value": "30 kohm", "power": "2.5 W"}
    small.rig["stages"]["pa"]["screen"]["to earth"] = "R60"
    return small


def test_the_upper_resistor_carries_screen_and_divider(divided):
    examination = divided.examine()
    pa = {name: examination.value("stages.pa", name) for name in ("screen_divider_current", "screen_feed_current")}
    assert pa["screen_divider_current"].nominal == pytest.approx(178 / 30e3)
    assert pa["screen_feed_current"].nominal == pytest.approx(0.017 + 178 / 30e3)
    assert examination.value("stages.pa", "line_current").nominal == pytest.approx(0.210 + 0.017 + 178 / 30e3)


def test_the_books_and_the_heat_count_the_divider(divided):
    examination = divided.examine()
    upper = examination.value("stages.pa", "screen_through").nominal
    feed = 0.017 + 178 / 30e3
    assert examination.value("stages.pa", "screen_voltage_behind_resistor").nominal == pytest.approx(560 - upper * feed)
    assert examination.value("stages.pa", "screen_resistor_power").nominal == pytest.approx(upper * feed**2)
    row = next(row for row in examination.findings if row.check.title == "screen divider")
    assert row.verdict is Verdict.CLOSE, "1.06 W against half of 2.5 W"


def test_a_supply_gives_what_the_divider_takes(small):
    plain = small.examine().value("supplies.lv", "screens_current").nominal
    small.rig["parts"]["R60"] = {"what": "lower divider resistor", "value": "30 kohm", "power": "2.5 W"}
    small.rig["stages"]["osc"]["screen"]["to earth"] = "R60"
    assert small.examine().value("supplies.lv", "screens_current").nominal == pytest.approx(plain + 150 / 30e3)
