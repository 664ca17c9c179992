"""What all tests share: the machine stays out of them."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:  # a test of anything else loads no NumPy
    from trainer.bench.settings import BenchSettings


@pytest.fixture(autouse=True)
def machine_stays_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No home directory, no user configuration, fixed zone and size, no colour or theme from outside."""
    for variable in list(os.environ):
        # the line editor of Python puts LINES and COLUMNS into what workers inherit: no terminal's size then
        if variable.startswith(("SINKSIDE_", "TEXTUAL", "NO_COLOR", "XDG_", "LINES", "COLUMNS")):
            monkeypatch.delenv(variable)
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("SINKSIDE_HOME", str(home / "sinkside"))
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.setenv("LANG", "C.UTF-8")


@pytest.fixture(scope="session")
def shipped() -> Mapping[str, object]:
    """The shipped file of bench settings, as a mapping."""
    from trainer import places
    from trainer.procedure.reader import read_tree

    path = places.assets_dir() / "bench.yaml"
    tree = read_tree(path.read_bytes(), str(path))
    assert tree.problems == ()
    assert isinstance(tree.value, dict)
    return tree.value


@pytest.fixture(scope="session")
def bench(shipped: Mapping[str, object]) -> BenchSettings:
    """The shipped bench settings."""
    from trainer.bench.settings import read

    return read(shipped)
