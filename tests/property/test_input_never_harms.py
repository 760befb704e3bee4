"""Whatever is typed: a quantity or a ValueError, a document or its problems, a rig or BadInput; never anything else."""

import copy
import math
import re
import tempfile
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from small_rig import Small

from builder.document import parse as parse_document
from builder.examine import as_json, examine
from builder.quantity import EXAMPLE, SI_SYMBOL, parse, show
from builder.rig.story import lookups

DIMENSIONS = st.sampled_from(sorted(EXAMPLE))
UNITS = st.sampled_from(
    ["V", "kV", "mA", "ohm", "kΩ", "µF", "u", "k7", "%", "ppm", "min", '"', "Hz", "dB", "°C", "", "V V", "EV"]
)
NUMBERS = st.one_of(
    st.floats().map(str),
    st.integers().map(str),
    st.from_regex(r"[-+\u2212]?[0-9.,' ]{1,8}([eE][-+]?[0-9]{1,4})?", fullmatch=True),
)
TEXTS = st.one_of(
    st.text(max_size=20),
    st.builds("{} {}".format, NUMBERS, UNITS),
    st.builds("{}{} ± {} {}".format, NUMBERS, UNITS, NUMBERS, UNITS),
)
YAMLISH = st.text(alphabet="ab:-{}[]&*!?|>'\"#,\n\t 0~%@`", max_size=60)


@given(TEXTS, DIMENSIONS)
@settings(max_examples=200)
@example("1e999 V", "voltage")
@example("5 V ±", "voltage")
@example("1e300 V ± 1e300 %", "voltage")
@example("١٢ V", "voltage")
@example("1 EV", "voltage")
def test_any_text_is_a_finite_quantity_or_a_sentence(text, dimension):
    message = ""
    try:
        found = parse(text, dimension)
    except ValueError as error:
        message = str(error)
    if message:
        assert message.startswith('"')
        assert '" ' in message or '":' in message
        return
    assert math.isfinite(found.value)
    assert math.isfinite(found.sigma)
    assert found.sigma >= 0
    assert found.unit == SI_SYMBOL[dimension]
    assert show(found.value, found.unit)


@given(st.floats(), st.sampled_from([*SI_SYMBOL.values(), "%", "ppm"]), st.integers(1, 8))
@settings(max_examples=300)
def test_showing_never_fails(value, unit, digits):
    assert show(value, unit, digits)


@given(st.floats(1e-11, 1e11), st.sampled_from(["V", "A", "W", "ohm", "F", "H", "Hz", "m"]))
@settings(max_examples=200)
def test_what_is_shown_can_be_read_again(value, unit):
    dimension = next(name for name, symbol in SI_SYMBOL.items() if symbol == unit)
    shown = show(value, unit, 3)
    assert math.isclose(parse(shown, dimension).value, value, rel_tol=0.006)


@given(st.one_of(st.text(max_size=80), YAMLISH))
@settings(max_examples=300)
@example("? [a]\n: b")
@example("&a [*a]")
@example("<<: {a: 1}")
@example("%YAML 9.9\n---\na: 1")
@example("a: !!binary x")
@example("\ufeffa: 1")
def test_any_text_is_a_document(text):
    found = parse_document(text, "x.yaml")
    for problem in found.problems:
        assert problem.place.line >= 1
        assert problem.place.column >= 1
        assert str(problem).startswith("x.yaml:")
    plain(found.data)


def plain(data):
    if isinstance(data, dict):
        for key, value in data.items():
            assert isinstance(key, str)
            plain(value)
    elif isinstance(data, list):
        for value in data:
            plain(value)
    else:
        assert data is None or isinstance(data, str)


@given(st.text(max_size=200))
def test_any_story_can_be_searched(text):
    for lookup in lookups(text):
        assert text[lookup.start : lookup.end] == lookup.text
        assert text.splitlines() is not None
        assert lookup.line >= 1
        assert lookup.column >= 1


WORDS = st.one_of(
    st.sampled_from(
        [
            "none",
            "yes",
            "no",
            "",
            "0",
            "-1",
            "1e9",
            "²",
            "--5",
            "1e999 V",
            "0 V",
            "0 ohm",
            "0 F",
            "-5 V",
            "5 kV",
            "nan",
            "rf power",
            "6146B",
            "1N4007",
            "R12",
            "C30",
            "pa",
            "hv",
            "a",
            "2026-02-30",
            "A3E",
            "J3E",
            "null",
            "~",
            "\0",
            "../../x",
            "{pa: plate current}",
            "<b>",
            "x" * 300,
        ]
    ),
    st.text(max_size=12),
)
VALUES = st.recursive(
    WORDS,
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=6), inner, max_size=2),
    max_leaves=4,
)


def paths(data, here=()):
    """Every path of nested data, inner ones as well as leaves."""
    pairs = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in pairs:
        yield (*here, key)
        yield from paths(value, (*here, key))


def changed(data, path, how, value):
    """A copy with one spot replaced, renamed or dropped."""
    made = copy.deepcopy(data)
    spot = made
    for key in path[:-1]:
        spot = spot[key]
    if how == "drop":
        del spot[path[-1]]
    elif how == "rename" and isinstance(spot, dict):
        spot[value if isinstance(value, str) else "renamed"] = spot.pop(path[-1])
    else:
        spot[path[-1]] = value
    return made


