"""An error that nobody foresaw, anywhere: a sentence, exit code 1, the log named, the terminal given back."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from changed_build import ERRORS
from terminal_kit import Sitting, at_work, ends_well

from trainer import places
from trainer.screens.leaving import FAULT


def fails_well(trainee: Sitting, within: float = 20.0) -> None:
    """The key that raises is pressed: what is seen and kept of it is what it should be."""
    log = places.log_path()
    trainee.press("t")
    ends_well(trainee.sink, 1, [FAULT, f"The details are in {log}."], within)
    kept = log.read_text(encoding="utf-8")
    assert kept.count("ZeroDivisionError: on purpose") == 1
    assert "\x1b" not in kept, "The log holds what a terminal would obey."
    assert stat.S_IMODE(log.stat().st_mode) == 0o600, "Others can read the log."


@pytest.mark.parametrize(
    "where",
    [name if name == "raises in a worker" else pytest.param(name, marks=pytest.mark.long) for name in ERRORS],
)
def test_an_error_anywhere_ends_in_a_sentence(tmp_path: Path, where: str) -> None:
    """Raised in a handler, worker, timer or while painting: a sentence, the log, and the run goes on."""
    with at_work(tmp_path, where) as trainee:
        fails_well(trainee)
        trainee.sink.change = "none"
        trainee.starts_again()


@pytest.mark.long
@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("error swallowed", "did not end with 1 but with None"),
        ("exit code lost", "did not end with 1 but with 0"),
        ("log not named", "in the log"),
        ("log as it comes", "a terminal would obey"),
        ("log for all", "can read the log"),
        ("keeps the modes of the line", "the modes of the line"),
    ],
)
def test_a_build_with_a_fault_in_its_errors_is_caught(tmp_path: Path, change: str, said: str) -> None:
    """A build that goes on, ends with 0, names no log, writes it raw or for all, is reported."""
    raising = f"raises in a timer+{change}"
    with at_work(tmp_path, raising) as trainee, pytest.raises(AssertionError, match=said):
        fails_well(trainee, within=2.0)
