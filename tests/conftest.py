"""What all tests share: the folder of helpers is importable, and hypothesis behaves the same everywhere."""

import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile(
    "rigfolio", deadline=None, derandomize=True, max_examples=60, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("rigfolio")


@pytest.fixture
def small(tmp_path):
    """A small AM rig in a content folder of its own; its data can be changed before it is loaded."""
    from small_rig import Small

    return Small(tmp_path / "content")
