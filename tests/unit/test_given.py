"""What stands in the files, as values with their places, and what the meter's accuracy makes of a reading."""

import datetime
import math

import pytest

from builder.examination.given import measured_values, readings
from builder.examination.value import Origin


def reading(small, **taken):
    small.readings["sessions"][1]["stages"]["pa"]["plate voltage"] = taken
    return small.examine().sheet("stages.pa")["plate_voltage"]


def test_given_value_has_its_place(small):
    found = small.examine().sheet("stages.modulator")["plate_voltage"]
    assert found.origin is Origin.GIVEN
    assert found.place.file.endswith("rig.yaml")
    line = (small.folder / "rigs/finch/rig.yaml").read_text(encoding="utf-8").splitlines()[found.place.line - 1]
    assert '"voltage": "575 V"' in line
    assert line[found.place.column - 1 :] == '"575 V"'


def test_reading_has_its_place_meter_and_day(small):
    found = small.examine().sheet("stages.pa")["output_power"]
    assert found.place.file.endswith("readings.yaml")
    assert found.note == "2026-10-03, dummy load with thermometers, unmodulated, dummy load"
    assert small.examine().sheet("stages.pa")["plate_current"].note.startswith("2026-10-03, panel meter PLATE mA")


def test_accuracy_of_the_reading(small):
    assert reading(small, reads="560 V", meter="multimeter").sigma == pytest.approx(560 * 0.005 / math.sqrt(3))


def test_accuracy_of_full_scale(small):
    found = small.examine(until=datetime.date(2025, 1, 1)).sheet("stages.pa")["output_power"]
    assert found.sigma == pytest.approx(100 * 0.05 / math.sqrt(3))


def test_both_parts_of_an_accuracy_add(small):
    small.station["instruments"]["multimeter"]["accuracy"] = {"reading": "0.5 %", "full scale": "0.1 %"}
    assert reading(small, reads="560 V", meter="multimeter").sigma == pytest.approx((2.8 + 1.0) / math.sqrt(3))


def test_a_stated_tolerance_goes_before_the_meter(small):
    assert reading(small, reads="560 V ± 10 V", meter="multimeter").sigma == pytest.approx(10 / math.sqrt(3))


def test_a_meter_of_unknown_accuracy_says_so(small):
    """Five per cent is taken, and said."""
    found = reading(small, reads="560 V", meter="old meter")
    assert found.sigma == pytest.approx(560 * 0.05 / math.sqrt(3))
    assert "accuracy of the meter not recorded" in found.note


def test_full_scale_without_a_range_is_not_exact(small):
    """Five per cent of an unknown full scale is unknown, not nothing."""
    del small.station["instruments"]["wattmeter"]["range"]
    found = small.examine(until=datetime.date(2025, 1, 1)).sheet("stages.pa")["output_power"]
    assert "accuracy of the meter not recorded" in found.note


def test_a_part_gives_its_value_and_ratings(small):
    sheet = small.examine().sheet("stages.pa")
    assert sheet["screen_through"].nominal == 22e3
    assert sheet["screen_through"].note == "R12, screen resistor"
    assert sheet["screen_through_power_rating"].nominal == 20
    assert sheet["output_blocking_voltage_rating"].nominal == 2000


def test_readings_come_oldest_first(small):
    content = small.load()
    found = list(readings(content.rigs[0], content.station))
    days = [day for _path, _name, _value, day in found]
    assert days == sorted(days)
    assert len(found) == 8
    assert {path for path, _name, _value, _day in found} == {"stages.pa", "rig"}


def test_measured_values_hold_the_latest(small):
    content = small.load()
    found = measured_values(content.rigs[0], content.station, "a", None)
    assert found["stages.pa"]["output_power"].nominal == 79
    early = measured_values(content.rigs[0], content.station, "a", datetime.date(2024, 5, 11))
    assert early["stages.pa"]["output_power"].nominal == 68
    assert measured_values(content.rigs[0], content.station, "a", datetime.date(2024, 5, 10)) == {}