CONTENT = Small(None)
ALL = [(name, path) for name in ("station", "rig", "readings") for path in paths(getattr(CONTENT, name))]


TRAPS = [
    ("rig", ("carriers",), "replace", {}),
    ("rig", ("stages",), "replace", {}),
    ("rig", ("stages", "pa", "tubes", "sockets"), "replace", []),
    ("rig", ("supplies", "lv", "filter"), "replace", []),
    ("rig", ("supplies", "lv", "filter", 0, "string"), "replace", "0"),
    ("rig", ("supplies", "lv", "filter", 0, "string"), "replace", "-2"),
    ("rig", ("supplies", "hv", "rectifier", "in series"), "replace", ["3"]),
    ("rig", ("supplies", "hv", "rectifier", "in series"), "replace", {"3": "x"}),
    ("rig", ("supplies", "hv", "rectifier", "in series"), "replace", "--5"),
    ("rig", ("supplies", "hv", "rectifier", "in series"), "replace", "\u00b2"),
    ("rig", ("supplies", "hv", "rectifier", "in series"), "replace", "-3"),
    ("rig", ("supplies", "hv", "filter", 0, "choke"), "replace", "none"),
    ("rig", ("supplies", "hv", "filter", 1, "capacitor"), "replace", "none"),
    ("rig", ("supplies", "lv", "filter", 0, "equaliser"), "replace", "none"),
    ("rig", ("supplies", "hv", "rectifier", "type"), "replace", "none"),
    ("rig", ("stages", "pa", "plate", "supply"), "replace", "none"),
    ("rig", ("stages", "pa", "driven by"), "replace", "none"),
    ("rig", ("stages", "pa", "tubes", "type"), "replace", "none"),
    ("rig", ("final",), "replace", "none"),
    ("rig", ("meters", "plate", "shows", "value"), "replace", "none"),
    ("rig", ("meters", "plate", "shows"), "replace", {"value": "plate current"}),
    ("rig", ("meters", "plate", "range"), "replace", "0 mA"),
    ("rig", ("parts", "R12", "value"), "replace", "0 ohm"),
    ("rig", ("parts", "R30", "value"), "replace", "0 ohm"),
    ("rig", ("parts", "C30", "value"), "replace", "0 F"),
    ("rig", ("parts", "L10", "value"), "replace", "0 H"),
    ("rig", ("carriers", "a", "frequency"), "replace", "0 Hz"),
    ("rig", ("stages", "pa", "plate", "current"), "replace", "0 A"),
    ("rig", ("stages", "pa", "plate", "voltage"), "replace", "1e300 V"),
    ("rig", ("stages", "pa", "screen"), "replace", "none"),
    ("rig", ("supplies", "hv", "transformer", "part"), "replace", ["T1"]),
    ("station", ("invented",), "replace", ["yes"]),
    ("station", ("invented",), "replace", {"yes": "no"}),
    ("station", ("instruments",), "replace", [{"what": "meter"}]),
    ("station", ("instruments",), "replace", "multimeter"),
    ("station", ("rules",), "replace", ["us"]),
    ("station", ("mains", "voltage"), "replace", "0 V"),
    ("readings", ("sessions",), "replace", {"a": "b"}),
    ("readings", ("sessions", 0, "date"), "drop", None),
    ("readings", ("sessions", 0, "stages"), "replace", ["pa"]),
    ("readings", ("sessions", 0, "stages", "pa", "plate voltage", "meter"), "replace", "none"),
]
"""Mistakes that somebody is bound to make one day."""


def survives(folder, name, path, how, value):
    """Load and examine the small rig with one change; only BadInput may come of it."""
    small = Small(folder)
    setattr(small, name, changed(getattr(CONTENT, name), path, how, value))
    messages = small.problems()
    for message in messages:
        assert message
        assert not re.search(r"value error|invalid literal|NoneType|Traceback|pydantic", message), message
    if not messages:
        content = small.load()
        as_json(examine(content, content.rigs[0]))


@pytest.mark.parametrize(("name", "path", "how", "value"), TRAPS, ids=lambda part: str(part)[:60])
def test_a_likely_mistake_is_bad_input(tmp_path, name, path, how, value):
    survives(tmp_path / "content", name, path, how, value)


@given(spot=st.sampled_from(ALL), how=st.sampled_from(["replace", "rename", "drop"]), value=VALUES)
@settings(max_examples=200)
def test_any_mistake_in_a_file_is_bad_input(spot, how, value):
    with tempfile.TemporaryDirectory() as folder:
        survives(Path(folder) / "content", *spot, how, value)


@pytest.mark.parametrize(
    "file", ["", "x", "../" * 9 + "etc", "\0", "x" * 5000, "photo.jpg", "/", "."], ids=lambda file: repr(file)[:12]
)
def test_any_name_of_a_picture_is_bad_input(small, file):
    small.rig["pictures"] = [{"file": file, "caption": "The front."}]
    assert small.problems()
