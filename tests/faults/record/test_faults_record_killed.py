"""A writer killed at every point and at any moment keeps its promises; sabotaged writers are found out."""

from __future__ import annotations

import shutil
from itertools import count
from pathlib import Path
from random import Random

import pytest
from deaths import Writer, writer
from history_kit import summed, wrong_with

ACTS = 2


def _die_everywhere(
    program: Writer, folder: Path, sabotage: str = "", every: int = 1
) -> tuple[int, set[str]]:
    """Die at each point of a small history; how many deaths there were, and everything found wrong."""
    found: set[str] = set()
    for deaths in count():
        record = folder / str(deaths) / "station" / "record.db"
        death = program.order(record, acts=ACTS, at=1 + deaths * every, sabotage=sabotage)
        assert not death.failed, death.lines
        if not death.died:
            return deaths, found
        found.update(_wrong_with_copy(record, death.lines))
        again = program.order(record, acts=1)  # goes on after the death, whatever it left
        if again.died or again.failed:
            found.add("the next start fails")
        found.update(wrong_with(record, summed([*death.lines, *again.lines])))
    raise AssertionError("a history has an end")


def _wrong_with_copy(record: Path, lines: list[str]) -> list[str]:
    """What is wrong right after a death, seen in a copy: looking mends what a death left half-done."""
    if not record.exists() or not record.stat().st_size:
        return [] if not any(line.startswith("ack") for line in lines) else ["the record is gone"]
    copy = record.parent.with_name("copy") / record.name
    shutil.copytree(record.parent, copy.parent)
    return wrong_with(copy, summed(lines))


def test_a_writer_that_dies_at_any_point_keeps_its_promises(tmp_path: Path) -> None:
    """Killed at every seventh statement, file and acknowledgement: nothing is wrong, and the next goes on."""
    with writer() as program:
        deaths, found = _die_everywhere(program, tmp_path, every=7)
    assert deaths > 15
    assert found == set()


@pytest.mark.long
def test_a_writer_that_dies_at_every_point_keeps_its_promises(tmp_path: Path) -> None:
    """Killed at each statement, file and acknowledgement of making a record and a run, one after another."""
    with writer() as program:
        deaths, found = _die_everywhere(program, tmp_path)
    assert deaths > 100
    assert found == set()


@pytest.mark.long
def test_three_hundred_kills_at_any_moment_lose_nothing(tmp_path: Path) -> None:
    """SIGKILL at random instants, ten in a row on each record: every promise holds after each of them."""
    random = Random(29)  # noqa: S311 - moments, not secrets
    midway = 0
    with writer() as program:
        for group in range(30):
            record = tmp_path / str(group) / "station" / "record.db"
            lines: list[str] = []
            for kill in range(10):
                moment = random.uniform(0.0001, 0.02)
                death = program.order(record, acts=10_000, after=moment, at_work=kill % 10 > 0)
                assert death.died
                lines += death.lines
                midway += bool(death.lines)
                if record.exists() and record.stat().st_size:
                    assert wrong_with(record, summed(lines)) == [], (group, kill)
    assert midway >= 270  # the first of each ten may die before it has said a word


@pytest.mark.parametrize(
    ("sabotage", "told"),
    [
        ("early", "acknowledged and not kept"),
        ("apart", "projection"),
    ],
)
@pytest.mark.sweep(quick=1)
def test_a_sabotaged_writer_is_found_out(tmp_path: Path, sabotage: str, told: str) -> None:
    """Acknowledging too early, or tables in a transaction of their own: the same deaths show it."""
    with writer() as program:
        _, found = _die_everywhere(program, tmp_path, sabotage, every=5)
    assert any(told in sentence for sentence in found), found


def test_an_event_that_was_only_acknowledged_is_missed(tmp_path: Path) -> None:
    """A writer that forgets its last events is found out without any death."""
    record = tmp_path / "station" / "record.db"
    with writer() as program:
        whole = program.order(record, acts=2, sabotage="forgetful")
    assert wrong_with(record, summed(whole.lines)) == [
        "acknowledged and not kept: 2 of 2",
        "acknowledged and not kept: 1 of 1",
    ]
