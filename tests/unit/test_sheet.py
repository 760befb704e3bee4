"""Where a value comes from, in which order, and what is said when it cannot be had."""

import datetime
import math

import pytest
from uncertainties import ufloat

from builder.examination.sheet import lifted, points_at, source_of
from builder.examination.value import Missing, Origin, Value, shown_number
from builder.physics import amplifier, modulation, supplies


def test_measured_before_given(small):
    found = small.examine().sheet("stages.pa")["plate_current"]
    assert found.origin is Origin.MEASURED
    assert found.nominal == pytest.approx(0.210)
    assert "2026-10-03" in found.note


def test_given_before_rated_and_computed(small):
    small.readings = {}
    examination = small.examine()
    assert examination.sheet("stages.pa")["plate_current"].origin is Origin.GIVEN
    small.rig["supplies"]["hv"]["output"] = {"voltage": "580 V"}
    assert small.examine().sheet("supplies.hv")["output_voltage"].origin is Origin.GIVEN
    assert examination.sheet("supplies.hv")["output_voltage"].origin is Origin.COMPUTED


def test_rated_comes_from_the_table_with_its_mark(small):
    found = small.examine().sheet("stages.pa")["plate_dissipation_rated"]
    assert found.origin is Origin.RATED
    assert found.source == "rca-6146b"
    assert "from memory" in found.note
    assert "class C plate-modulated, ICAS" in found.note


def test_an_earlier_reading_holds_until_there_is_a_later_one(small):
    small.readings["sessions"][1]["stages"]["pa"].pop("output power")
    assert small.examine().sheet("stages.pa")["output_power"].nominal == 68


def test_readings_of_another_carrier_do_not_count(small):
    small.readings["sessions"][1]["carrier"] = "b"
    examination = small.examine()
    assert examination.sheet("stages.pa", "a")["output_power"].nominal == 68
    assert examination.sheet("stages.pa", "b")["output_power"].nominal == 79


def test_readings_without_a_carrier_count_on_all(small):
    del small.readings["sessions"][1]["carrier"]
    examination = small.examine()
    assert examination.sheet("stages.pa", "a")["output_power"].nominal == 79
    assert examination.sheet("stages.pa", "b")["output_power"].nominal == 79


def test_until_leaves_later_readings_aside(small):
    examination = small.examine(until=datetime.date(2025, 1, 1))
    assert examination.sheet("stages.pa")["output_power"].nominal == 68


def test_measured_and_computed_are_both_there(small):
    small.readings["sessions"][1]["supplies"] = {"hv": {"output voltage": {"reads": "582 V", "meter": "multimeter"}}}
    sheet = small.examine().sheet("supplies.hv")
    assert sheet["output_voltage"].origin is Origin.MEASURED
    assert sheet.worked_out("output_voltage").origin is Origin.COMPUTED
    assert sheet.worked_out("output_voltage").nominal == pytest.approx(585, abs=2)
    assert sheet.worked_out("mains_voltage").nominal == 120
    assert sheet.worked_out("transformer_secondary") is None


def test_what_is_missing_names_what_would_settle_it(small):
    del small.rig["stages"]["pa"]["output"]["power"]
    small.readings = {}
    found = small.examine().sheet("stages.pa")["plate_dissipation_per_tube"]
    assert isinstance(found, Missing)
    assert found.needs == ("pa: output power",)
    assert found.reason == ""
    assert found.words == "plate dissipation of each tube"


def test_needs_are_each_named_once(small):
    for part in ("output", "plate"):
        small.rig["stages"]["pa"][part] = {}
    small.readings = {}
    found = small.examine().sheet("stages.pa")["plate_dissipation_per_tube"]
    assert sorted(found.needs) == ["pa: output power", "pa: plate current", "pa: plate voltage"]


def test_circles_end(small):
    """Output voltage needs the load, the load current needs nothing of it; a stage that drives itself ends as well."""
    small.rig["stages"]["osc"]["driven by"] = "pa"
    small.rig["stages"]["modulator"]["modulates"] = "modulator"
    examination = small.examine()
    for path in examination.sheets["a"].things:
        for found in examination.sheet(path).all():
            assert isinstance(found, Value | Missing)
    assert isinstance(examination.sheet("stages.modulator")["modulating_impedance"], Missing)


def test_an_unknown_name_is_missing_and_no_crash(small):
    found = small.examine().sheet("stages.pa")["phase_of_the_moon"]
    assert isinstance(found, Missing)
    assert found.words == "phase of the moon"


def test_total_is_the_sum_over_what_points_here(small):
    sheet = small.examine().sheet("supplies.hv")
    assert sheet["plates_current"].nominal == pytest.approx(0.210 + 0.017 + 0.230)
    assert sheet["plates_current"].note == "sum over pa, modulator"
    assert sheet["screens_current"].nominal == 0
    assert sheet["screens_current"].note == "sum over nothing"


