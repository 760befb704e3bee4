"""Meters as they are built and the line side of supplies: what readings are worth, what is said, what is not shown."""

import pytest

from builder.account import meters as told
from builder.account.safety import Level, call_outs
from builder.drawings.drawing import Medium, plans
from builder.examination.judge import Verdict
from builder.examination.value import Missing

MOVEMENT = {"current": "1 mA", "resistance": "50 ohm", "tolerance": "0.5 %", "accuracy": "1.5 %"}
CORD = {"conductor": "16 AWG", "earth": "16 AWG", "live": "1", "length": "2 m", "other": "1 A",
        "switch": {"part": "S2", "rating": "15 A"}}  # fmt: skip


@pytest.fixture
def built(small):
    """The small rig with a meter whose parts are told, a voltmeter, a cord, and a lifted B minus."""
    small.rig["meters"]["plate"] |= {"movement": dict(MOVEMENT), "shunt": {"resistor": "R50"}, "potential": "earth"}
    small.rig["meters"]["volts"] = {
        "label": "PLATE V", "shows": {"stage": "pa", "value": "plate voltage"}, "range": "750 V",
        "movement": dict(MOVEMENT), "multiplier": {"resistor": "R51", "string": "3", "across": "hv"},
    }  # fmt: skip
    small.rig["cords"] = {"main": dict(CORD)}
    small.rig["supplies"]["hv"] |= {
        "primary": {"cord": "main", "switch": {"part": "S3", "rating": "10 A"}, "fused": "1",
                    "interlock": {"switches": ["S5"], "rating": "10 A"}},
        "return": {"lifted": "yes", "resistor": "R52", "diodes": "CR6", "wire": "yes"},
        "glitch": {"resistor": "R53"}, "voltmeter": "volts",
    }  # fmt: skip
    small.rig["supplies"]["hv"]["high voltage fuse"] = {"part": "F2", "rating": "1 A", "voltage": "250 V"}
    small.rig["parts"] |= {
        "R50": {"what": "shunt", "value": "0.167 ohm", "tolerance": "0.5 %"},
        "R51": {"what": "multiplier", "value": "250 kohm", "tolerance": "1 %", "power": "1 W", "voltage": "350 V"},
        "R52": {"what": "B minus to chassis", "value": "100 ohm"},
        "R53": {"what": "glitch resistor", "value": "25 ohm", "power": "50 W", "energy": "50 J"},
        "CR6": {"what": "clamp diodes", "count": "2"}, "F2": {"what": "fuse in the plate line"},
        "S2": {"what": "main switch"}, "S3": {"what": "plate switch"}, "S5": {"what": "interlock"},
    }  # fmt: skip
    return small


def verdict(examination, title, thing):
    return next(row for row in examination.findings if row.check.title == title and row.thing == thing).verdict


def test_full_scale_is_worked_out_from_the_parts(built):
    """By hand: 1 mA x (1 + 50 / 0.167) = 300.4 mA, and 1 mA x (750 000 + 50) ohm = 750.05 V."""
    examination = built.examine()
    plate = examination.value("meters.plate", "current_range_built")
    assert plate.nominal == pytest.approx(0.3004, abs=5e-5)
    assert plate.unit == "A"
    assert examination.value("meters.volts", "voltage_range_built").nominal == pytest.approx(750.05)
    assert examination.value("meters.plate", "scale_error").nominal == pytest.approx(-0.00133, abs=1e-5)
    assert verdict(examination, "shunt value", "meters.plate") is Verdict.WITHIN
    assert verdict(examination, "multiplier value", "meters.volts") is Verdict.WITHIN


def test_a_wrong_shunt_is_found(built):
    built.rig["parts"]["R50"]["value"] = "0.15 ohm"
    assert verdict(built.examine(), "shunt value", "meters.plate") is Verdict.BEYOND


def test_a_reading_is_worth_what_the_parts_leave(built):
    """Stated at 2 per cent; the parts leave less with a resistor of 5 per cent, and readings take that."""
    stated = built.examine().value("stages.pa", "plate_current")
    assert stated.sigma == pytest.approx(0.02 * 0.3 / 3**0.5)
    built.rig["parts"]["R50"]["tolerance"] = "5 %"
    examination = built.examine()
    budget = examination.value("meters.plate", "accuracy_budget").nominal
    assert budget == pytest.approx((0.015**2 + 0.05**2 + 0.005**2) ** 0.5 + 0.00133, abs=3e-4)
    assert examination.value("stages.pa", "plate_current").sigma == pytest.approx(budget * 0.3 / 3**0.5)
    assert examination.value("meters.plate", "accuracy_used").nominal == pytest.approx(budget)
    assert verdict(examination, "accuracy as stated", "meters.plate") is Verdict.BEYOND


