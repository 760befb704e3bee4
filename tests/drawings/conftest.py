"""The demo rigs, examined once, with every drawing of theirs."""

import sys
from pathlib import Path

import pytest

from builder.drawings.drawing import Medium, plans
from builder.examine import examine
from builder.rig.load import load

sys.path.insert(0, str(Path(__file__).parent))
HOME = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def examinations():
    content = load(HOME / "content")
    return {folder.id: examine(content, folder) for folder in content.rigs}


@pytest.fixture(scope="session")
def drawings(examinations):
    """Every drawing of every demo rig in both media, by rig, name and medium."""
    return {
        (rig, name, medium): plan.make(medium)
        for rig, examination in examinations.items()
        for name, plan in plans(examination).items()
        for medium in Medium
    }
