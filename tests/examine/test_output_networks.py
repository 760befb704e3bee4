"""Output networks of whole rigs: known answers, every form, carriers with taps, and what is said of what is missing."""

import copy
import math

import pytest

from builder.account.figures import arithmetic, performance
from builder.account.levels import steps
from builder.account.tuning import by_carrier, channels, filter_parts, tuning_chart
from builder.drawings.drawing import Medium, plans
from builder.drawings.tank import ladder as drawn_ladder
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


FILTER = {
    "form": "Chebyshev", "elements": "5", "edge": "9 MHz", "ripple": "0.01 dB", "coil q": "150",
    "parts": [{"capacitor": "C31"}, {"coil": "L31"}, {"capacitor": "C32"}, {"coil": "L32"}, {"capacitor": "C33"}],
}  # fmt: skip
FILTER_PARTS = {
    "C31": {"what": "filter", "value": "270 pF", "voltage": "500 V"},
    "C32": {"what": "filter", "value": "560 pF", "voltage": "500 V"},
    "C33": {"what": "filter", "value": "270 pF", "voltage": "500 V"},
    "L31": {"what": "filter", "value": "1.15 uH"}, "L32": {"what": "filter", "value": "1.15 uH"},
}  # fmt: skip


@pytest.fixture
def filtered(tank):
    """The complete network with a filter of listed parts behind it."""
    tank.rig["networks"]["tank"]["low pass"] = copy.deepcopy(FILTER)
    tank.rig["parts"] |= copy.deepcopy(FILTER_PARTS)
    return tank


def test_a_filter_of_parts_is_its_ladder(filtered):
    found = filtered.examine()
    ladder = Ladder.of_parts((270e-12, 560e-12, 270e-12), (1.15e-6, 1.15e-6), 150.0)
    assert complex(number(found, "filter_resistance"), number(found, "filter_reactance")) == pytest.approx(
        complex(ladder.input_impedance(7.29e6, 50.0)[0])
    )
    whole = Ladder.pi(number(found, "tuning_needed"), 2.6e-6, 990e-12, 230.0).followed_by(
        Ladder.of_parts((270e-12, 560e-12, 270e-12), (1.15e-6, 1.15e-6))
    )
    assert number(found, "second_weakened") == pytest.approx(whole.harmonic_attenuation(7.29e6, 50.0)[1])
    titles = ("filter loss", "SWR into the filter", "filter capacitor voltage", "filter parts")
    assert {title: finding(found, title).verdict for title in titles} == dict.fromkeys(titles, Verdict.WITHIN)


def test_parts_of_a_filter_stand_beside_their_design(filtered):
    heads, rows = filter_parts(filtered.examine(), "tank")
    assert heads == ("part", "as built", "design", "bears at the crest", "made for")
    assert [row[0] for row in rows] == ["C31", "L31", "C32", "L32", "C33"]
    assert rows[0][1:3] == ("270 pF", "267 pF")
    assert rows[0][3].endswith(" V")
    assert rows[1][3].endswith(" A")
    assert [row[4] for row in rows] == ["500 V", "\N{EN DASH}", "500 V", "\N{EN DASH}", "500 V"]


def test_coils_of_a_filter_are_held_against_what_they_are_made_for(filtered):
    assert finding(filtered.examine(), "first filter coil current").verdict is Verdict.NOT_SHOWN
    filtered.rig["parts"]["L31"]["current"] = "5 A"
    filtered.rig["parts"]["L32"]["current"] = "3 A"
    found = filtered.examine()
    assert finding(found, "first filter coil current").verdict is Verdict.WITHIN
    assert finding(found, "second filter coil current").verdict is Verdict.BEYOND
    assert not [row for row in found.findings if row.check.title == "third filter coil current"]