def test_the_budget_stands_in_where_no_accuracy_is_stated(built):
    del built.rig["meters"]["plate"]["accuracy"]
    examination = built.examine()
    budget = examination.value("meters.plate", "accuracy_budget").nominal
    assert examination.value("stages.pa", "plate_current").sigma == pytest.approx(budget * 0.3 / 3**0.5)
    assert not [row for row in examination.findings if row.check.title == "accuracy as stated"]


@pytest.mark.parametrize("lost", ["current", "resistance", "tolerance", "accuracy"])
def test_a_budget_with_a_gap_is_not_shown_and_the_stated_accuracy_stays(built, lost):
    del built.rig["meters"]["plate"]["movement"][lost]
    examination = built.examine()
    assert isinstance(examination.sheet("meters.plate")["accuracy_budget"], Missing)
    assert verdict(examination, "accuracy as stated", "meters.plate") is Verdict.NOT_SHOWN
    assert examination.value("stages.pa", "plate_current").sigma == pytest.approx(0.02 * 0.3 / 3**0.5)


@pytest.mark.parametrize("kind", ["moving iron", "rectifier", "thermocouple"])
def test_what_is_no_moving_coil_is_not_shown(built, kind):
    built.rig["meters"]["plate"]["movement"] = {"kind": kind}
    assert verdict(built.examine(), "shunt value", "meters.plate") is Verdict.NOT_SHOWN


def test_a_movement_without_shunt_is_its_own_range(built):
    del built.rig["meters"]["plate"]["shunt"]
    built.rig["meters"]["plate"]["movement"]["current"] = "300 mA"
    examination = built.examine()
    assert examination.value("meters.plate", "scale_error").nominal == 0
    assert examination.value("meters.plate", "accuracy_budget").nominal == pytest.approx(0.015)


def test_the_multiplier_is_judged_without_load_and_with_the_line_high(built):
    """By hand: 700 V x 1.414 x 1.1 = 1089 V, a third of it 363 V on each, 0.527 W in 250 kohm."""
    examination = built.examine()
    assert examination.value("meters.volts", "multiplier_voltage_each").nominal == pytest.approx(363, abs=0.5)
    assert examination.value("meters.volts", "multiplier_power_each").nominal == pytest.approx(0.527, abs=0.001)
    assert verdict(examination, "multiplier voltage", "meters.volts") is Verdict.BEYOND
    assert verdict(examination, "multiplier power", "meters.volts") is Verdict.BEYOND


LINES = [
    ({"potential": "earth"}, Verdict.WITHIN), ({"potential": "plate line", "cover": "none"}, Verdict.BEYOND),
    ({"potential": "plate line", "cover": "insulating"}, Verdict.WITHIN),
    ({"potential": "screen line", "cover": "recessed glass"}, Verdict.WITHIN),
    ({"potential": "bias", "cover": "none"}, Verdict.BEYOND),
    ({"potential": "plate line"}, Verdict.NOT_SHOWN), ({}, Verdict.NOT_SHOWN),
]  # fmt: skip


@pytest.mark.parametrize(("entries", "outcome"), LINES, ids=str)
def test_a_live_meter_wants_a_cover(built, entries, outcome):
    built.rig["meters"]["volts"] |= entries
    assert verdict(built.examine(), "live meter on the panel", "meters.volts") is outcome


def test_a_live_meter_is_a_caution(built):
    built.rig["meters"]["volts"] |= {"potential": "plate line", "cover": "none"}
    found = next(row for row in call_outs(built.examine()) if "PLATE V" in row.title)
    assert (found.level, "560 V" in found.title) == (Level.DANGER, True)
    built.rig["meters"]["volts"]["cover"] = "insulating"
    assert next(row for row in call_outs(built.examine()) if "PLATE V" in row.title).level is Level.WARNING


def test_the_cord_carries_its_supplies_and_the_rest(built):
    examination = built.examine()
    hv = examination.value("supplies.hv", "mains_current").nominal
    assert examination.value("cords.main", "cord_current").nominal == pytest.approx(hv + 1)
    assert examination.value("cords.main", "cord_current_rated").nominal == 13, "16 AWG, table of flexible cords"
    assert verdict(examination, "cord current", "cords.main") is Verdict.WITHIN


