"""The only thing that is ever evaluated: formulas, and only those that hold nothing but formula."""

import pytest

from builder.examination.notation import Paper
from builder.papers import workings
from builder.papers.typesetting import printable

PLAIN = [
    'V_"p" times I_"p"', 'frac("560 V", "30 kΩ") = "19.4 mA"', 'sqrt(2) times italic("Δf")^(2) - 1', "η = 0.4714",
    "exp(x) + ln(2) + log(3)",
]  # fmt: skip
TRICKS = [
    '"a" #panic() "b"', '"a\\" #panic() "', "#panic()", '"open', "a; b", "$x$", "image(1)", "sys.inputs", "[x]", "{x}",
]  # fmt: skip


@pytest.mark.parametrize("text", PLAIN)
def test_formulas_pass(text):
    assert workings.safe(text)


@pytest.mark.parametrize("text", TRICKS)
def test_anything_else_is_printed_and_not_evaluated(text):
    assert not workings.safe(text)


def test_every_formula_of_a_rig_is_evaluated(small):
    examination = small.examine()
    sheets = examination.sheets[examination.carrier]
    values = [value for path in sheets.things for value in sheets.of(path).all()]
    shown = [row for row in map(_working, values) if row]
    assert len(shown) > 50
    for row in shown:
        assert workings.safe(row.formula(Paper())), row.formula(Paper())
        assert workings.safe(row.filled_in(Paper())), row.filled_in(Paper())


def _working(value):
    from builder.examination.value import Value
    from builder.examination.working import working

    return working(value) if isinstance(value, Value) else None


def test_each_working_names_a_source_of_the_list(small):
    examination = small.examine()
    count = len(workings.sources(examination))
    for row in workings.opened(examination):
        for step in row["steps"]:
            assert step["source"] is None or 1 <= step["source"] <= count


def test_every_finding_is_printed_once(small):
    examination = small.examine()
    listed = sum(row[1].count(", ") + 1 for row in workings.unsettled(examination))
    shown = len(workings.opened(examination)) + len(workings.settled(examination))
    assert shown + listed >= len(examination.findings)


def test_text_is_made_fit_for_print():
    assert printable({"a": ["club's\n\x07", 3, None], "svg": "it's"}) == {"a": ["club’s □", 3, None], "svg": "it's"}
