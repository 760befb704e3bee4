"""YAML to plain text with positions; whatever YAML can do beyond that is a problem with a place."""

import pytest

from builder.document import Document, parse, read, words
from builder.problem import Place

NO_VALUE = "has no value; write one or remove it; if it belongs to the text before it, put that in quotes"
TEXT = """\
name: Finch
stages:
  pa:
    kind: rf power
    tubes: {type: 6146B, sockets: [V1, V2]}
"""


def problems(text):
    return [str(problem) for problem in parse(text, "rig.yaml").problems]


def test_every_scalar_stays_text():
    data = parse("a: no\nb: 012\nc: 1:20\nd: 2026-03-14\ne: 1e3\nf: ~\ng: 0x10\nh: true", "x").data
    assert data == {
        "a": "no", "b": "012", "c": "1:20", "d": "2026-03-14", "e": "1e3", "f": "~", "g": "0x10", "h": "true",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("path", "value", "key"),
    [
        ((), (1, 1), (1, 1)),
        (("name",), (1, 7), (1, 1)),
        (("stages", "pa", "kind"), (4, 11), (4, 5)),
        (("stages", "pa", "tubes", "type"), (5, 19), (5, 13)),
        (("stages", "pa", "tubes", "sockets", 1), (5, 40), (5, 40)),
        (("stages", "pa", "plate", "voltage"), (4, 5), (3, 3)),
        (("nothing",), (1, 1), (1, 1)),
    ],
)
def test_positions(path, value, key):
    document = parse(TEXT, "rig.yaml")
    assert document.place(path) == Place("rig.yaml", *value)
    assert document.place(path, key=True) == Place("rig.yaml", *key)


def test_a_document_without_positions_still_has_a_place():
    assert Document("x", {}, {}, {}, ()).place(("a", 1)) == Place("x", 1, 1)


def test_words():
    assert words(("stages", "pa", 0)) == "stages.pa.0"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a: 1\na: 2", ["rig.yaml:2:1: a: is written twice; the first is in line 1"]),
        ("a: {b: 1, b: 2}", ["rig.yaml:1:11: a.b: is written twice; the first is in line 1"]),
        ("a: &x 1\nb: *x", ["rig.yaml:1:4: b: points to another part of the file; write the content out instead"]),
        ("? [a]\n: 1", ["rig.yaml:1:3: has a key that is not plain text"]),
        ("a: !thing 1", ['rig.yaml:1:4: a: carries the tag "!thing"; tags are not used here, remove it']),
        ("a:", [f"rig.yaml:1:1: a: {NO_VALUE}"]),
        ("{a: b, see fig. 3}", [f"rig.yaml:1:8: see fig. 3: {NO_VALUE}"]),
        ("a: ''", []),
        ("", []),
        ("# only a comment", []),
    ],
)
def test_notation_that_is_not_used(text, expected):
    assert problems(text) == expected


def test_tags_of_the_language_are_refused():
    assert any("tags are not used here" in text for text in problems("a: !!python/object/apply:os.system ['true']"))


def test_depth():
    text = "a: " * 1 + "[" * 30 + "]" * 30
    assert any("nested more than 24 levels deep" in problem for problem in problems(text))


def test_an_anchor_bomb_is_not_unfolded():
    text = "a: &a [x, x]\n" + "\n".join(
        f"{n}: &{n} [{', '.join([f'*{p}'] * 9)}]" for p, n in zip("abcdefgh", "bcdefghi", strict=True)
    )
    found = parse(text, "rig.yaml")
    assert len(found.problems) == 72
    assert found.data["b"] == [None] * 9


def test_a_knot_ends():
    assert any("points to another part" in text for text in problems("a: &a [*a]"))


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a: [1, 2", "rig.yaml:2:1"),
        ("a: 'x", "rig.yaml:1:6"),
        ("a: 1\n\tb: 2", "rig.yaml:2:1"),
        ("a: b: c", "rig.yaml:1:5"),
        ("---\na: 1\n---\nb: 2", "rig.yaml:3:1"),
    ],
)
def test_broken_notation(text, place):
    found = problems(text)
    assert len(found) == 1
    assert found[0].startswith(f"{place}: is not valid YAML here: ")
    assert found[0].endswith("check indentation, colons and quotes around this line")


def test_characters_that_no_text_has():
    assert problems("a: \x07") == ["rig.yaml:1:1: cannot be read as YAML: control characters are not allowed"] or (
        "is not valid YAML" in problems("a: \x07")[0] or "cannot be read as YAML" in problems("a: \x07")[0]
    )


def test_reading(tmp_path):
    path = tmp_path / "a.yaml"
    path.write_bytes(b"name: K\xfchn")
    assert [str(row) for row in read(path, "a.yaml").problems] == ["a.yaml:1:1: is not UTF-8 text; save it as UTF-8"]
    assert str(read(tmp_path / "none.yaml", "none.yaml").problems[0]).startswith(
        "none.yaml:1:1: cannot be read: No such"
    )
    assert str(read(tmp_path, "folder").problems[0]).startswith("folder:1:1: cannot be read: ")
    path.write_text("name: Kühn", encoding="utf-8")
    assert read(path, "a.yaml").data == {"name": "Kühn"}


def test_a_byte_order_mark_is_harmless(tmp_path):
    path = tmp_path / "a.yaml"
    path.write_bytes(b"\xef\xbb\xbfname: Finch\n")
    found = read(path, "a.yaml")
    assert found.problems == ()
    assert found.data == {"name": "Finch"}


def test_windows_line_ends_are_harmless(tmp_path):
    path = tmp_path / "a.yaml"
    path.write_bytes(b"name: Finch\r\nwhat: x\r\n")
    found = read(path, "a.yaml")
    assert found.data == {"name": "Finch", "what": "x"}
    assert found.place(("what",)) == Place("a.yaml", 2, 7)


def test_nesting_without_end_is_a_problem_and_no_crash():
    found = parse("[" * 3000, "rig.yaml")
    assert len(found.problems) == 1
