"""One small AM rig from its files to its verdicts."""

import datetime
import math

import pytest

from builder.examination.judge import WORST_FIRST, Verdict
from builder.examine import examine_all

VALUES = {
    ("stages.pa", "dc_input"): (117.6, "W"),
    ("stages.pa", "efficiency"): (79 / 117.6, ""),
    ("stages.pa", "plate_dissipation"): (38.6, "W"),
    ("stages.pa", "plate_dissipation_per_tube"): (19.3, "W"),
    ("stages.pa", "plate_current_per_tube"): (0.105, "A"),
    ("stages.pa", "screen_input"): (178 * 0.017, "W"),
    ("stages.pa", "screen_voltage_behind_resistor"): (560 - 22e3 * 0.017, "V"),
    ("stages.pa", "screen_resistor_power"): (22e3 * 0.017**2, "W"),
    ("stages.pa", "grid_leak_bias"): (-84.0, "V"),
    ("stages.pa", "line_current"): (0.227, "A"),
    ("stages.pa", "modulated_current"): (0.227, "A"),
    ("stages.pa", "modulating_impedance"): (560 / 0.227, "ohm"),
    ("stages.pa", "audio_power_needed"): (0.95**2 / 2 * 560 * 0.227, "W"),
    ("stages.pa", "crest_plate_voltage"): (1120.0, "V"),
    ("stages.pa", "plate_dissipation_modulated"): (19.3 * (1 + 0.95**2 / 2), "W"),
    ("stages.pa", "drive_available"): (3.0, "W"),
    ("stages.modulator", "reflected_load"): (560 / 0.227 * 1.4**2, "ohm"),
    ("stages.modulator", "audio_power_needed"): (0.95**2 / 2 * 560 * 0.227, "W"),
    ("stages.modulator", "plate_dissipation"): (575 * 0.230 - 74, "W"),
    ("rig", "carrier_power"): (79.0, "W"),
    ("rig", "peak_envelope_power"): (316.0, "W"),
    ("rig", "mean_power"): (79 * (1 + 0.95**2 / 2), "W"),
    ("rig", "necessary_bandwidth"): (6000.0, "Hz"),
    ("carriers.a", "frequency_error"): (364.5, "Hz"),
    ("carriers.a", "emission_low"): (7.290e6 - 3000 - 364.5, "Hz"),
    ("carriers.a", "emission_high"): (7.290e6 + 3000 + 364.5, "Hz"),
    ("carriers.a", "segment_low"): (7.125e6, "Hz"),
    ("carriers.a", "power_limit"): (1500.0, "W"),
    ("supplies.hv", "driving_voltage"): (700.0, "V"),
    ("supplies.hv", "no_load_voltage"): (1.1 * 700 * 2**0.5, "V"),
    ("supplies.hv", "inverse_voltage"): (2.2 * 700 * 2**0.5, "V"),
    ("supplies.hv", "inverse_voltage_each"): (2.2 * 700 * 2**0.5 / 3, "V"),
    ("supplies.hv", "plates_current"): (0.457, "A"),
    ("supplies.hv", "rectifier_drop"): (2.4, "V"),
    ("supplies.hv", "series_resistance"): (90.0, "ohm"),
    ("supplies.hv", "output_voltage"): ((2 * 2**0.5 / math.pi * 700 - 2.4 - 0.457 * 90) / (1 + 90 / 30e3), "V"),
    ("supplies.hv", "filter_capacitance"): (20e-6, "F"),
    ("supplies.hv", "stored_energy"): (20e-6 / 2 * (1.1 * 700) ** 2 * 2, "J"),
    ("supplies.hv", "discharge_time"): (30e3 * 20e-6 * math.log(1.1 * 700 * 2**0.5 / 55), "s"),
    ("supplies.lv", "filter_capacitance"): (40e-6, "F"),
    ("supplies.lv", "capacitor_voltage_each"): (1.1 * 400 * 2**0.5 / 2, "V"),
    ("supplies.lv", "bleeder"): (440e3, "ohm"),
    ("supplies.lv", "load_current"): (0.018 + 0.005 + 0.012, "A"),
    ("meters.plate", "scale_share"): (0.7, ""),
}
"""Worked out again here with a pocket calculator's arithmetic, from the lines of the rig file."""


@pytest.fixture(scope="module")
def examination(tmp_path_factory):
    from small_rig import Small

    return Small(tmp_path_factory.mktemp("rig") / "content").examine()


def finding(examination, check, thing):
    return next(row for row in examination.findings if row.check.id == check and row.thing == thing)


@pytest.mark.parametrize(("where", "expected"), VALUES.items(), ids=lambda part: " ".join(map(str, part)))
def test_value(examination, where, expected):
    found = examination.value(*where)
    assert found is not None, where
    assert found.nominal == pytest.approx(expected[0], rel=1e-9)
    assert found.unit == expected[1]


