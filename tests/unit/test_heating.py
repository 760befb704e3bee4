"""Heaters, windings and air of a small station, changed one entry at a time."""

import pytest

from builder.examination.judge import Verdict
from builder.examination.value import Missing
from builder.physics import cooling

TAPPED = {"type": "12AX7", "sockets": ["V9"], "service": "class A audio"}
FORCED = {"type": "3-500Z", "sockets": ["V2", "V3"], "service": "linear"}


def verdicts(examination, title):
    return {row.thing: row.verdict for row in examination.findings if row.check.title == title}


def with_winding(small, **winding):
    small.rig["windings"] = {"h1": {"part": "T2", "voltage": "6.3 V", "current": "6 A"} | winding}
    for name in ("osc", "pa"):
        small.rig["stages"][name].setdefault("heater", {})["winding"] = "h1"
    return small


def amplifier(small, **air):
    """A grounded-grid pair in place of the modulated final."""
    for name in ("pa", "modulator"):
        del small.rig["stages"][name]
    small.rig["emission"] = "J3E"
    small.rig["sideband"] = "lower"
    small.station["altitude"] = "0 m"
    small.readings["sessions"] = []
    small.rig["meters"] = {}
    small.rig["stages"]["pa"] = {
        "kind": "cathode driven", "tubes": FORCED, "drive": {"power": "85 W"}, "output": {"power": "1400 W"},
        "plate": {"supply": "hv", "voltage": "2900 V", "current": "780 mA"}, "cooling": air,
    }  # fmt: skip
    return small


def test_a_winding_carries_the_sum_of_its_heaters(small):
    sheet = with_winding(small).examine().sheet("windings.h1")
    assert sheet["winding_load"].nominal == pytest.approx(0.65 + 2 * 1.125)
    assert sheet["winding_load"].unit == "A"


@pytest.mark.parametrize(
    ("current", "verdict"), [("6 A", Verdict.WITHIN), ("3 A", Verdict.CLOSE), ("2 A", Verdict.BEYOND)]
)
def test_a_winding_is_judged_by_its_rating(small, current, verdict):
    found = verdicts(with_winding(small, current=current).examine(), "heater winding current")
    assert found == {"windings.h1": verdict}


def test_a_winding_without_rating_is_not_shown(small):
    with_winding(small)
    del small.rig["windings"]["h1"]["current"]
    assert verdicts(small.examine(), "heater winding current") == {"windings.h1": Verdict.NOT_SHOWN}


def test_a_rectifier_counts_on_its_winding(small):
    small.rig["windings"] = {"r": {"part": "T2", "voltage": "5 V", "current": "3.5 A"}}
    small.rig["supplies"]["lv"]["rectifier"]["winding"] = "r"
    examination = small.examine()
    assert examination.sheet("windings.r")["winding_load"].nominal == 3
    assert verdicts(examination, "rectifier winding voltage") == {"supplies.lv": Verdict.WITHIN}


def test_a_winding_of_the_wrong_voltage_is_beyond(small):
    found = verdicts(with_winding(small, voltage="7.5 V").examine(), "heater winding voltage")
    assert set(found.values()) == {Verdict.BEYOND}


def test_a_resistor_in_the_heater_lead_is_taken_off(small):
    with_winding(small, voltage="7.5 V").rig["stages"]["osc"]["heater"]["through"] = "R99"
    small.rig["parts"]["R99"] = {"what": "heater resistor", "value": "1.8 ohm"}
    examination = small.examine()
    assert examination.value("stages.osc", "heater_voltage_expected").nominal == pytest.approx(7.5 - 1.8 * 0.65)
    assert verdicts(examination, "heater winding voltage")["stages.osc"] is Verdict.WITHIN


def test_a_winding_says_nothing_about_the_voltage_at_the_pins(small):
    sheet = with_winding(small).examine().sheet("stages.osc")
    assert isinstance(sheet["heater_voltage"], Missing)


@pytest.mark.parametrize(
    ("connected", "volts", "amperes"), [(None, 12.6, 0.15), ("parallel", 6.3, 0.3), ("series", 12.6, 0.15)]
)
def test_a_tapped_heater_goes_by_its_connection(small, connected, volts, amperes):
    small.rig["stages"]["speech"] = {
        "kind": "speech amplifier", "circuit": "resistance-coupled", "tubes": TAPPED,
        "heater": {"connected": connected} if connected else {},
    }  # fmt: skip
    small.rig["parts"]["V9"] = {"what": "speech amplifier tube"}
    sheet = small.examine().sheet("stages.speech")
    assert sheet["heater_voltage_nominal"].nominal == volts
    assert sheet["heaters_current"].nominal == pytest.approx(amperes)


def test_a_winding_that_is_not_there_is_named(small):
    with_winding(small).rig["stages"]["osc"]["heater"]["winding"] = "h2"
    assert 'there is no heater winding called "h2"' in small.problems()


