"""Copies of a record, each tampered with in one way: `verify` names run and event of each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
import tamper_kit as kit
from tamper_kit import LAST, copied, lines, sql, whole_record

from trainer.record import chain, second_place
from trainer.record.verify import verify

Found = set[tuple[str, str | None, int | None]]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The record that all copies are made of."""
    return whole_record(tmp_path_factory.mktemp("whole"))


@pytest.fixture
def record(whole: Path, tmp_path: Path) -> Path:
    """A copy of the record to tamper with."""
    return copied(whole, tmp_path)


@dataclass(frozen=True)
class Tampering:
    """A way to tamper, and what is to be found: code, run, event."""

    name: str
    do: Callable[[Path], None]
    found: Found


TAMPERINGS = [
    Tampering(
        "an altered body",
        sql("UPDATE events SET body = replace(body, '21.5', '22.5') WHERE run = 'r1' AND seq = 8"),
        {("body_altered", "r1", 8)},
    ),
    Tampering("an altered body with a fitting digest", kit.fitting_body, {("header_altered", "r1", 7)}),
    Tampering(
        "an altered salt",
        sql("UPDATE events SET salt = zeroblob(32) WHERE run = 'r1' AND seq = 3"),
        {("body_altered", "r1", 3)},
    ),
    Tampering(
        "an altered time",
        sql("UPDATE events SET stored = '2020-01-01T00:00:00.000Z' WHERE run = 'r2' AND seq = 6"),
        {("header_altered", "r2", 6)},
    ),
    Tampering(
        "an altered id",
        sql("UPDATE events SET id = 'another' WHERE run = 'r2' AND seq = 6"),
        {("header_altered", "r2", 6)},
    ),
    Tampering(
        "an altered link",
        sql("UPDATE events SET head = zeroblob(32) WHERE run = 'r2' AND seq = 6"),
        {("header_altered", "r2", 6)},
    ),
    Tampering(
        "an altered link at the end",
        sql(("UPDATE events SET head = zeroblob(32) WHERE run = 'r2' AND seq = ?", (LAST,))),
        {("header_altered", "r2", LAST)},
    ),
    Tampering(
        "a first event deleted",
        sql("DELETE FROM events WHERE run = 'r1' AND seq = 1"),
        {("missing", "r1", 1)},
    ),
    Tampering(
        "two middle events deleted",
        sql("DELETE FROM events WHERE run = 'r1' AND seq IN (5, 6)"),
        {("missing", "r1", 5), ("missing", "r1", 6)},
    ),
    Tampering(
        "a tail cut off",
        sql("DELETE FROM events WHERE run = 'r3' AND seq >= 2"),
        {("cut_off", "r3", 2)},
    ),
    Tampering(
        "a tail cut off together with the list",
        kit.cut_with_list,
        {("list_altered", "r1", None), ("cut_off", "r1", LAST)},
    ),
    Tampering("a tail cut off with the key", kit.cut_with_key, {("cut_off", "r1", LAST)}),
    Tampering(
        "a run written anew with the key",
        kit.rewrite_with_key,
        {("rewritten", "r1", LAST - 1), ("rewritten", "r1", LAST)},
    ),
    Tampering(
        "all events of a run deleted",
        sql("DELETE FROM events WHERE run = 'r2'"),
        {("run_missing", "r2", 1)},
    ),
    Tampering(
        "a middle run deleted from everywhere",
        sql(
            "DELETE FROM events WHERE run = 'r2'",
            "DELETE FROM heads WHERE run = 'r2'",
            "DELETE FROM runs WHERE run = 'r2'",
        ),
        {("run_missing", "r2", None)},
    ),
    Tampering(
        "the last run deleted from everywhere",
        sql("DELETE FROM events WHERE run = 'r3'", "DELETE FROM heads WHERE run = 'r3'"),
        {("run_missing", "r3", None)},
    ),
    Tampering(
        "the last run deleted and counted out",
        sql(
            "DELETE FROM events WHERE run = 'r3'",
            "DELETE FROM heads WHERE run = 'r3'",
            "UPDATE station SET runs = runs - 1",
        ),
        {("list_altered", None, None), ("run_missing", "r3", None)},
    ),
    Tampering("two events' bodies swapped", kit.swap_bodies, {("moved", "r1", 4), ("moved", "r1", 5)}),
    Tampering(
        "two events swapped",
        sql(
            "UPDATE events SET seq = 99 WHERE run = 'r1' AND seq = 4",
            "UPDATE events SET seq = 4 WHERE run = 'r1' AND seq = 5",
            "UPDATE events SET seq = 5 WHERE run = 'r1' AND seq = 99",
        ),
        {("moved", "r1", 4), ("moved", "r1", 5)},
    ),
    Tampering(
        "an event deleted and the rest re-numbered",
        sql(
            "DELETE FROM events WHERE run = 'r3' AND seq = 2",
            "UPDATE events SET seq = 2 WHERE run = 'r3' AND seq = 3",
        ),
        {("moved", "r3", 2), ("cut_off", "r3", 3)},
    ),
    Tampering(
        "an event moved to another run",
        sql("UPDATE events SET run = 'r3', seq = 4, person = 'T-03' WHERE run = 'r1' AND seq = 4"),
        {("missing", "r1", 4), ("added", "r3", 4), ("moved", "r3", 4)},
    ),
    Tampering(
        "a run under another name",
        sql("UPDATE events SET run = 'rx' WHERE run = 'r2'"),
        {("run_missing", "r2", 1), ("run_not_listed", "rx", None)},
    ),
    Tampering(
        "the list with another order",
        sql(
            "UPDATE heads SET number = 99 WHERE run = 'r1'",
            "UPDATE heads SET number = 2 WHERE run = 'r2'",
            "UPDATE heads SET number = 3 WHERE run = 'r1'",
        ),
        {("list_altered", "r1", None), ("list_altered", "r2", None), ("list_altered", "r3", None)},
    ),
    Tampering(
        "another person's act",
        sql("UPDATE events SET person = 'T-05' WHERE run = 'r1' AND seq = 7"),
        {("person_altered", "r1", 7)},
    ),
    Tampering(
        "an event emptied like an erased one",
        sql("UPDATE events SET body = NULL, salt = NULL WHERE run = 'r1' AND seq = 7"),
        {("emptied", "r1", 7)},
    ),
    Tampering(
        "an event emptied with a made-up erasure",
        sql(
            "UPDATE events SET body = NULL, salt = NULL WHERE run = 'r1' AND seq = 7",
            "INSERT INTO erasures SELECT 2, at, 'r1', '7', mac FROM erasures",
            "UPDATE station SET erasures = 2",
        ),
        {("list_altered", None, None), ("erasure_altered", "r1", None), ("emptied", "r1", 7)},
    ),
    Tampering(
        "the line of an erasure deleted",
        sql("DELETE FROM erasures"),
        {("erasure_altered", None, None), *(("emptied", "r0", seq) for seq in range(1, LAST + 1))},
    ),
    Tampering("another key", kit.other_key, {("key_other", None, None)}),
    Tampering("a lost key", lambda path: chain.key_path(path).unlink(), {("key_missing", None, None)}),
    Tampering(
        "a spoiled key",
        kit.spoil_key,
        {("key_unreadable", None, None)},
    ),
    Tampering(
        "the second place cut short",
        lines(lambda lines: lines[:-2]),
        {("second_place_short", "r2", LAST), ("second_place_short", "r3", 1)},
    ),
    Tampering(
        "the second place deleted",
        lambda path: second_place.path_of(path).unlink(),
        {("second_place_missing", None, None)},
    ),
    Tampering(
        "a line of the second place altered",
        lines(lambda lines: [*lines[:-2], lines[-2].replace(lines[-2].split()[-1], "0" * 64), lines[-1]]),
        {("rewritten", "r2", LAST)},
    ),
    Tampering(
        "a line of the second place spoiled",
        lines(lambda lines: ["\x00\x1b[2J\n", *lines]),
        {("second_place_altered", None, None)},
    ),
    Tampering("a flipped bit", kit.flip_a_bit, {("body_altered", "r1", LAST - 1)}),
    Tampering(
        "an altered projection",
        sql("UPDATE readings SET verdict = 'ok' WHERE run = 'r1' AND seq = 7"),
        {("projection", "r1", 7)},
    ),
    Tampering(
        "a row taken out of a projection",
        sql("DELETE FROM attempts WHERE run = 'r2' AND seq = 5"),
        {("projection", "r2", 5)},
    ),
    Tampering(
        "a run's row altered",
        sql("UPDATE runs SET closed = 'done' WHERE run = 'r3'"),
        {("projection", "r3", None)},
    ),
    Tampering(
        "a projection of a run that never was",
        kit.foreign_run,
        {("projection", "rx", None)},
    ),
    Tampering(
        "an altered procedure",
        sql("UPDATE procedures SET source = x'00'"),
        {("procedure_altered", None, None)},
    ),
    Tampering(
        "a procedure taken out",
        sql("DELETE FROM procedures"),
        {("procedure_missing", run, None) for run in ("r1", "r2", "r3")},
    ),
]


@pytest.mark.parametrize("tampering", TAMPERINGS, ids=lambda tampering: tampering.name)
def test_a_tampered_copy_is_told_exactly(record: Path, tampering: Tampering) -> None:
    """Each way of tampering is found with its code, run and event, and nothing else is."""
    tampering.do(record)
    report = verify(record)
    assert {(one.code, one.run, one.seq) for one in report.findings} == tampering.found
    for finding in report.findings:
        assert finding.run is None or finding.run in finding.message
        assert finding.seq is None or str(finding.seq) in finding.message
        assert finding.message.endswith(".")
