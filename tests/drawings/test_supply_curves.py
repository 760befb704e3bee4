"""The four panels of a supply: what they tell, and when there are none."""

import pytest
from reading import texts

from builder.drawings.drawing import Medium, plans


def words(examination, name):
    return texts(plans(examination)[name].make(Medium.PAGE).svg)


@pytest.mark.parametrize(("rig", "supply"), [("heron", "hv"), ("heron", "lv"), ("bittern", "mod"), ("kestrel", "hv")])
def test_the_panels_tell_crest_sag_ripple_and_both_loads(examinations, rig, supply):
    told = words(examinations[rig], f"supply-{supply}")
    for piece in ("at most", "at least", "Ripple at full load", "light load: ", "full load: ", "time, s", "time, ms"):
        assert any(piece in text for text in told), piece
    assert "current of the stages, mA" in told


def test_a_step_start_is_shown_beside_the_plain_start(examinations):
    assert "with step-start" in words(examinations["kestrel"], "supply-hv")
    assert "with step-start" not in words(examinations["heron"], "supply-hv")


def test_a_supply_that_nothing_draws_from_has_no_panels(examinations):
    assert "supply-bias" not in plans(examinations["heron"])


def test_a_supply_that_cannot_be_simulated_has_no_panels(small):
    del small.rig["supplies"]["hv"]["transformer"]["resistance"]
    assert "supply-hv" not in plans(small.examine())
