"""Supplies of whole rigs: what the simulation adds to the page, and what a builder's mistakes are told."""

import math

import numpy as np
import pytest

from builder.account.safety import charges, energy_class
from builder.account.supply_curves import Curve, compared, curves, fall, thinned
from builder.examination.judge import Verdict
from builder.physics import supplies

PARTS = {
    "T9": {"what": "transformer"}, "T8": {"what": "variable transformer"}, "F9": {"what": "fuse"},
    "L9": {"what": "choke", "value": "10 H", "resistance": "100 ohm", "current": "200 mA"},
    "C9": {"what": "capacitor", "value": "40 uF", "voltage": "450 V", "current": "1 A", "count": "2"},
    "R8": {"what": "sharing resistor", "value": "100 kohm", "power": "2 W", "voltage": "500 V", "count": "2"},
    "R9": {"what": "bleeder", "value": "20 kohm", "power": "25 W", "voltage": "700 V"},
    "R7": {"what": "resistor before the glow tube", "value": "5 kohm", "power": "20 W"},
}  # fmt: skip
TRANSFORMER = {"part": "T9", "secondary": "700 V", "tap": "centre", "current": "200 mA", "resistance": "80 ohm"}
RECTIFIER = {"type": "1N4007", "circuit": "full wave", "legs": ["CR1", "CR2"], "in series": "2"}


def with_supply(small, **changes):
    """The rig with one more supply, loaded by the oscillator."""
    small.rig["parts"] |= PARTS
    small.rig["supplies"]["extra"] = {
        "transformer": TRANSFORMER, "rectifier": RECTIFIER, "filter": [{"choke": "L9"}, {"capacitor": "C9"}],
        "bleeder": "R9", "fuse": {"part": "F9", "rating": "1 A"}, "power factor": "90 %", "efficiency": "80 %",
    } | changes  # fmt: skip
    small.rig["stages"]["osc"]["plate"]["supply"] = "extra"
    return small.examine()


def found(examination, title):
    return next(row for row in examination.findings if row.check.title == title and row.thing == "supplies.extra")


def number(examination, name):
    return examination.value("supplies.extra", name).nominal


def test_above_critical_inductance_formula_and_simulation_agree(small):
    examination = with_supply(small)
    by_formula, simulated = number(examination, "formula_voltage"), number(examination, "simulated_voltage")
    assert simulated == pytest.approx(by_formula, rel=1e-3), "source: crow, the choke-input filter"
    assert found(examination, "formula against simulation").verdict is Verdict.WITHIN
    rows = {row.words: row for row in compared(examination, "extra")}
    assert rows["output voltage"].why == "they agree"


def test_below_critical_inductance_the_page_says_why_they_differ(small):
    small.rig["parts"]["L7"] = {"what": "small choke", "value": "1 H", "resistance": "50 ohm", "current": "200 mA"}
    examination = with_supply(small, filter=[{"choke": "L7"}, {"capacitor": "C9"}])
    rows = {row.words: row for row in compared(examination, "extra")}
    assert number(examination, "simulated_voltage") > 1.05 * number(examination, "formula_voltage")
    assert "below critical inductance" in rows["output voltage"].why
    assert found(examination, "formula against simulation").verdict is Verdict.BEYOND


def test_saw_tooth_ripple_is_an_upper_bound(small):
    examination = with_supply(small, filter=[{"capacitor": "C9"}])
    rows = {row.words: row for row in compared(examination, "extra")}
    assert number(examination, "simulated_ripple") < number(examination, "formula_ripple")
    assert "upper bound" in rows["effective ripple"].why, "source: wpripple, voltage ripple"


def test_a_second_section_takes_ripple_away(small):
    one = number(with_supply(small), "simulated_ripple")
    sections = [{"choke": "L9"}, {"capacitor": "C9"}, {"choke": "L9"}, {"capacitor": "C9"}]
    two = number(with_supply(small, filter=sections), "simulated_ripple")
    product = (4 * math.pi * 60) ** 2 * 10 * 40e-6
    assert two == pytest.approx(one / (product - 1), rel=0.05), "source: rdh4-31, product of the sections"