def behind(form, found, coil_q=230.0):
    """The network of the small rig with its filter, whose coils have a Q of 150."""
    tuning, parts = number(found, "tuning_needed"), ((270e-12, 560e-12, 270e-12), (1.15e-6, 1.15e-6))
    networks = {
        "pi": Ladder.output_network(tuning, 2.6e-6, 990e-12, coil_q=coil_q),
        "pi-L": Ladder.output_network(tuning, 2.6e-6, 990e-12, 0.9e-6, coil_q),
        "L": Ladder.output_network(tuning, 2.6e-6, coil_q=coil_q),
        "link": Ladder.linked_tank(tuning, 2.6e-6, 1.2e-6, 0.45, coil_q, 450e-12),
        "fixed link": Ladder.linked_tank(tuning, 2.6e-6, 1.2e-6, 0.45, coil_q),
    }
    return networks[form].followed_by(Ladder.of_parts(*parts, 150.0))


def reshaped(filtered, form):
    own = filtered.rig["networks"]["tank"]
    own["form"] = form.removeprefix("fixed ")
    if form == "pi-L":
        own["second coil"] = "L8"
        filtered.rig["parts"]["L8"]["value"] = "0.9 uH"
    if own["form"] == "link":
        own |= {"link coil": "L9", "link coupling": "45 %"}
        filtered.rig["parts"]["L9"] |= {"value": "1.2 uH", "current": "4 A"}
        own["settings"] = {"a": {"tune": "160 pF", "loading": "450 pF"}}
    if form in {"L", "fixed link"}:
        del own["loading"], own["settings"]
    return filtered.examine()


@pytest.mark.parametrize("form", ["pi", "pi-L", "L", "link", "fixed link"])
def test_a_network_sees_the_filter_behind_it(filtered, form):
    """Load, efficiency, currents and voltages as the one ladder of network and filter has them, loss and all."""
    found = reshaped(filtered, form)
    whole = behind(form, found)
    assert complex(whole.input_impedance(7.29e6, 50.0)[0]) == pytest.approx(number(found, "load_presented"))
    assert number(found, "network_efficiency") == pytest.approx(float(whole.efficiency(7.29e6, 50.0)[0]))
    voltages, currents = whole.stresses(7.29e6, 50.0, 79.0, 1.0)
    assert number(found, "plate_swing") == pytest.approx(voltages[0])
    assert number(found, "coil_current") == pytest.approx(currents[1])
    assert number(found, "network_loss") == pytest.approx(79.0 / float(whole.efficiency(7.29e6, 50.0)[0]) - 79.0)
    assert number(found, "range_low") < number(found, "range_high")
    if form == "pi":
        assert number(found, "loading_swing") == pytest.approx(voltages[2])
    if form == "pi-L":
        assert number(found, "output_coil_current") == pytest.approx(currents[3])
    if "link" in form:
        seen = number(found, "filter_resistance")
        assert number(found, "link_current") ** 2 * seen == pytest.approx(number(found, "filter_power"))
        assert finding(found, "link current", "a").verdict is not Verdict.NOT_SHOWN
    if form == "link":
        assert number(found, "link_current") == pytest.approx(currents[2])
        assert number(found, "loading_voltage") == pytest.approx(2 * voltages[2])


@pytest.mark.parametrize("form", ["pi", "pi-L", "link"])
def test_settings_for_a_match_reach_through_the_filter(filtered, form):
    found = reshaped(filtered, form)
    wanted = number(found, "plate_load")
    tuning, loading = number(found, "tuning_for_match"), number(found, "loading_for_match")
    seen = complex(number(found, "filter_resistance"), number(found, "filter_reactance"))
    networks = {
        "pi": Ladder.output_network(tuning, 2.6e-6, loading, coil_q=230.0),
        "pi-L": Ladder.output_network(tuning, 2.6e-6, loading, 0.9e-6, 230.0),
        "link": Ladder.linked_tank(tuning, 2.6e-6, 1.2e-6, 0.45, 230.0, loading),
    }
    assert complex(networks[form].input_impedance(7.29e6, seen)[0]) == pytest.approx(wanted)
    assert number(found, "loading_least_needed") < loading < number(found, "loading_most_needed")


def test_heat_of_the_coil_is_that_of_carrier_and_sidebands(tank):
    found = tank.examine()
    assert number(found, "coil_loss_modulated") == pytest.approx(number(found, "coil_loss") * (1 + 0.95**2 / 2))
    rise = number(found, "coil_temperature_rise")
    tank.rig["emission"] = "A1A"
    found = tank.examine()
    assert number(found, "coil_loss_modulated") == pytest.approx(number(found, "coil_loss"))
    assert number(found, "coil_temperature_rise") < rise


