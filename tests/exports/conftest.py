"""One record for all tests that only read it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from export_kit import record


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with every kind of event; not to be changed."""
    return record(tmp_path_factory.mktemp("kept"))


@pytest.fixture
def own(kept: Path, tmp_path: Path) -> Path:
    """A copy of it, to be tampered with."""
    shutil.copytree(kept.parent, tmp_path / "own")
    return tmp_path / "own" / kept.name
