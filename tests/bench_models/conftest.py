"""What the tests of the models share: the shipped settings."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from trainer import places
from trainer.bench.settings import BenchSettings, read
from trainer.procedure.reader import read_tree


@pytest.fixture(scope="session")
def shipped() -> Mapping[str, object]:
    """The shipped file of settings as a mapping."""
    path = places.assets_dir() / "bench.yaml"
    tree = read_tree(path.read_bytes(), str(path))
    assert tree.problems == ()
    assert isinstance(tree.value, dict)
    return tree.value


@pytest.fixture(scope="session")
def bench(shipped: Mapping[str, object]) -> BenchSettings:
    """The shipped settings."""
    return read(shipped)
