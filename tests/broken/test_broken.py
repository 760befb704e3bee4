"""Content folders with mistakes, and the exact messages that their builder gets to read.

A new message is a new folder: put the files in it, run the test, read what it says, and write it to expected.txt.
"""

from pathlib import Path

import pytest

from builder.problem import BadInput
from builder.rig.load import load

HOME = Path(__file__).parent
CASES = sorted(path.parent for path in HOME.glob("*/expected.txt"))


def messages(folder):
    with pytest.raises(BadInput) as caught:
        load(folder)
    return str(caught.value).splitlines()


@pytest.mark.parametrize("folder", CASES, ids=lambda path: path.name)
def test_messages(folder, monkeypatch):
    monkeypatch.chdir(folder)
    assert messages(Path()) == (folder / "expected.txt").read_text(encoding="utf-8").splitlines()


def test_ten_mistakes_make_ten_messages(monkeypatch):
    monkeypatch.chdir(HOME / "ten-mistakes")
    found = messages(Path())
    assert len(found) == 10
    assert len({line.split(": ")[0] for line in found}) == 10, "each stands at a place of its own"


@pytest.mark.parametrize("folder", CASES, ids=lambda path: path.name)
def test_messages_are_for_craftsmen(folder):
    text = (folder / "expected.txt").read_text(encoding="utf-8")
    for word in (
        "NoneType",
        "dict",
        "str ",
        "int(",
        "tuple",
        "pydantic",
        "Traceback",
        "value error",
        "None",
        "[key]",
        "\\",
    ):
        assert word not in text, f"{folder.name}: {word} is no word of the trade"
    for line in text.splitlines():
        assert len(line.split(": ", 1)) == 2, line
        assert not line.endswith("."), line


def test_without_a_mistake_there_is_no_message(small):
    assert small.problems() == []


def test_every_folder_is_a_case():
    folders = {path for path in HOME.iterdir() if path.is_dir() and path.name != "__pycache__"}
    assert folders == set(CASES), "a folder without expected.txt"
