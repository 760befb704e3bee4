"""Output networks of whole rigs: known answers, every form, carriers with taps, and what is said of what is missing."""

import copy
import math

import pytest

from builder.account.figures import performance
from builder.account.levels import steps
from builder.account.tuning import by_carrier, channels, tuning_chart
from builder.examination.judge import Verdict
from builder.examination.value import Missing, Origin
from builder.physics import matching
from builder.physics.ladder import Ladder

TANK = {
    "form": "pi", "tune": "C21", "coil": "L6", "loading": "C22", "coil q": "230", "antenna load": "50 ohm",
    "stray": "8 pF", "settings": {"a": {"tune": "190 pF", "loading": "990 pF"}},
}  # fmt: skip
PARTS = {
    "C21": {"what": "tuning", "value": "250 pF", "least": "14 pF", "voltage": "2 kV"},
    "C22": {"what": "loading", "value": "1500 pF", "least": "45 pF", "voltage": "500 V"},
    "L6": {
        "what": "tank coil", "value": "2.6 uH", "current": "6 A",
        "winding": {"turns": "9", "diameter": "50 mm", "length": "60 mm", "wire": "2 mm"},
    },
    "L5": {"what": "plate choke", "value": "220 uH", "current": "500 mA"},
    "L7": {"what": "safety choke", "value": "50 uH"},
    "L8": {"what": "second coil", "value": "1.4 uH"},
    "L9": {"what": "link", "value": "0.4 uH"},
}  # fmt: skip


@pytest.fixture
def tank(small):
    """The small rig with a complete pi network."""
    small.rig["networks"]["tank"] = copy.deepcopy(TANK)
    small.rig["parts"] |= copy.deepcopy(PARTS)
    small.rig["stages"]["pa"]["output"] |= {"choke": "L5", "safety choke": "L7"}
    return small


def number(examination, name, carrier=""):
    return examination.value("networks.tank", name, carrier).nominal


def finding(examination, title, carrier=""):
    rows = [row for row in examination.findings_on("networks.tank") if row.check.title == title]
    return next(row for row in rows if not carrier or row.carrier == carrier)


def test_a_pi_network_is_its_ladder(tank):
    found = tank.examine()
    ladder = Ladder.pi(number(found, "tuning_needed"), 2.6e-6, 990e-12, 230.0)
    assert complex(ladder.input_impedance(7.29e6, 50.0)[0]) == pytest.approx(number(found, "load_presented"))
    assert number(found, "tuning_needed") == pytest.approx(215e-12, rel=0.005)
    assert number(found, "plate_capacitance") == pytest.approx(25e-12)
    assert number(found, "tune_needed") == pytest.approx(190e-12, rel=0.005)
    assert number(found, "network_efficiency") == pytest.approx(float(ladder.efficiency(7.29e6, 50.0)[0]))
    voltages, currents = ladder.stresses(7.29e6, 50.0, 79.0, 1.0)
    assert number(found, "tune_voltage") == pytest.approx(2 * voltages[0])
    assert number(found, "coil_current") == pytest.approx(currents[1])
    assert number(found, "loading_current") == pytest.approx(currents[2])


def test_settings_follow_from_the_load_that_the_stage_wants(tank):
    found = tank.examine()
    wanted = number(found, "plate_load")
    assert wanted == found.value("stages.pa", "plate_load").nominal
    match = matching.settings_for_match(7.29e6, 2.6e-6, 230.0, wanted, 50.0, 0.0)
    assert number(found, "tune_for_match") == pytest.approx(match.tuning - 25e-12)
    assert number(found, "loading_for_match") == pytest.approx(match.load)
    assert number(found, "loading_most_needed") > match.load > number(found, "loading_least_needed")


def test_the_range_of_a_pi_network_holds_its_carrier(tank):
    found = tank.examine()
    assert number(found, "range_low") < 7.29e6 < number(found, "range_high")
    assert number(found, "plate_end_least") == pytest.approx(39e-12)