def test_total_with_a_gap_cannot_be_had(small):
    del small.rig["stages"]["modulator"]["plate"]["current"]
    found = small.examine().sheet("supplies.hv")["plates_current"]
    assert isinstance(found, Missing)
    assert found.needs == ("modulator: plate current",)


def test_total_whose_gaps_count_nothing(small):
    sheet = small.examine().sheet("supplies.hv")
    assert sheet["idle_currents"].nominal == pytest.approx(0.110)
    del small.rig["stages"]["modulator"]["plate"]["idle"]
    assert small.examine().sheet("supplies.hv")["idle_currents"].nominal == 0


def test_outside_the_range_becomes_a_reason(small):
    small.readings["sessions"][1]["stages"]["pa"]["output power"]["reads"] = "500 W"
    examination = small.examine()
    found = examination.sheet("stages.pa")["plate_dissipation"]
    assert isinstance(found, Missing)
    assert found.reason == "outside the range of the formula: output cannot exceed plate input"
    row = next(row for row in examination.findings_on("stages.pa") if row.check.title == "plate dissipation")
    assert row.reason == found.reason
    assert row.needs == ()


def test_accuracy_goes_through_the_formula(small):
    """Plate input of 117.6 W with 0.5 per cent of volts and 2 per cent of full scale in the current."""
    found = small.examine().sheet("stages.pa")["dc_input"]
    voltage, current = 0.005 * 560 / 3**0.5, 0.02 * 0.3 / 3**0.5
    assert found.sigma == pytest.approx(math.hypot(voltage * 0.210, current * 560), rel=1e-3)


def test_correlations_are_kept(small):
    """Efficiency and dissipation share the same readings; their sum with the input must not grow uncertain."""
    sheet = small.examine().sheet("stages.pa")
    rest = sheet["plate_dissipation"].number + sheet["output_power"].number - sheet["dc_input"].number
    assert rest.nominal_value == pytest.approx(0, abs=1e-9)
    assert rest.std_dev == pytest.approx(0, abs=1e-4)


def test_plain_numbers_stay_plain():
    assert lifted(amplifier.dc_input, [560.0, 0.21]) == pytest.approx(117.6)
    assert isinstance(lifted(amplifier.dc_input, [560.0, 1]), float)


def test_lifting_keeps_the_refusal():
    with pytest.raises(ValueError, match="output cannot exceed"):
        lifted(amplifier.plate_dissipation, [ufloat(10, 1), 20.0])


def test_at_the_edge_of_the_range_the_accuracy_is_still_known():
    """A step across the edge is taken only to find a slope; it must not make the accuracy unknown."""
    found = lifted(amplifier.plate_dissipation, [ufloat(100.0, 1.0), ufloat(100.0, 1.0)])
    assert found.std_dev == pytest.approx(2**0.5, rel=0.01)
    assert math.isfinite(lifted(modulation.depth_from_current, [ufloat(1.0, 0.01)]).std_dev)


def test_sources_of_formulas():
    assert source_of(supplies.critical_inductance) == "wpripple, as a function of series choke"
    assert source_of(modulation.peak_envelope_power) == "terman-re, amplitude modulation"
    assert source_of(lambda: 1) == ""


def test_references_are_followed(small):
    rig = small.load().rigs[0].rig
    assert points_at(rig.stages["pa"], "plate.supply") == "supplies.hv"
    assert points_at(rig.stages["pa"], "driven by") == "stages.osc"
    assert points_at(rig.stages["osc"], "plate.modulated_by") is None
    assert points_at(rig.stages["pa"], "no.such.field") is None
    assert points_at(rig, "final") == "stages.pa"


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [
        (ufloat(19.3, 1.2), "W", "19.3 W ± 12 %"),
        (ufloat(560, 1.6), "V", "560 V ± 0.56 %"),
        (19.3, "W", "19.3 W"),
        (ufloat(100, 1e-9), "V", "100 V"),
        (ufloat(0, 1), "V", "0 V"),
        (7.29e6, "Hz", "7.290 MHz"),
        (math.inf, "s", "without end"),
        (0.756, "%", "75.6 %"),
        (ufloat(3.47e-3, 16e-3), "W", "3.47 mW ± 31 mW"),
    ],
)
def test_numbers_with_their_band(number, unit, text):
    """Nineteen times in twenty: 1.96 standard uncertainties."""
    assert shown_number(number, unit) == text


def test_value_speaks(small):
    found = small.examine().sheet("stages.pa")["efficiency"]
    assert found.words == "efficiency"
    assert found.shown_unit == "%"
    assert found.plain == "67.2 %"
    assert str(found).startswith("67.2 % ± ")
    assert found.citation.startswith("Elementary circuit theory")
    assert small.examine().sheet("stages.pa")["plate_voltage"].citation == ""
    assert Value("unheard of", 1.0, "", Origin.GIVEN, "rig").words == "unheard of"
