"""Every printed result, worked out with our formulas and compared to half of its last digit."""

import pytest
from cases import KEYS, KINDS_PUBLISHED, cases

from builder.reference.tables import sources

CASES = cases("published")
RIGHT = [case for case in CASES if "correct" not in case.row]
WRONG = [case for case in CASES if "correct" in case.row]


@pytest.mark.parametrize("case", RIGHT, ids=str)
def test_printed_result(case):
    assert case.worked_out() == pytest.approx(case.printed(), rel=0, abs=case.allowed()), case.row["locator"]


@pytest.mark.parametrize("case", WRONG, ids=str)
def test_printed_result_that_is_wrong(case):
    """The source is known to be wrong: we must give the right answer and stay away from the printed one."""
    assert case.row["explanation"]
    assert case.worked_out() == pytest.approx(case.printed("correct"), rel=0, abs=case.allowed("correct"))
    assert abs(case.worked_out() - case.printed()) > case.allowed()


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case_is_complete(case):
    row = case.row
    assert set(row) <= KEYS, f"{row['id']}: unknown entries {set(row) - KEYS}"
    assert row["kind"] in KINDS_PUBLISHED, f"{row['id']}: our own figures belong in tests/regression"
    assert row["source"] in sources(), f"{row['id']}: add {row['source']} to builder/reference/sources.yaml"
    assert row["locator"], f"{row['id']}: say where in the source it is printed"
    assert isinstance(row["result"], str), f"{row['id']}: put the printed result in quotes, digits as printed"
    assert "tolerance" not in row or row["tolerance"]["reason"], f"{row['id']}: say why the tolerance is its own"


@pytest.mark.parametrize("case", CASES, ids=str)
def test_recalled_is_not_presented_as_read(case):
    source = sources()[case.row["source"]]
    if source.mark == "from memory":
        assert case.row["kind"] == "published_from_memory", f"{case}: its source was recalled, not read"
    if case.row["kind"] == "published_from_memory":
        assert source.mark != "read", f"{case}: its source was read; check the figures and call it published"


def test_ids_are_unique():
    names = [case.row["id"] for case in CASES]
    assert sorted(names) == sorted(set(names))