@pytest.mark.parametrize(
    ("size", "amperes"), [("18 AWG", 10), ("1.5 mm2", 16), ("2.5 mm²", 25), ("2 mm2", 16), ("0.5 mm2", None)]
)
def test_a_cord_is_rated_by_the_largest_size_that_it_reaches(built, size, amperes):
    built.rig["cords"]["main"]["conductor"] = size
    found = built.examine().value("cords.main", "cord_current_rated")
    assert (found.nominal if found else None) == amperes


def test_what_the_maker_of_a_cord_allows_comes_first(built):
    built.rig["cords"]["main"]["rating"] = "4 A"
    examination = built.examine()
    assert examination.value("cords.main", "cord_current_rated").nominal == 4
    assert verdict(examination, "cord and fuse", "supplies.hv") is Verdict.BEYOND


@pytest.mark.parametrize(("earth", "outcome"), [("16 AWG", "within"), ("18 AWG", "beyond"), ("none", "beyond")])
def test_the_earth_conductor_is_as_large_as_the_line(built, earth, outcome):
    built.rig["cords"]["main"]["earth"] = earth
    assert verdict(built.examine(), "protective earth conductor", "cords.main") == outcome


FAULTS = [
    ("fuse in each live wire", ("cords", "main", "live"), "2"),
    ("switch and fuse", ("supplies", "hv", "primary", "switch", "rating"), "3 A"),
    ("interlock current", ("supplies", "hv", "primary", "interlock", "rating"), "1 A"),
    ("B minus diodes", ("supplies", "hv", "return", "diodes"), "none"),
    ("B minus resistor", ("parts", "R52", "value"), "10 kohm"),
    ("return of its own", ("supplies", "hv", "return", "wire"), "no"),
    ("plate voltmeter", ("supplies", "hv", "voltmeter"), "none"),
    ("flashover current", ("supplies", "hv", "glitch", "stands"), "40 A"),
    ("glitch resistor energy", ("parts", "R53", "energy"), "5 J"),
    ("glitch resistor power", ("parts", "R53", "power"), "5 W"),
    ("high-voltage fuse", ("supplies", "hv", "high voltage fuse", "voltage"), "250 V"),
]


@pytest.mark.parametrize(("title", "path", "text"), FAULTS, ids=lambda part: part if isinstance(part, str) else "")
def test_a_fault_is_found(built, title, path, text):
    place = built.rig
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = text
    thing = "supplies.hv"
    assert verdict(built.examine(), title, thing) is Verdict.BEYOND


def test_b_minus_floats_without_diodes_and_is_clamped_with_them(built):
    """By hand: the current drawn through 100 ohm, against the drop of one rectifier."""
    examination = built.examine()
    assert examination.value("supplies.hv", "return_rise").nominal == pytest.approx(1.2)
    del built.rig["supplies"]["hv"]["return"]["diodes"]
    examination = built.examine()
    drawn = examination.value("supplies.hv", "supply_current").nominal
    assert examination.value("supplies.hv", "return_rise").nominal == pytest.approx(100 * drawn)
    assert verdict(examination, "B minus diodes", "supplies.hv") is Verdict.NOT_SHOWN


def test_covers_that_need_a_tool_guard_as_well(built):
    built.rig["supplies"]["hv"]["primary"] = {"screwed": "yes"}
    assert verdict(built.examine(), "interlock", "supplies.hv") is Verdict.WITHIN
    built.rig["supplies"]["hv"]["primary"] = {"screwed": "no"}
    assert verdict(built.examine(), "interlock", "supplies.hv") is Verdict.BEYOND


def test_nothing_recorded_is_not_shown(small):
    examination = small.examine()
    for title in ("interlock", "return of its own", "plate voltmeter", "cord and fuse", "fuse in each live wire"):
        assert verdict(examination, title, "supplies.hv") is Verdict.NOT_SHOWN
    assert told.metering(examination) == ()
    assert told.resistors(examination) == ()


def test_tables_for_people(built):
    rows = {row.label: row for row in told.metering(built.examine())}
    assert (rows["PLATE mA"].marked, rows["PLATE mA"].built, rows["PLATE mA"].error) == (
        "300 mA", "300.4 mA", "0.13 % low",
    )  # fmt: skip
    assert rows["PLATE V"].error == "0.0067 % low"
    strings = {row.label: row for row in told.resistors(built.examine())}
    assert strings["PLATE V"].what == "3 × 250 kohm ± 1 % in series"
    assert strings["PLATE V"].strain == "at most 363 V on each"
    assert strings["PLATE mA"].strain == "drops 50 mV in all"


def test_protection_is_drawn(built):
    examination = built.examine()
    shown = plans(examination)["fragment-supplies-hv"].make(Medium.PAPER).svg
    for part in ("S3", "R53", "F2", "R52", "CR6", "S5"):
        assert part in shown
