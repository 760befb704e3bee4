"""Curves: which there are, and whether what they mark is what the examination says."""

from reading import texts

from builder.drawings.drawing import Medium, plans


def shown(examination, name):
    return texts(plans(examination)[name].make(Medium.PAPER).svg)


def test_the_envelope_tells_carrier_crest_and_trough(examinations):
    found = examinations["heron"]
    told = shown(found, "envelope")
    assert f"carrier {found.value('rig', 'carrier_power').plain}" in told
    assert any(f"PEP {found.value('rig', 'peak_envelope_power').plain}" in text for text in told)
    assert f"trough {found.value('rig', 'modulation_depth').plain} down" in told


def test_only_amplitude_modulation_has_an_envelope(examinations):
    assert "envelope" not in plans(examinations["kestrel"])
    assert "trapezoid" not in plans(examinations["kestrel"])
    assert {"envelope", "trapezoid"} <= set(plans(examinations["bittern"]))


def test_a_rig_without_depth_has_no_envelope(small):
    del small.rig["modulation"]
    small.readings = {"sessions": []}
    assert "envelope" not in plans(small.examine())


def test_the_discharge_tells_time_limit_and_open_bleeder(examinations):
    found = examinations["heron"]
    told = shown(found, "decay-hv")
    time, safe = found.value("supplies.hv", "longest_discharge"), found.value("supplies.hv", "accessible_voltage")
    assert f"{safe.plain} after {time.plain}" in told
    assert f"harmless below {safe.plain}" in told
    assert any(text.startswith("bleeder open: does not fall") for text in told)


def test_a_supply_without_bleeder_never_falls(small):
    small.rig["supplies"]["hv"]["bleeder"] = "none"
    plan = plans(small.examine())["decay-hv"]
    drawing = plan.make(Medium.PAPER)
    assert "never" in drawing.description
    assert not any("working" in text for text in texts(drawing.svg))


def test_a_harmless_supply_has_no_discharge(examinations):
    assert "decay-control" not in plans(examinations["kestrel"])
    assert "decay-bias" not in plans(examinations["bittern"])


def test_axes_carry_units(examinations):
    assert "time after switch-off, s" in shown(examinations["heron"], "decay-hv")
    assert any(text.endswith(" V") for text in shown(examinations["heron"], "decay-lv"))
