"""The demo station's site, built once for all tests of this folder."""

import shutil
from pathlib import Path

import pytest

from builder.site import build

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def content(tmp_path_factory):
    """A copy of the demo content, so that tests may spoil it."""
    folder = tmp_path_factory.mktemp("demo") / "content"
    shutil.copytree(ROOT / "content", folder)
    return folder


@pytest.fixture(scope="session")
def cache(tmp_path_factory):
    return tmp_path_factory.mktemp("kept")


@pytest.fixture(scope="session")
def site(content, cache, tmp_path_factory):
    """The built site."""
    folder = tmp_path_factory.mktemp("built") / "site"
    build(content, folder, cache, lambda _text: None)
    return folder


@pytest.fixture
def own_content(tmp_path):
    """Content that one test may change."""
    folder = tmp_path / "content"
    shutil.copytree(ROOT / "content", folder)
    return folder