def test_what_the_network_keeps_does_not_heat_the_plates(filtered):
    """The check keeps to the cautious figure; beside it stands what is left after network and filter."""
    found = filtered.examine()
    stage = {name: found.value("stages.pa", name).nominal for name in ("plate_dissipation", "plate_heat")}
    assert stage["plate_dissipation"] - stage["plate_heat"] == pytest.approx(number(found, "network_loss"))


def test_a_carrier_that_is_not_modulated_has_no_row_for_it(tank):
    def rows():
        return {row.name for group in performance(tank.examine()) for row in group.rows}

    assert "coil_loss_modulated" in rows()
    tank.rig["emission"] = "A1A"
    assert "coil_loss_modulated" not in rows()


def test_harmonics_go_by_the_pulse_where_it_is_known(tank):
    found = tank.examine()
    share = found.value("stages.pa", "second_current_share").nominal
    assert 0.5 < share < 0.9
    level = number(found, "second_weakened") - 20 * math.log10(share)
    assert number(found, "second_harmonic") == pytest.approx(level)
    del tank.rig["stages"]["pa"]["grid"]["bias"]
    found = tank.examine()
    assert found.value("stages.pa", "second_current_share") is None
    assert number(found, "second_harmonic") == number(found, "second_weakened")


def test_a_filter_without_design_or_ratings_leaves_that_open(filtered):
    own = filtered.rig["networks"]["tank"]["low pass"]
    for field in ("form", "elements", "edge", "ripple", "coil q"):
        del own[field]
    del filtered.rig["parts"]["C32"]["voltage"]
    found = filtered.examine()
    assert isinstance(found.sheet("networks.tank")["filter_departure"], Missing)
    assert not [row for row in found.findings if row.check.title == "filter parts"]
    assert finding(found, "filter capacitor voltage").verdict is Verdict.NOT_SHOWN
    assert finding(found, "filter loss").verdict is Verdict.NOT_SHOWN
    assert {row[2] for row in filter_parts(found, "tank")[1]} == {"\N{EN DASH}"}
    assert finding(found, "load presented", "a").needs == ("tank: unloaded Q of the filter's coils",)


def test_a_network_without_listed_parts_has_no_table_of_them(tank):
    assert filter_parts(tank.examine(), "tank") == ((), ())


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"form": "half wave", "elements": "4", "edge": "7 MHz"}, "a half-wave filter has 5 or 9 elements"),
        ({"form": "Chebyshev", "elements": "5", "edge": "9 MHz"}, "an odd number of elements and a ripple"),
        ({"form": "Chebyshev", "elements": "11", "edge": "9 MHz", "ripple": "0.1 dB"}, "at most nine elements"),
        ({"form": "Chebyshev", "elements": "5", "ripple": "0.1 dB"}, "form, elements and edge of its design"),
        ({"coil q": "200"}, "or its parts, or both"),
        ({"parts": [{"coil": "L31"}, {"coil": "L32"}]}, "capacitors and coils by turns"),
        ({"parts": [{"capacitor": "C31", "coil": "L31"}]}, "either a capacitor or a coil"),
        ({"parts": [{"capacitor": "C31"} if at % 2 else {"coil": "L31"} for at in range(10)]}, "at most nine parts"),
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


@pytest.fixture
def linked(tank):
    """The small rig with a tank and a link that a capacitor tunes out."""
    own = tank.rig["networks"]["tank"]
    own |= {"form": "link", "link coil": "L9", "link coupling": "45 %"}
    own["settings"] = {"a": {"tune": "160 pF", "loading": "450 pF"}}
    tank.rig["parts"]["L9"]["value"] = "1.2 uH"
    return tank


