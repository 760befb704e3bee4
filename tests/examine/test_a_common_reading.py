"""Readings that are common practice in the trade (no source): 200 W out of 1800 V at 200 mA.

Ratings of the tubes compared: rca-tt5 and eimac-manual, from memory, as the tables mark them.
"""

import pytest

from builder.examination.judge import Verdict
from builder.examination.value import Origin

READINGS = {"plate voltage": "1800 V", "plate current": "200 mA", "output power": "200 W"}


def put(small, tube, system):
    """One tube of a type in the final, with the common readings."""
    stage = small.rig["stages"]["pa"]
    stage["tubes"] = {"type": tube, "sockets": ["V2"], "service": "class C plate-modulated", "system": system}
    del stage["heater"]
    stage["plate"].update(voltage="1800 V", current="200 mA")
    stage["output"]["power"] = "200 W"
    small.readings["sessions"] = []
    return small.examine()


@pytest.mark.parametrize(
    ("tube", "system", "rated", "verdict"),
    [("813", "CCS", "67 W", Verdict.BEYOND), ("4-250A", "absolute", "165 W", Verdict.CLOSE)],
)
def test_input_efficiency_and_heat_against_the_plate_modulated_rating(small, tube, system, rated, verdict):
    made = put(small, tube, system)
    sheet = made.sheet("stages.pa")
    assert [str(sheet[name]) for name in ("dc_input", "efficiency", "plate_dissipation")] == [
        "360 W",
        "55.6 %",
        "160 W",
    ]
    row = next(item for item in made.findings if item.check.id == "plate-dissipation" and item.thing == "stages.pa")
    limit = sheet["plate_dissipation_rated"]
    assert str(limit) == rated
    assert limit.origin is Origin.RATED
    assert "plate-modulated" in limit.note
    assert row.verdict is verdict


def test_with_meters_the_difference_is_as_uncertain_as_they_are(small):
    """5 per cent of a 300 W wattmeter make 160 W of heat uncertain by 11 W: 165 W is not shown to hold."""
    put(small, "4-250A", "absolute")
    small.station["instruments"]["multimeter"]["range"] = "3 kV"
    small.station["instruments"]["wattmeter"]["range"] = "300 W"
    meters = {"plate voltage": "multimeter", "plate current": "plate", "output power": "wattmeter"}
    taken = {name: {"reads": READINGS[name], "meter": meter} for name, meter in meters.items()}
    session = {"date": "2026-10-03", "carrier": "a", "condition": "unmodulated, dummy load"}
    small.readings["sessions"] = [{**session, "stages": {"pa": taken}}]
    made = small.examine()
    heat = made.sheet("stages.pa")["plate_dissipation"]
    assert heat.nominal == pytest.approx(160)
    assert heat.number.std_dev == pytest.approx(10.7, abs=0.1)
    row = next(item for item in made.findings if item.check.id == "plate-dissipation" and item.thing == "stages.pa")
    assert row.verdict is Verdict.NOT_SHOWN