def test_every_check_of_a_complete_network_is_made(tank):
    found = tank.examine()
    open_ones = {
        row.check.title
        for row in found.findings_on("networks.tank")
        if row.carrier != "b" and row.verdict is Verdict.NOT_SHOWN
    }
    asks_for_more = {"blocking capacitor current", "load presented", "coil warmth", "loading range", "tuning as set"}
    assert open_ones <= asks_for_more
    assert finding(found, "loaded Q", "a").verdict is Verdict.WITHIN
    assert finding(found, "second harmonic", "a").verdict is Verdict.BEYOND


def test_what_stands_alone_is_judged_on_every_carrier(tank):
    found = tank.examine()
    rows = [row.carrier for row in found.findings_on("networks.tank") if row.check.title == "loaded Q"]
    assert sorted(rows) == ["a", "b"]
    assert finding(found, "loaded Q", "b").verdict is Verdict.NOT_SHOWN
    assert finding(found, "loaded Q", "b").needs == ("tank: loading capacitor as set",)


def test_a_filter_brings_the_harmonics_down(tank):
    tank.rig["networks"]["tank"]["low pass"] = {
        "form": "Chebyshev",
        "elements": "5",
        "edge": "9 MHz",
        "ripple": "0.1 dB",
    }
    assert finding(tank.examine(), "second harmonic", "a").verdict is Verdict.WITHIN
    tank.rig["networks"]["tank"]["low pass"] = {"form": "half wave", "elements": "5", "edge": "7.29 MHz"}
    assert finding(tank.examine(), "second harmonic", "a").verdict is Verdict.WITHIN


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"form": "half wave", "elements": "4", "edge": "7 MHz"}, "a half-wave filter has 5, 9 or 13 elements"),
        ({"form": "Chebyshev", "elements": "5", "edge": "9 MHz"}, "an odd number of elements and a ripple"),
    ],
)
def test_a_filter_that_cannot_be_is_refused(tank, given, told):
    tank.rig["networks"]["tank"]["low pass"] = given
    assert any(told in problem for problem in tank.problems())


def test_an_unknown_carrier_is_named_where_it_stands(tank):
    tank.rig["networks"]["tank"] |= {"taps": {"x": "2 uH"}, "settings": {"y": {"loading": "1 nF"}}}
    told = tank.problems()
    assert any('there is no carrier called "x"' in problem for problem in told)
    assert any('there is no carrier called "y"' in problem for problem in told)


def test_taps_change_the_coil_with_the_carrier(tank):
    tank.rig["networks"]["tank"]["taps"] = {"b": "2.4 uH"}
    tank.rig["networks"]["tank"]["settings"]["b"] = {"tune": "205 pF", "loading": "1.1 nF"}
    found = tank.examine()
    assert number(found, "tank_coil", "a") == pytest.approx(2.6e-6)
    assert number(found, "tank_coil", "b") == pytest.approx(2.4e-6)
    assert number(found, "loaded_q", "b") > number(found, "loaded_q", "a")
    assert number(found, "tap_turns", "b") < number(found, "tap_turns", "a") < 9.2


def test_q_grows_with_frequency_where_its_own_is_given(tank):
    tank.rig["networks"]["tank"]["coil q at"] = "1.8225 MHz"
    assert number(tank.examine(), "unloaded_q") == pytest.approx(460.0)


def test_a_pi_l_network_is_its_ladder(tank):
    tank.rig["networks"]["tank"] |= {"form": "pi-L", "second coil": "L8"}
    found = tank.examine()
    ladder = Ladder.pi_l(number(found, "tuning_needed"), 2.6e-6, 990e-12, 1.4e-6, 230.0)
    assert complex(ladder.input_impedance(7.29e6, 50.0)[0]) == pytest.approx(number(found, "load_presented"))
    assert number(found, "network_efficiency") == pytest.approx(float(ladder.efficiency(7.29e6, 50.0)[0]))
    voltages, currents = ladder.stresses(7.29e6, 50.0, 79.0, 1.0)
    assert currents[3] == pytest.approx(number(found, "output_coil_current"))
    assert number(found, "loading_swing") == pytest.approx(voltages[2], rel=0.02)