def test_a_doubler_comes_near_twice_the_peak(small):
    filters = [{"capacitor": "C9", "string": "2", "equaliser": "R8"}]
    rectifier = RECTIFIER | {"circuit": "doubler"}
    plain = TRANSFORMER | {"tap": "none", "secondary": "250 V", "resistance": "20 ohm"}
    examination = with_supply(small, filter=filters, rectifier=rectifier, transformer=plain)
    twice = 2 * math.sqrt(2) * 250
    assert 0.9 * twice < number(examination, "simulated_voltage") < twice
    assert number(examination, "no_load_voltage") == pytest.approx(1.1 * twice)


def test_a_variable_transformer_counts_as_set_and_as_turned_up(small):
    examination = with_supply(small, variable={"part": "T8", "setting": "80 %", "most": "115 %"})
    assert number(examination, "driving_voltage") == pytest.approx(0.8 * 350)
    assert number(examination, "no_load_voltage") == pytest.approx(math.sqrt(2) * 1.1 * 1.15 * 350)


def test_a_swinging_choke_holds_the_voltage_at_light_load(small):
    stiff = with_supply(small)
    plain = number(stiff, "light_load_voltage")
    swinging = {"choke": "L9", "swinging": {"inductance": "25 H", "current": "20 mA"}}
    examination = with_supply(small, filter=[swinging, {"capacitor": "C9"}])
    assert number(examination, "light_load_voltage") <= plain + 0.01


def test_a_vacuum_rectifier_drops_more_when_more_is_drawn(small):
    examination = with_supply(small, rectifier=RECTIFIER | {"type": "5U4GB", "in series": "1"})
    state = with_supply(small)
    assert number(examination, "simulated_voltage") < number(state, "simulated_voltage")
    assert number(examination, "rectifier_drop_current") == pytest.approx(0.275)


def test_a_glow_tube_is_judged_over_line_and_load(small):
    regulator = {"type": "OD3", "sockets": ["V8"], "through": "R7", "least load": "5 mA", "most load": "12 mA"}
    examination = with_supply(small, regulator=regulator)
    output, resistor = number(examination, "output_voltage"), 5e3
    assert number(examination, "glow_most_current") == pytest.approx((1.1 * output - 150) / resistor - 0.005)
    assert number(examination, "glow_least_current") == pytest.approx((0.9 * output - 150) / resistor - 0.012)
    for title in ("glow tube at low line", "glow tube at high line", "glow tube starts", "heat before the glow tube"):
        assert found(examination, title).verdict in {Verdict.WITHIN, Verdict.CLOSE, Verdict.BEYOND}


def test_the_intermittent_rating_counts_only_while_the_supply_rests_in_receive(small):
    rated = TRANSFORMER | {"intermittent current": "300 mA"}
    resting = with_supply(small, transformer=rated, **{"on in receive": "no"})
    assert number(resting, "transformer_limit") == pytest.approx(0.3)
    always = with_supply(small, transformer=rated, **{"on in receive": "yes"})
    assert number(always, "transformer_limit") == pytest.approx(0.2)


def test_without_a_winding_resistance_nothing_is_simulated(small):
    plain = {key: value for key, value in TRANSFORMER.items() if key != "resistance"}
    examination = with_supply(small, transformer=plain)
    assert found(examination, "regulation with choke").verdict is Verdict.NOT_SHOWN
    assert curves(examination, "extra") is None
    assert number(with_supply(small, transformer=plain | {"regulation": "10 %"}), "winding_resistance") == 175


def test_curves_hold_what_the_values_say(small):
    examination = with_supply(small)
    drawn = curves(examination, "extra")
    assert drawn.full[1] == pytest.approx(number(examination, "simulated_voltage"), rel=1e-3)
    assert np.mean(drawn.ripple.up) == pytest.approx(number(examination, "simulated_voltage"), rel=1e-2)
    assert drawn.start.up.max() == pytest.approx(number(examination, "start_peak_voltage"), rel=0.02)


def test_thinning_keeps_crest_and_trough():
    across = np.linspace(0, 1, 50_000)
    run = Curve(across, np.sin(600 * across))
    run.up[31_415] = 7.0
    few = thinned(run)
    assert len(few.up) < 1000
    assert few.up.max() == 7.0
    assert few.up.min() == pytest.approx(-1, abs=1e-3)


