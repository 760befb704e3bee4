"""Formulas of supplies that no book prints with numbers: the identities that they must hold."""

import math

import pytest

from builder.physics import supplies


def test_a_bleeder_divides_with_the_resistance_before_it():
    assert supplies.bled_voltage(600.0, 100.0, 29_900.0) == pytest.approx(598.0)


def test_without_a_bleeder_nothing_is_divided():
    assert supplies.bled_voltage(600.0, 100.0, math.inf) == 600.0
