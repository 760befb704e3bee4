"""What is not recorded, told in the names that people know things by."""

from pathlib import Path

import pytest

from builder.account.wanting import title_of, waiting, wanted
from builder.examination.judge import Verdict
from builder.examine import examine
from builder.rig.load import load


@pytest.fixture(scope="module")
def rigs():
    content = load(Path(__file__).parents[2] / "content")
    return {folder.id: examine(content, folder) for folder in content.rigs}


def test_one_reading_that_settles_many_is_told_once_with_its_carrier(rigs):
    text, count = wanted(rigs["kestrel"])[0]
    assert text == "Amplifier: output power, on carrier 10m"
    first = waiting(rigs["kestrel"])[0]
    assert first.needs == (text,)
    assert len(first.rows) == count > 10


@pytest.mark.parametrize("name", ["bittern", "heron", "kestrel"])
def test_every_check_that_waits_stands_in_one_group(rigs, name):
    grouped = [row.id for group in waiting(rigs[name]) for row in group.rows]
    lacking = [row.id for row in rigs[name].findings if row.verdict is Verdict.NOT_SHOWN and row.needs]
    assert sorted(grouped) == sorted(lacking)


def test_what_does_not_hang_on_a_carrier_names_none(rigs):
    assert "Pi-L network (tank): diameter of the form" in dict(wanted(rigs["kestrel"]))


def test_a_thing_that_is_not_there_keeps_its_name(rigs):
    assert title_of(rigs["heron"], "stages.pa") == "Final"
    assert title_of(rigs["heron"], "stages.none") == "none"
