"""One rig with five mistakes round its supply: each is found, with the numbers and the remedy."""

import pytest
import yaml
from test_control import CONTROL
from test_control import PARTS as SWITCHES

from builder.account.safety import charges
from builder.examination.judge import Verdict

MISTAKES = {
    "discharge time": ("without end", "at most 120 s", "lower bleeder"),
    "input choke": ("2 H", "at least ", "bleeder current"),
    "capacitor voltage": ("933 V", "at most 600 V", "higher rating"),
    "primary fuse": ("30 A", "between ", "slow fuse"),
    "antenna before carrier": ("−7 ms", "at least 2 ms", "contact of the antenna relay"),
}
"""Finding, how its value begins, its limit, and part of what is to be done."""


@pytest.fixture
def found(small):
    control = yaml.load(CONTROL, Loader=yaml.BaseLoader)  # noqa: S506 - text only
    control["relays"]["K2"] |= {"coil": ["S1", "S3"], "operate": "12 ms ± 2 ms"}
    control["relays"]["K3"] |= {"coil": ["S1", "S2", "S3", "interlocks"], "operate": "5 ms ± 1 ms"}
    supply = small.rig["supplies"]["hv"]
    supply |= {"bleeder": "none", "filter": [{"choke": "L90"}, {"capacitor": "C90"}]}
    supply |= {"fuse": {"part": "F90", "rating": "30 A"}, "power factor": "90 %", "efficiency": "85 %"}
    supply["transformer"] |= {"secondary": "1200 V", "tap": "centre"}
    small.rig["control"] = control
    small.rig["parts"] |= {name: {"what": what} for name, what in SWITCHES.items()} | {
        "L90": {"what": "choke", "value": "2 H", "current": "500 mA", "resistance": "40 ohm"},
        "C90": {"what": "capacitor", "value": "20 uF", "voltage": "600 V"},
        "F90": {"what": "fuse"},
    }
    return small.examine()


@pytest.mark.parametrize("title", MISTAKES)
def test_mistake_is_found_with_numbers_and_remedy(found, title):
    value, limit, remedy = MISTAKES[title]
    rows = [row for row in found.findings if row.check.title == title and row.thing in {"supplies.hv", "rig"}]
    assert [row.verdict for row in rows] == [Verdict.BEYOND]
    assert rows[0].value_text.startswith(value)
    assert rows[0].limit_text.startswith(limit)
    assert remedy in rows[0].check.remedy


def test_nobody_is_told_to_wait_for_a_bleeder_that_is_not_there(found):
    charge = next(row for row in charges(found) if row.supply == "hv")
    assert charge.seconds is None
    assert "no working bleeder" in charge.wait
