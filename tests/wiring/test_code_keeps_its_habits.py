"""Small rules of the house that no linter knows."""

import ast
import inspect
import re
import subprocess
from pathlib import Path

import pytest

import builder
import builder.rig.load
from builder.discover import modules
from builder.rig.fields import Model
from builder.rig.wording import WORDING

HOME = Path(builder.__file__).parent
SOURCES = sorted(HOME.rglob("*.py"))
TEXTS = [*SOURCES, *sorted(HOME.rglob("*.yaml"))]
LONGEST = 60
BY_HAND = ("builder", "tests", "site_templates", "content")


def short(path):
    return path.relative_to(HOME.parent).as_posix()


@pytest.mark.parametrize("path", TEXTS, ids=short)
def test_nothing_is_left_to_do(path):
    found = re.search(r"\b(TODO|FIXME|XXX|HACK)\b", path.read_text(encoding="utf-8"))
    assert found is None, f"{short(path)} says {found and found[0]}: do it or take it out"


@pytest.mark.parametrize("path", TEXTS, ids=short)
def test_no_path_of_a_machine(path):
    found = re.search(r"/(home|root|Users|work)/\w+", path.read_text(encoding="utf-8"))
    assert found is None, f"{short(path)} names {found and found[0]}"


@pytest.mark.parametrize("path", SOURCES, ids=short)
def test_every_module_says_what_it_is(path):
    text = path.read_text(encoding="utf-8")
    assert not text.strip() or ast.get_docstring(ast.parse(text)), f"{short(path)} needs a docstring of one sentence"


@pytest.mark.parametrize("path", SOURCES, ids=short)
def test_no_function_is_too_long(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef):
            long = (node.end_lineno or 0) - node.lineno + 1
            assert long <= LONGEST, f"{short(path)}: {node.name} has {long} lines; take a step out of it"


@pytest.mark.parametrize("path", SOURCES, ids=short)
def test_modules_are_nouns_of_the_trade(path):
    assert path.stem not in {"utils", "util", "helpers", "helper", "manager", "base", "common", "misc"}


def test_nothing_that_is_written_by_hand_is_ignored():
    """A rule of .gitignore that fits a folder of sources would leave it out of every clone."""
    command = ["git", "ls-files", "--others", "--ignored", "--exclude-standard", "--", *BY_HAND]
    found = subprocess.run(command, cwd=HOME.parent, capture_output=True, text=True, check=False)
    if found.returncode:
        pytest.skip("not a checkout")
    left_out = [line for line in found.stdout.splitlines() if "__pycache__" not in line]
    assert not left_out, f"{left_out[0]} is left out by .gitignore"


def test_discovery_finds_modules_in_order():
    names = [module.__name__ for module in modules("builder.checks")]
    assert names == sorted(names)
    assert "builder.checks.ratings" in names


def models(cls=Model):
    for sub in cls.__subclasses__():
        yield sub
        yield from models(sub)


@pytest.mark.parametrize("model", sorted(set(models()), key=lambda cls: cls.__qualname__), ids=lambda cls: cls.__name__)
def test_every_part_of_a_rig_file_is_described_and_frozen(model):
    assert model.__doc__, f"{model.__name__}: the rig file reference is made from its docstring"
    assert model.model_config["frozen"]
    assert model.model_config["extra"] == "forbid"


def test_every_wording_is_ours():
    for kind, words in WORDING.items():
        assert callable(words), kind
    assert (
        "pydantic" not in inspect.getsource(inspect.getmodule(WORDING["ours"])).split("def _unknown")[1].split('"""')[0]
    )
