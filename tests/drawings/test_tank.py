"""Drawings of networks and levels: what they mark is what the examination says, and no words lie on others."""

import pytest
from reading import texts

from builder.drawings.drawing import Medium, plans
from builder.drawings.tank import in_words

RIGS = ("bittern", "heron", "kestrel")


def shown(examination, name):
    return texts(plans(examination)[name].make(Medium.PAPER).svg)


@pytest.mark.parametrize("rig", RIGS)
def test_the_response_tells_carrier_harmonics_and_rule(examinations, rig):
    found = examinations[rig]
    told = shown(found, "response-tank")
    second = found.value("networks.tank", "second_harmonic")
    assert f"carrier {found.value('networks.tank', 'carrier_frequency').plain}" in told
    assert f"2nd \u2212{second.plain}" in told
    assert "rules: below \u221243 dB" in told
    assert any("stray coupling decides" in text for text in told)


@pytest.mark.parametrize("rig", RIGS)
def test_the_map_of_settings_tells_rings_match_and_stops(examinations, rig):
    found = examinations[rig]
    told = shown(found, "settings-tank")
    assert {"2 to 1", "1.5 to 1", "50 Ω, a match"} <= set(told)
    for name in ("tune", "loading"):
        assert f"most {found.value('networks.tank', name).plain}" in told


def test_levels_tell_watts_level_need_and_margin(examinations):
    told = " ".join(shown(examinations["heron"], "levels"))
    for words in ("79 W", "49.0 dBm", "needed 2 W", "margin +5.4 dB", "Driver"):
        assert words in told


def test_an_exciter_begins_the_chain(examinations):
    assert shown(examinations["kestrel"], "levels").count("Exciter") == 1


def test_nothing_is_drawn_of_a_network_that_is_not_known(small):
    names = plans(small.examine())
    assert "response-tank" not in names
    assert "settings-tank" not in names


def test_numbers_in_words_are_left_as_they_are(examinations):
    """Coordinates are shortened, a frequency in the text is not."""
    assert any("7.290 MHz" in text for text in shown(examinations["heron"], "response-tank"))


@pytest.mark.parametrize(
    ("orders", "told"),
    [([3], "3rd"), ([2, 3, 4], "2nd to 4th"), ([3, 6, 7, 8], "3rd, 6th to 8th"), ([2, 4], "2nd, 4th")],
)
def test_harmonics_are_told_by_their_runs(orders, told):
    assert in_words(orders) == told


def test_the_title_says_where_dots_count_in_the_pulse(examinations):
    for rig, counted in (("bittern", True), ("heron", True), ("kestrel", False)):
        title = plans(examinations[rig])["response-tank"].make(Medium.PAPER).title
        assert ("the pulse of plate current" in title) == counted
