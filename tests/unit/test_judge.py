"""The four ways to a verdict, and what meters do to them."""

import math

import pytest
from uncertainties import ufloat

from builder.examination.judge import SHAPE, WORST_FIRST, Verdict, agrees, at_least, at_most, between

W, C, B, N = Verdict.WITHIN, Verdict.CLOSE, Verdict.BEYOND, Verdict.NOT_SHOWN


@pytest.mark.parametrize(
    ("judgement", "margin", "verdict"),
    [
        (at_most(80, 100), 0.1, W),
        (at_most(95, 100), 0.1, C),
        (at_most(90, 100), 0.1, W),
        (at_most(100, 100), 0.1, C),
        (at_most(100, 100), 0.0, W),
        (at_most(101, 100), 0.1, B),
        (at_least(120, 100), 0.1, W),
        (at_least(105, 100), 0.1, C),
        (at_least(99, 100), 0.1, B),
        (between(6.3, 6.0, 6.6), 0.01, W),
        (between(6.02, 6.0, 6.6), 0.01, C),
        (between(5.9, 6.0, 6.6), 0.01, B),
        (between(6.7, 6.0, 6.6), 0.01, B),
        (agrees(100, 105, 0.1), 0.02, W),
        (agrees(95, 105, 0.1), 0.02, C),
        (agrees(80, 105, 0.1), 0.02, B),
        (agrees(130, 105, 0.1), 0.02, B),
        (agrees(-85, -84, 0.1), 0.0, W),
        (agrees(-85, 84, 0.1), 0.0, B),
    ],
)
def test_verdict_of_plain_numbers(judgement, margin, verdict):
    assert judgement.verdict(margin) is verdict


@pytest.mark.parametrize(
    ("value", "sigma", "verdict"),
    [
        (50, 10, W),
        (95, 1, C),
        (99, 1, N),
        (101, 1, N),
        (103, 1, B),
        (99, 0.5, C),
        (80, 20, N),
        (200, 20, B),
    ],
)
def test_the_limit_may_lie_inside_the_accuracy(value, sigma, verdict):
    """A band of 1.645 standard uncertainties to the side of the limit; source: jcgm106 (from memory)."""
    assert at_most(ufloat(value, sigma), 100).verdict(0.1) is verdict
    assert at_least(-ufloat(value, sigma), -100).verdict(0.1) is verdict


def test_an_uncertain_limit_counts_as_well():
    assert at_most(99, ufloat(100, 5)).verdict(0.0) is N
    assert agrees(ufloat(100, 20), 105, 0.1).verdict(0.0) is N
    assert between(6.3, ufloat(6.0, 1), ufloat(6.6, 1)).verdict(0.0) is N


def test_what_is_correlated_cancels():
    reading = ufloat(100, 20)
    assert at_most(reading, 1.1 * reading).verdict(0.0) is W


@pytest.mark.parametrize(
    ("judgement", "verdict"),
    [
        (at_most(math.inf, 120), B),
        (at_most(120, math.inf), W),
        (at_least(math.inf, 10), W),
        (at_least(10, math.inf), B),
    ],
)
def test_endless_values(judgement, verdict):
    assert judgement.verdict(0.1) is verdict


@pytest.mark.parametrize(
    ("judgement", "verdict"),
    [
        (at_least(1.0, 0.0), W),
        (at_least(0.0, 0.0), W),
        (at_least(0.0, 1.0), B),
        (at_most(0.0, 0.0), W),
        (at_most(1.0, 0.0), B),
        (between(0.0, -1.0, 1.0), W),
        (between(2.0, -1.0, 1.0), B),
        (agrees(0.0, 0.0, 0.1), W),
        (agrees(1.0, 0.0, 0.1), B),
    ],
)
def test_limits_of_zero(judgement, verdict):
    assert judgement.verdict(0.0) is verdict


def test_an_endless_value_from_an_uncertain_one_is_beyond():
    """Without a bleeder the filter stays charged for ever, however well the voltage was measured."""
    from builder.examination.sheet import lifted
    from builder.physics.supplies import discharge_time

    endless = lifted(discharge_time, [math.inf, 20e-6, ufloat(990.0, 5.0), 55.0])
    assert at_most(endless, 120.0).verdict(0.75) is B


def test_room_is_a_share_of_the_limit():
    assert at_most(90, 100).room == pytest.approx(0.1)
    assert at_least(90, 100).room == pytest.approx(-0.1)
    assert between(6.2, 6.0, 6.6).room == pytest.approx(0.2 / 6.3)
    assert agrees(100, 105, 0.1).room == pytest.approx(0.1 - 5 / 105)


def test_every_verdict_has_a_word_and_a_shape():
    assert set(SHAPE) == set(WORST_FIRST) == set(Verdict)
    assert len(set(SHAPE.values())) == 4
    assert [str(verdict) for verdict in WORST_FIRST] == ["beyond", "close", "not shown", "within"]