def test_it_knows_itself(examination):
    assert examination.id == "finch"
    assert examination.rig.name == "Finch"
    assert examination.carrier == "a"
    assert examination.value("stages.pa", "phase_of_the_moon") is None
    assert examination.state in {Verdict.CLOSE, Verdict.WITHIN}


def test_findings_come_worst_first(examination):
    order = [WORST_FIRST.index(row.verdict) for row in examination.findings]
    assert order == sorted(order)
    assert sum(examination.tally.values()) == len(examination.findings)


def test_ids_of_findings_are_unique(examination):
    names = [row.id for row in examination.findings]
    assert sorted(names) == sorted(set(names))


def test_no_check_speaks_of_the_shorthand_for_the_carrier(examination):
    assert not [row for row in examination.findings if row.thing == "carrier"]


def test_a_finding_tells_value_limit_and_room(examination):
    row = finding(examination, "plate-dissipation", "stages.pa")
    assert row.verdict is Verdict.WITHIN
    assert row.value_text.startswith("19.3 W ± ")
    assert row.limit_text.startswith("at most 23 W")
    assert row.room == pytest.approx(1 - 19.3 / 23)
    assert row.title == "Final"
    assert row.carrier == "a"
    assert [limit.name for limit in row.limits] == ["plate_dissipation_rated"]


def test_a_modulated_final_is_asked_about_modulation(examination, small):
    assert finding(examination, "depth-of-modulation", "stages.pa")
    del small.rig["stages"]["pa"]["plate"]["modulated by"]
    titles = {row.check.id for row in small.examine().findings_on("stages.pa")}
    assert "depth-of-modulation" not in titles
    assert "blocking-capacitor" not in titles
    assert "plate-dissipation" in titles


@pytest.mark.parametrize(
    ("power", "verdict"),
    [("85 W", Verdict.WITHIN), ("72 W", Verdict.NOT_SHOWN), ("66 W", Verdict.NOT_SHOWN), ("45 W", Verdict.BEYOND)],
)
def test_a_coarse_wattmeter_cannot_settle_what_a_good_one_can(small, power, verdict):
    """Dissipation is a difference: 5 per cent of 100 W full scale are 2.9 W, a band that swallows the limit."""
    taken = small.readings["sessions"][1]["stages"]["pa"]["output power"]
    taken["reads"], taken["meter"] = power, "wattmeter"
    row = finding(small.examine(), "plate-dissipation", "stages.pa")
    assert row.verdict is verdict
    assert ("better readings would settle it" in row.reason) == (verdict is Verdict.NOT_SHOWN)
    assert row.judgement is not None


def test_a_better_meter_settles_it(small):
    taken = small.readings["sessions"][1]["stages"]["pa"]["output power"]
    taken["reads"], taken["meter"] = "75 W", "wattmeter"
    assert finding(small.examine(), "plate-dissipation", "stages.pa").verdict is Verdict.NOT_SHOWN
    small.station["instruments"]["wattmeter"]["accuracy"] = {"reading": "0.1 %"}
    small.station["instruments"]["multimeter"]["accuracy"] = {"reading": "0.1 %"}
    small.rig["meters"]["plate"]["accuracy"] = {"reading": "0.1 %"}
    assert finding(small.examine(), "plate-dissipation", "stages.pa").verdict is Verdict.CLOSE


def test_not_shown_names_what_is_missing(small):
    del small.rig["stages"]["pa"]["output"]["power"]
    small.readings = {}
    examination = small.examine()
    row = finding(examination, "plate-dissipation", "stages.pa")
    assert row.verdict is Verdict.NOT_SHOWN
    assert row.judgement is None
    assert row.value_text == row.limit_text == ""
    assert row.room is None
    assert row.needs == ("pa: output power",)
    assert row.reason == "not recorded: pa: output power"
    wanted = dict(examination.wanted)
    assert wanted["pa: output power"] >= 4
    counts = [count for _need, count in examination.wanted]
    assert counts == sorted(counts, reverse=True)


def test_until_goes_back_in_time(small):
    then = small.examine(until=datetime.date(2025, 1, 1))
    now = small.examine()
    assert finding(then, "plate-dissipation", "stages.pa").judged.nominal == pytest.approx((562 * 0.218 - 68) / 2)
    assert finding(now, "plate-dissipation", "stages.pa").judged.nominal == pytest.approx(19.3)
    before = small.examine(until=datetime.date(2020, 1, 1))
    assert before.carrier == "a"
    assert before.value("stages.pa", "plate_voltage").origin == "given"


def test_every_carrier_is_held_against_the_band(small):
    small.rig["carriers"]["b"]["frequency"] = "7.299 MHz"
    examination = small.examine()
    assert finding(examination, "upper-band-edge", "carriers.a").verdict is Verdict.WITHIN
    assert finding(examination, "upper-band-edge", "carriers.b").verdict is Verdict.BEYOND
    assert examination.state is Verdict.BEYOND


