"""Functions that take parts as one, offered with one parameter for each part."""

import inspect
from typing import NamedTuple

import pytest

from builder.physics.units import Ohm, Volt, one_by_one, unit_of


class Pair(NamedTuple):
    """Two resistors.

    Args:
        upper: nearer the source.
        lower: nearer the chassis.
    """

    upper: Ohm
    lower: Ohm


@one_by_one
def divided(source: Volt, pair: Pair, share: float = 1.0) -> Volt:
    """Voltage of a divider.

    Args:
        source: above it.
        pair: of resistors.
        share: of the source in use.
    """
    return share * source * pair.lower / (pair.upper + pair.lower)


def test_parts_stand_where_the_whole_stood():
    assert list(inspect.signature(divided).parameters) == ["source", "upper", "lower", "share"]
    assert divided(100.0, 3.0, 1.0, 1.0) == 25.0
    assert divided(share=0.5, lower=1.0, upper=3.0, source=100.0) == 12.5


def test_every_part_keeps_its_unit_and_its_explanation():
    assert unit_of(divided.__annotations__["upper"]).symbol == "ohm"
    told = inspect.getdoc(divided)
    assert "pair:" not in told
    assert "    upper: nearer the source.\n    lower: nearer the chassis.\n    share: of the source in use." in told


def test_a_part_that_is_missing_is_refused():
    with pytest.raises(TypeError):
        divided(100.0, 3.0)


def test_it_keeps_its_name_and_what_was_written():
    assert divided.__name__ == "divided"
    assert "pair.lower" in inspect.getsource(divided)