def test_a_link_is_its_ladder(linked):
    own = linked.rig["networks"]["tank"]
    for field in ("loading", "settings"):
        del own[field]
    found = linked.examine()
    ladder = Ladder.linked_tank(number(found, "tuning_needed"), 2.6e-6, 1.2e-6, 0.45, 230.0)
    assert complex(ladder.input_impedance(7.29e6, 50.0)[0]) == pytest.approx(number(found, "load_presented"))
    assert number(found, "network_efficiency") == pytest.approx(float(ladder.efficiency(7.29e6, 50.0)[0]))
    assert number(found, "second_weakened") == pytest.approx(ladder.harmonic_attenuation(7.29e6, 50.0)[1])
    assert found.value("networks.tank", "loading_for_match") is None


def test_a_link_with_its_capacitor_is_its_ladder(linked):
    found = linked.examine()
    ladder = Ladder.linked_tank(number(found, "tuning_needed"), 2.6e-6, 1.2e-6, 0.45, 230.0, 450e-12)
    assert complex(ladder.input_impedance(7.29e6, 50.0)[0]) == pytest.approx(number(found, "load_presented"))
    assert number(found, "network_efficiency") == pytest.approx(float(ladder.efficiency(7.29e6, 50.0)[0]))
    voltages, currents = ladder.stresses(7.29e6, 50.0, 79.0, 2.0)
    assert number(found, "loading_voltage") == pytest.approx(voltages[2])
    assert number(found, "link_current") == pytest.approx(currents[2])
    assert number(found, "loading_voltage_mismatched") == pytest.approx(2**0.5 * voltages[2])


def test_drawings_take_link_and_filter_as_they_are(linked):
    linked.rig["networks"]["tank"]["low pass"] = copy.deepcopy(FILTER)
    linked.rig["parts"] |= copy.deepcopy(FILTER_PARTS)
    found = linked.examine()
    parts = Ladder.of_parts((270e-12, 560e-12, 270e-12), (1.15e-6, 1.15e-6))
    tank = Ladder.linked_tank(number(found, "tuning_needed"), 2.6e-6, 1.2e-6, 0.45, 230.0, 450e-12)
    assert drawn_ladder(found, "networks.tank") == tank.followed_by(parts)
    drawn = plans(found)
    assert "response-tank" in drawn
    circuit = drawn["fragment-stages-pa"].make(Medium.PAGE).svg
    assert all(f">{designator}<" in circuit for designator in ("C31", "L31", "C32", "L32", "C33", "C22"))


def test_a_link_is_set_and_judged_like_a_pi(linked):
    found = linked.examine()
    wanted = matching.link_settings_for_match(7.29e6, 2.6e-6, 1.2e-6, 0.45, 230.0, number(found, "plate_load"), 50.0)
    assert number(found, "loading_for_match") == pytest.approx(wanted.load)
    assert number(found, "tune_for_match") == pytest.approx(wanted.tuning - 25e-12)
    judged = {row.check.title: row.verdict for row in found.findings_on("networks.tank") if row.carrier != "b"}
    asked = (
        "loaded Q", "load presented", "tuning as set", "tuning range", "loading range", "coupling of the link",
        "loading at two to one",
    )  # fmt: skip
    assert not [title for title in asked if judged[title] is Verdict.NOT_SHOWN]
    assert number(found, "range_low") < 7.29e6 < number(found, "range_high")
    assert "settings-tank" in plans(found)
    assert "coupling for a match" in tuning_chart(found)[0]


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
    assert heads[2:] == ("PLATE TUNE", "tuning capacitor for a match", "loading capacitor for a match")
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


def test_the_arithmetic_of_a_network_begins_behind_its_filter(filtered):
    found = filtered.examine()
    group = next(group for group in performance(found) if group.thing == "networks.tank")
    names = [value.name for value in arithmetic(found, group)]
    steps = ("filter_power", "intermediate_load", "loading_left", "branch_resistance", "load_presented")
    assert [name for name in names if name in steps] == list(steps)
    assert len(names) == len(set(names))


def test_the_chain_tells_power_need_and_margin(small):
    first, last = steps(small.examine())
    assert (first.power_text, first.level_text, first.to) == ("3 W", "34.8 dBm", "Final")
    assert first.margin_text == f"{first.level - first.needed_level:+.1f} dB"
    assert (last.to, last.margin_text, last.level_text) == ("antenna", "", "49.0 dBm")