def test_a_carrier_outside_every_segment_is_not_called_within(small):
    small.rig["carriers"]["b"]["frequency"] = "6.9 MHz"
    rows = [row for row in small.examine().findings if row.thing == "carriers.b" and row.check.subject == "legality"]
    assert rows
    assert not [row for row in rows if row.verdict in {Verdict.WITHIN, Verdict.CLOSE} and "edge" in row.check.title]


def test_readings_on_two_carriers_are_judged_on_both(small):
    small.readings["sessions"][1]["carrier"] = "b"
    rows = [row for row in small.examine().findings_on("stages.pa") if row.check.id == "plate-dissipation"]
    assert sorted(row.carrier for row in rows) == ["a", "b"]


def test_a_supply_without_bleeder_is_beyond(small):
    small.rig["supplies"]["hv"]["bleeder"] = "none"
    assert finding(small.examine(), "discharge-time", "supplies.hv").verdict is Verdict.BEYOND


def test_a_supply_without_bleeder_is_beyond_however_well_it_was_measured(small):
    """The verdict that matters most must not hang on whether the transformer was measured or only written down."""
    small.rig["supplies"]["hv"]["bleeder"] = "none"
    small.readings["sessions"][1]["supplies"] = {
        "hv": {"transformer secondary": {"reads": "1400 V", "meter": "multimeter"}}
    }
    row = finding(small.examine(), "discharge-time", "supplies.hv")
    assert row.verdict is Verdict.BEYOND
    assert "nan" not in row.value_text


def test_a_discharge_stick_counts_once_it_is_written_down(small):
    assert finding(small.examine(), "discharge-stick", "supplies.hv").verdict is Verdict.NOT_SHOWN
    small.rig["safety"] = {"ground stick": "none"}
    assert finding(small.examine(), "discharge-stick", "supplies.hv").verdict is Verdict.BEYOND
    small.rig["safety"] = {"ground stick": "inside the door, 100 ohm in series"}
    assert finding(small.examine(), "discharge-stick", "supplies.hv").verdict is Verdict.WITHIN


def test_a_second_filter_section_is_counted(small):
    small.rig["supplies"]["hv"]["filter"] = [
        {"choke": "L10"},
        {"capacitor": "C30"},
        {"choke": "L11"},
        {"capacitor": "C32"},
    ]
    small.rig["parts"]["L11"] = {"what": "second choke", "value": "5 H"}
    small.rig["parts"]["C32"] = {"what": "second capacitor", "value": "20 uF", "voltage": "1500 V"}
    found = small.examine().value("supplies.hv", "ripple")
    product = (4 * math.pi * 60) ** 2 * 5 * 20e-6
    assert found.nominal == pytest.approx(2**0.5 / 3 / (product - 1) ** 2)


@pytest.mark.parametrize(
    ("circuit", "tap", "inverse"),
    [
        ("full wave", "centre", 2 * 2**0.5 * 770),
        ("bridge", "none", 2**0.5 * 1540),
        ("half wave", "none", 2 * 2**0.5 * 1540),
    ],
)
def test_inverse_voltage_follows_the_circuit(small, circuit, tap, inverse):
    small.rig["supplies"]["hv"]["rectifier"]["circuit"] = circuit
    small.rig["supplies"]["hv"]["transformer"]["tap"] = tap
    assert small.examine().value("supplies.hv", "inverse_voltage").nominal == pytest.approx(inverse)


def test_single_sideband_is_on_one_side(small):
    small.rig["emission"], small.rig["sideband"] = "J3E", "by band"
    sheet = small.examine().sheet("carriers.a")
    assert sheet["emission_low"].nominal == pytest.approx(7.290e6 - 3000 - 364.5)
    assert sheet["emission_high"].nominal == pytest.approx(7.290e6 + 364.5)


def test_values_and_findings_do_not_depend_on_the_order_of_the_file(small, tmp_path):
    first = [(row.id, row.verdict, row.value_text) for row in small.examine().findings]
    other = small.copy(tmp_path / "other")
    for name in ("stages", "supplies", "parts"):
        other.rig[name] = dict(reversed(other.rig[name].items()))
    second = [(row.id, row.verdict, row.value_text) for row in other.examine().findings]
    assert sorted(first) == sorted(second)


def test_all_rigs_of_a_station(small):
    assert [row.id for row in examine_all(small.load())] == ["finch"]
    assert small.load().rig("finch").id == "finch"
    assert small.load().rig("wren") is None


def test_a_link_out_of_the_content_folder_is_passed_over(small, tmp_path):
    outside = tmp_path / "outside"
    other = small.copy(outside)
    other.write()
    small.write()
    (small.folder / "rigs" / "wren").symlink_to(outside / "rigs" / "finch")
    assert [rig.id for rig in small.load().rigs] == ["finch"]


def test_text_that_looks_like_code_stays_text(small):
    small.rig["name"] = "<script>alert(1)</script> {{ 7 * 7 }} ${HOME}"
    assert small.examine().rig.name == "<script>alert(1)</script> {{ 7 * 7 }} ${HOME}"
