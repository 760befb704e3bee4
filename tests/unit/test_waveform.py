"""Harmonics of a square wave, held against the transform of the wave itself."""

import numpy as np
import pytest

from builder.account.tuning import source_harmonics
from builder.pages.rig_use import operating
from builder.physics import waveform

SOURCE = {"what": "logic source", "waveform": "square", "duty": "50 %", "swing": "3.3 V"}


@pytest.mark.parametrize("duty", [0.5, 0.25, 0.1, 0.48])
def test_components_are_those_of_the_transform(duty):
    points = 20000
    wave = np.where(np.arange(points) < duty * points, 3.3, 0.0)
    found = 2 * np.abs(np.fft.rfft(wave))[1:11] / points
    assert waveform.square_component(3.3, duty, np.arange(1, 11)) == pytest.approx(found, abs=1e-3)


def test_levels_of_odd_harmonics_fall_with_their_number():
    levels = [waveform.square_component_level(0.5, count) for count in (1, 3, 5, 7)]
    assert levels == pytest.approx([20 * np.log10(count) for count in (1, 3, 5, 7)])


def test_a_square_source_has_its_table(small):
    small.rig["signal source"] = {**SOURCE, "harmonic": "3"}
    found = small.examine()
    heads, rows = source_harmonics(found)
    assert heads == ("harmonic", "frequency", "peak", "below the fundamental")
    assert rows[0] == ("1", "2.430 MHz", "2.1 V", "0 dB")
    assert rows[1] == ("2", "4.860 MHz", "none", "none")
    assert rows[2][0::3] == ("3, picked", "9.54 dB")
    shown = operating(found, None)
    assert (shown["source"].what, shown["harmonics"]) == ("logic source", (heads, rows))
    assert found.value("rig", "source_component").nominal == pytest.approx(2 * 3.3 / np.pi / 3)


def test_a_source_without_duty_or_of_sines_has_no_table(small):
    small.rig["signal source"] = {**SOURCE, "waveform": "sine"}
    assert source_harmonics(small.examine()) == ((), ())
    small.rig["signal source"] = {"what": "logic source", "waveform": "square"}
    found = small.examine()
    assert source_harmonics(found) == ((), ())
    assert found.value("rig", "source_component") is None


def test_without_swing_the_levels_remain(small):
    small.rig["signal source"] = {"what": "logic source", "waveform": "square", "duty": "50 %"}
    rows = source_harmonics(small.examine())[1]
    assert rows[2][2:] == ("\N{EN DASH}", "9.54 dB")