def test_the_waiting_time_counts_tolerances(small):
    examination = with_supply(small)
    plain = supplies.discharge_time(20e3, 40e-6, number(examination, "start_voltage"), 55.0)
    assert number(examination, "longest_discharge") == pytest.approx(1.1 * 1.2 * plain)


@pytest.mark.parametrize(("joules", "words"), [(12.0, "it can kill"), (1.0, "heavy shock"), (0.2, "safe means")])
def test_stored_energy_falls_into_a_class(joules, words):
    class Energy:
        nominal = joules

    assert words in energy_class(Energy())


def test_energy_that_is_not_known_is_taken_for_the_worst():
    assert "can kill" in energy_class(None)


def test_mistakes_of_a_supply_are_told_with_numbers_and_remedies(small):
    small.rig["parts"]["L7"] = {"what": "small choke", "value": "2 H", "resistance": "50 ohm", "current": "200 mA"}
    small.rig["parts"]["C8"] = {"what": "small capacitor", "value": "20 uF", "voltage": "350 V"}
    examination = with_supply(
        small, filter=[{"choke": "L7"}, {"capacitor": "C8"}], bleeder="none", fuse={"part": "F9", "rating": "10 A"}
    )
    for title in ("discharge time", "input choke", "capacitor voltage", "primary fuse"):
        row = found(examination, title)
        assert row.verdict is Verdict.BEYOND, title
        assert row.judgement is not None
        assert row.check.remedy
    charge = next(row for row in charges(examination) if row.supply == "extra")
    assert charge.seconds is None
    assert "no working bleeder" in charge.wait


def test_the_most_tender_stage_says_what_ripple_is_allowed(small):
    assert number(with_supply(small), "ripple_allowed") == 0.01, "an oscillator of a phone transmitter"
    small.rig["stages"]["speech"] = {
        "kind": "speech amplifier", "circuit": "triode", "plate": {"supply": "extra"},
        "tubes": {"type": "12AX7", "sockets": ["V7"], "service": "class A audio"},
    }  # fmt: skip
    assert number(with_supply(small), "ripple_allowed") == 0.005


def test_a_supply_of_relays_and_lamps_may_have_more_ripple(small):
    with_supply(small)
    small.rig["stages"]["osc"]["plate"]["supply"] = "lv"
    assert number(small.examine(), "ripple_allowed") == 0.05


def test_the_simulated_discharge_is_the_time_constant_of_the_bleeder(small):
    found = fall(with_supply(small), "extra")
    start, half = found.usual.up[0], len(found.usual.across) // 2
    expected = start * np.exp(-found.usual.across / (20e3 * 40e-6))
    assert found.usual.up == pytest.approx(expected, rel=0.02, abs=1.0)
    assert found.slow.up[len(found.slow.up) // 2] > found.usual.up[half]
    assert np.interp(found.harmless, found.slow.across, found.slow.up) == pytest.approx(55, rel=0.02)


def test_nothing_falls_without_a_bleeder(small):
    assert fall(with_supply(small, bleeder="none"), "extra") is None


def test_energy_at_a_voltage_that_may_be_touched_is_no_shock(small):
    low = TRANSFORMER | {"secondary": "30 V", "tap": "none"}
    bridge = RECTIFIER | {"circuit": "bridge", "legs": ["CR1", "CR2", "CR3", "CR4"], "in series": "1"}
    small.rig["parts"] |= {"C7": {"what": "large capacitor", "value": "4700 uF", "voltage": "63 V"}}
    examination = with_supply(small, transformer=low, rectifier=bridge, filter=[{"capacitor": "C7"}])
    charge = next(row for row in charges(examination) if row.supply == "extra")
    assert charge.energy_class == "at a voltage that may be touched"
    assert charge.failed == "harmless"


def test_a_step_start_resistor_goes_by_its_pulse_rating_where_it_has_one(small):
    resistor = {"what": "step start", "value": "50 ohm", "power": "10 W"}
    small.rig["parts"]["R6"] = resistor
    stepped = {"step start": "R6", "step time": "1 s"}
    assert number(with_supply(small, **stepped), "step_start_stands") == pytest.approx(100)
    resistor["energy"] = "3 J"
    examination = with_supply(small, **stepped)
    assert number(examination, "step_start_stands") == 3
    assert found(examination, "step-start resistor").verdict is Verdict.BEYOND