def test_a_link_is_its_ladder(tank):
    own = tank.rig["networks"]["tank"]
    for field in ("loading", "settings"):
        del own[field]
    own |= {"form": "link", "link coil": "L9", "link coupling": "40 %"}
    found = tank.examine()
    tuning = number(found, "tuning_needed")
    ladder = Ladder.linked_tank(tuning, 2.6e-6, 0.4e-6, 0.4)
    seen = complex(ladder.input_impedance(7.29e6, 50.0)[0])
    assert abs(seen) == pytest.approx(number(found, "load_presented"), rel=0.3)
    assert isinstance(found.sheet("networks.tank")["second_harmonic"].nominal, float)


def test_an_l_network_has_no_loading(tank):
    own = tank.rig["networks"]["tank"]
    for field in ("loading", "settings"):
        del own[field]
    own["form"] = "L"
    found = tank.examine()
    reactance = 2 * math.pi * 7.29e6 * 2.6e-6
    loss = 50 + reactance / 230
    assert number(found, "load_presented") == pytest.approx((loss**2 + reactance**2) / loss)


def test_a_toroid_goes_by_its_constant(tank):
    tank.rig["parts"]["L6"]["winding"] = {"turns": "20", "per turn": "6.5 nH"}
    assert number(tank.examine(), "coil_from_winding") == pytest.approx(2.6e-6)


def test_a_coil_is_held_against_its_winding_and_a_reading(tank):
    found = tank.examine()
    assert number(found, "coil_from_winding") == pytest.approx(2.63e-6, rel=0.005)
    assert finding(found, "coil and its winding").verdict is Verdict.WITHIN
    tank.station["instruments"]["bridge"] = {"what": "bridge", "accuracy": {"reading": "1 %"}}
    tank.readings["sessions"][-1]["networks"] = {"tank": {"coil": {"reads": "2.2 uH", "meter": "bridge"}}}
    found = tank.examine()
    assert found.value("networks.tank", "coil").origin is Origin.MEASURED
    assert number(found, "tank_coil") == pytest.approx(2.2e-6)
    assert finding(found, "coil and its winding").verdict is Verdict.BEYOND


def test_fixed_capacitors_are_what_they_say(small):
    """A capacitor without a least value is not variable: its value is its setting."""
    assert str(small.examine().value("networks.tank", "loading_set")) == "1.2 nF"


def test_what_is_missing_is_named(small):
    found = small.examine()
    assert "tank: load at the output" in finding(found, "loaded Q").needs
    assert isinstance(found.sheet("networks.tank")["network_efficiency"], Missing)


def test_a_network_that_nothing_feeds_says_so(tank):
    tank.rig["networks"]["spare"] = {"form": "pi", "coil": "L6"}
    lacking = tank.examine().sheet("networks.spare")["plate_load"]
    assert "nothing names spare" in lacking.reason


def test_tables_tell_every_carrier(tank):
    tank.rig["carriers"]["a"]["settings"] = {"plate tune": "38"}
    found = tank.examine()
    heads, rows = by_carrier(found, "tank")
    assert heads[0] == "carrier"
    assert {"loaded Q", "load presented"} <= set(heads)
    assert len(rows) == 2
    heads, rows = tuning_chart(found)
    assert heads[2:] == ("plate tune", "tuning capacitor for a match", "loading capacitor for a match")
    assert rows[0][3].endswith(" pF")
    heads, rows = channels(found)
    assert rows[0][:4] == ("a", "7.290 MHz", "Y1", "50 ppm")
    assert rows[0][4] == "364 Hz"


def test_a_rig_without_network_and_dials_has_no_chart(small):
    small.rig["networks"] = {}
    del small.rig["stages"]["pa"]["output"]["network"]
    assert tuning_chart(small.examine())[1] == ()


def test_performance_has_a_table_of_the_network(tank):
    group = next(group for group in performance(tank.examine()) if group.thing == "networks.tank")
    assert {"load_presented", "loaded_q", "tenth_harmonic"} <= {row.name for row in group.rows}


def test_the_chain_tells_power_need_and_margin(small):
    first, last = steps(small.examine())
    assert (first.power_text, first.level_text, first.to) == ("3 W", "34.8 dBm", "Final")
    assert first.margin_text == f"{first.level - first.needed_level:+.1f} dB"
    assert (last.to, last.margin_text, last.level_text) == ("antenna", "", "49.0 dBm")
