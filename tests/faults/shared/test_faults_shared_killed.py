"""Either side killed at any instant, again and again: nothing acknowledged is lost, nothing comes twice."""

from __future__ import annotations

import os
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from random import Random
from sqlite3 import connect

import pytest
from forwarding_kit import compare, wrong
from postgres_kit import NoPostgres, Postgres, or_skip
from shared_kit import made
from stations_kit import StationAtWork

from trainer.record.verify import verify

pytestmark = pytest.mark.long(seconds=20)
KILLS = int(os.environ.get("FORWARDING_KILLS", "300"))
"""In all: every third is the station's, which takes a second to come back; the others are the server's."""


def test_either_side_killed_at_any_instant(tmp_path: Path) -> None:
    """SIGKILL to the station or to the server, while it appends and forwards; both come back each time."""
    random = Random(31)  # noqa: S311 - moments, not secrets
    at_work = 0
    with ExitStack() as stack:
        try:
            server = stack.enter_context(Postgres())
        except NoPostgres as reason:
            or_skip(reason)
            raise
        shared = made(server)
        station = StationAtWork(tmp_path / "one", shared.one, server.port, shared.database, 0, 1, 1)
        station.write_work(150 * KILLS)
        station.start()
        try:
            for kill in range(KILLS):
                if kill % 3 == 2:
                    station.wait_for(partial(_has_acked, station, len(station.acked) + 1), 30)
                    station.wait(random.uniform(0.0, 0.15))
                    at_work += station.kill()
                    _hold_here(station)
                    station.start()
                else:
                    station.wait(random.uniform(0.0, 0.15))
                    server.kill()
                    server.start()
                assert not station.failed, station.said()
            assert station.wait(600), station.said()
        finally:
            station.kill()
        assert at_work > KILLS // 6, at_work
        _hold_here(station)
        assert compare(station.record, shared) == []
        assert wrong(shared, station.record) == []


def _has_acked(station: StationAtWork, many: int) -> bool:
    return len(station.acked) >= many


def _hold_here(station: StationAtWork) -> None:
    """All that was acknowledged is in the record, which verifies."""
    record = connect(station.record)
    kept = {ident for (ident,) in record.execute("SELECT id FROM events")}
    record.close()
    assert kept.issuperset(station.acked)
    if station.done:
        assert len(kept) == station.events
        assert [told for told in verify(station.record).findings if told.severity == "problem"] == []
