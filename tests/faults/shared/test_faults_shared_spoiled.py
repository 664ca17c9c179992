"""A record that somebody has written into by hand is forwarded as far as it goes, or it is told why not."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from sqlite3 import connect

import pytest
from many_events_kit import record_of
from postgres_kit import Postgres
from shared_kit import Shared, running, shared

from trainer.record.shared.forwarder import Forwarder
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble

pytestmark = pytest.mark.long
__all__ = ["shared"]

_LAST_PLACE = "UPDATE events SET rowid = 9223372036854775807 WHERE rowid = (SELECT max(rowid) FROM events)"
SPOILED = {
    "a number past its type": ("UPDATE events SET seq = 9223372036854775807 WHERE rowid = 5", 1),
    "an id that is none": ("UPDATE events SET id = 'x' WHERE rowid = 7", 1),
    "a run's name with a zero": ("UPDATE events SET run = char(0) WHERE rowid = 7", 1),
    "a count past all bounds": ("UPDATE heads SET count = 9223372036854775807", 0),
    "an erasure of nothing": ("INSERT INTO erasures VALUES (9223372036854775807, 'x', 'r', '1', x'00')", 0),
    "the last place there is": (_LAST_PLACE, 0),
    "a value without bounds": ("UPDATE readings SET value = 9e999", 0),
}
"""What was done to it, and how many events then fit nowhere."""


@pytest.fixture
def server() -> Postgres:
    """The server of this process."""
    return running()


def spoiled(folder: Path, statement: str) -> tuple[Path, int]:
    """A record that was changed past its guards; how many events it has."""
    path = folder / "record.db"
    events = record_of(path, 400)
    with closing(connect(path)) as record:
        record.execute("DROP TRIGGER events_never_change")
        record.execute(statement)
        record.commit()
    return path, events


@pytest.mark.parametrize(("statement", "unfit"), SPOILED.values(), ids=SPOILED)
def test_what_fits_arrives_and_the_rest_is_set_aside(
    shared: Shared, tmp_path: Path, statement: str, unfit: int
) -> None:
    """It holds nothing up, and is not lost without a word."""
    path, events = spoiled(tmp_path, statement)
    forwarder = Forwarder(path, shared.one.address, FakeClock())
    contact = forwarder.contact()
    assert (contact.new, contact.conflicts) == (events - unfit, unfit)
    assert forwarder.contact().new == 0


def test_a_text_that_nobody_can_read_is_told(shared: Shared, tmp_path: Path) -> None:
    """Bytes that are no UTF-8 where SQLite has a text: a sentence, each time."""
    path, _ = spoiled(tmp_path, "UPDATE events SET body = CAST(x'ff' AS TEXT) WHERE rowid = 9")
    with pytest.raises(JournalTrouble, match="record verify"):
        Forwarder(path, shared.one.address, FakeClock()).contact()