def test_heat_of_an_amplifier_goes_into_its_air(small):
    sheet = amplifier(small, air="25 l/s", inlet="25 degC").examine().sheet("stages.pa")
    heat = 2900 * 0.78 + 85 - 1400 + 2 * 14.5 * 5
    assert sheet["stage_heat"].nominal == pytest.approx(heat)
    rise = heat / (cooling.AIR_DENSITY * cooling.AIR_HEAT * 0.025)
    assert sheet["air_temperature_rise"].nominal == pytest.approx(rise)
    assert sheet["outlet_temperature"].nominal == pytest.approx(25 + rise)
    assert sheet["airflow_needed"].nominal == pytest.approx(0.025 * rise / 50)
    assert str(sheet["cooling_air_per_tube"]) == "12.5 l/s"


@pytest.mark.parametrize(
    ("air", "verdict"), [("25 l/s", Verdict.WITHIN), ("26.5 cfm", Verdict.CLOSE), ("20 cfm", Verdict.BEYOND)]
)
def test_air_is_held_against_what_the_tube_asks_for(small, air, verdict):
    assert verdicts(amplifier(small, air=air).examine(), "air flow") == {"stages.pa": verdict}


def test_thin_air_becomes_warmer(small):
    low = amplifier(small, air="25 l/s").examine().value("stages.pa", "air_temperature_rise")
    small.station["altitude"] = "1500 m"
    high = small.examine().value("stages.pa", "air_temperature_rise")
    assert high.nominal / low.nominal == pytest.approx(1.2, abs=0.02)


def test_without_the_height_the_rise_is_not_shown(small):
    amplifier(small, air="25 l/s")
    del small.station["altitude"]
    found = [row for row in small.examine().findings if row.check.title == "air temperature rise"]
    assert {row.verdict for row in found} == {Verdict.NOT_SHOWN}
    assert "station: height above the sea" in found[0].needs


@pytest.mark.parametrize(("word", "verdict"), [("yes", Verdict.WITHIN), ("no", Verdict.BEYOND)])
def test_an_air_switch_is_asked_for(small, word, verdict):
    examination = amplifier(small, **{"air": "25 l/s", "interlock": word, "after run": "3 min"}).examine()
    assert verdicts(examination, "air interlock") == {"stages.pa": verdict}
    assert verdicts(examination, "air after switching off") == {"stages.pa": Verdict.WITHIN}


def test_nothing_about_air_is_not_shown_where_the_tube_needs_it(small):
    examination = amplifier(small).examine()
    assert verdicts(examination, "air interlock") == {"stages.pa": Verdict.NOT_SHOWN}
    assert "stages.osc" not in verdicts(examination, "air flow"), "a receiving tube stands in still air"


def test_a_flow_needs_a_unit_of_flow(small):
    amplifier(small, air="25")
    assert '"25" has no unit; expected a flow, such as 12 l/s' in small.problems()


def test_heat_of_a_tetrode_counts_screen_and_drive(small):
    small.readings["sessions"] = []
    small.rig["stages"]["pa"]["cooling"] = {"air": "5 l/s"}
    sheet = small.examine().sheet("stages.pa")
    parts = ("plate_dissipation", "heaters_power", "screen_input", "drive_heat")
    assert sheet["stage_heat"].nominal == pytest.approx(sum(sheet[name].nominal for name in parts))
    assert sheet["heaters_power"].nominal == pytest.approx(2 * 6.3 * 1.125)


@pytest.mark.parametrize(("delay", "verdict"), [("200 s", Verdict.WITHIN), ("30 s", Verdict.BEYOND)])
def test_plate_voltage_waits_for_a_slow_cathode(small, delay, verdict):
    amplifier(small, air="25 l/s").rig["stages"]["pa"]["tubes"] = FORCED | {"type": "8877"}
    small.rig["supplies"]["hv"]["rectifier"]["delay"] = delay
    assert verdicts(small.examine(), "plate voltage delay") == {"stages.pa": verdict}
    assert not verdicts(small.examine(), "air after switching off"), "a tube with a cooler is no large glass tube"


@pytest.mark.parametrize(
    ("word", "verdict"), [("yes", Verdict.WITHIN), ("no", Verdict.BEYOND), (None, Verdict.NOT_SHOWN)]
)
def test_mercury_stands_upright(small, word, verdict):
    rectifier = small.rig["supplies"]["hv"]["rectifier"]
    rectifier |= {"type": "866A", "in series": "1", "delay": "45 s"}
    if word:
        rectifier["upright"] = word
    assert verdicts(small.examine(), "rectifier upright") == {"supplies.hv": verdict}


@pytest.mark.parametrize(
    ("volts", "verdict"), [("4.9 V", Verdict.WITHIN), ("4.97 V", Verdict.CLOSE), ("5.1 V", Verdict.BEYOND)]
)
def test_a_thoriated_filament_with_the_line_high(small, volts, verdict):
    amplifier(small, air="25 l/s").rig["stages"]["pa"]["heater"] = {"voltage": volts}
    assert verdicts(small.examine(), "filament with the line high") == {"stages.pa": verdict}


def test_a_filament_choke_carries_the_filaments(small):
    amplifier(small, air="25 l/s").rig["stages"]["pa"]["filament choke"] = "L9"
    small.rig["parts"]["L9"] = {"what": "filament choke", "value": "32 uH", "current": "25 A"}
    assert verdicts(small.examine(), "filament choke current") == {"stages.pa": Verdict.BEYOND}
