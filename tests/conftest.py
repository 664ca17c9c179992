"""What all tests share: the machine stays out of them."""

from __future__ import annotations

import gc
import os
import shutil
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import argon2
import pytest
from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
"""Before NumPy is loaded: there is a worker for each processor, and arrays as small as a plate's are slower
with threads (a dozen plates looked at: 2.6 s of processors with two threads, 1.7 s with one)."""

gc.set_threshold(50_000)
"""Looking for garbage as often as usual took a fifth of the tests' time."""

if TYPE_CHECKING:  # a test of anything else loads no NumPy
    from trainer.bench.settings import BenchSettings

settings.register_profile("quick", max_examples=25, deadline=None)
settings.register_profile("thorough", max_examples=100, deadline=None)  # .ci/run asks for it by name
settings.load_profile("quick")

ROOM = 2 * 1024**3
"""Bytes that must be free in memory for the tests to keep their files there; they take a tenth."""
REAL_HASHER = argon2.PasswordHasher


def pytest_configure(config: pytest.Config) -> None:
    """Tests keep records that nobody wants later: in memory, where there is plenty, not on the disk."""
    memory = Path("/dev/shm")  # Linux; in a container its programs may be forbidden
    if config.option.basetemp is not None or not memory.is_dir() or os.statvfs(memory).f_flag & os.ST_NOEXEC:
        return
    if shutil.disk_usage(memory).free > ROOM:
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(memory))


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> Iterator[None]:
    """Tell the long cases from the quick ones; of those that are left, those of the longest file come first.

    Workers that take a file each (`--dist loadfile`) are then all at work to the end.
    """
    _sweep(items)
    yield
    seconds: Counter[Path] = Counter()
    for item in items:
        if mark := item.get_closest_marker("long"):
            seconds[item.path] += mark.kwargs.get("seconds", 1)
    items.sort(key=lambda item: -seconds[item.path])


def pytest_collection_finish() -> None:
    """What was loaded for the tests stays: it is not looked through again."""
    gc.freeze()


def _sweep(items: list[pytest.Item]) -> None:
    """Of the cases of a test marked `sweep`, `quick` many stay quick, spread evenly; the others are long."""
    swept: dict[str, list[pytest.Item]] = {}
    for item in items:
        if item.get_closest_marker("sweep"):
            swept.setdefault(item.nodeid.partition("[")[0], []).append(item)
    for cases in swept.values():
        mark = cases[0].get_closest_marker("sweep")
        quick = int(mark.kwargs["quick"]) if mark else 0
        stays = {number * len(cases) // quick for number in range(quick)}
        for number, case in enumerate(cases):
            if number not in stays:
                case.add_marker(pytest.mark.long)


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
    time.tzset()
    monkeypatch.setenv("LANG", "C.UTF-8")


@pytest.fixture(scope="session", autouse=True)
def quick_pins() -> Iterator[None]:
    """A hash of a PIN takes a tenth of a second of both processors, by intent; not where it is in the way."""
    cheap = partial(REAL_HASHER, time_cost=1, memory_cost=8, parallelism=1)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(argon2, "PasswordHasher", cheap)
        yield


@pytest.fixture
def real_pins(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashes as they are at a station."""
    monkeypatch.setattr(argon2, "PasswordHasher", REAL_HASHER)


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
    from trainer.bench.settings import constants, settings

    return settings(constants(shipped))
