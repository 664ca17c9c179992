"""Eight stations forward through bad weather, and afterwards every event is there exactly once."""

from __future__ import annotations

import os
import time
from contextlib import ExitStack
from pathlib import Path
from random import Random
from sqlite3 import connect

import pytest
from bad_line import BadLine
from forwarding_kit import compare, wrong
from postgres_kit import NoPostgres, Postgres, or_skip
from shared_kit import Login, Shared, login, made
from stations_kit import StationAtWork, all_done

from trainer.record.shared import stations as registered
from trainer.record.shared.connecting import connected
from trainer.record.verify import verify

pytestmark = pytest.mark.long(seconds=100)
EVENTS = int(os.environ.get("FORWARDED_EVENTS", "200000"))
"""In all. 200,000 take some three minutes on two cores that do nothing else."""
STATIONS = 8
_DAY = 86_400_000
SKEWS = (0, 90_000, -3_600_000, _DAY, -400 * _DAY, 3 * 365 * _DAY, -15 * 365 * _DAY, 37)
"""By how much the stations' clocks are off, ms."""
BLOWS = 60
"""How often something goes wrong."""
MOST_SECONDS = 900
"""For all to arrive, once the weather is fair."""


def _stations(folder: Path, shared: Shared, line: int) -> list[StationAtWork]:
    made_ones = []
    with connected(shared.keeper.address) as keeper:
        for number, skew in enumerate(SKEWS):
            place, role, password = registered.register(keeper, f"School {number % 3}", f"sink {number}")
            credential: Login = login(shared.server, shared.database, role, password, place)
            one = StationAtWork(folder / str(number), credential, line, shared.database, skew)
            one.write_work(EVENTS // STATIONS)
            made_ones.append(one)
    return made_ones


class Weather:
    """What goes wrong, at moments drawn by lot."""

    def __init__(self, server: Postgres, line: BadLine, stations: list[StationAtWork], seed: int) -> None:
        self._server = server
        self._line = line
        self._stations = stations
        self._random = Random(seed)  # noqa: S311 - moments, not secrets
        self.happened: dict[str, int] = {}

    def blow(self) -> None:
        """One thing goes wrong, for a while; then it is well again."""
        what = self._random.choice(["server", "cut", "dead", "slow", "shut", "station", "station"])
        self.happened[what] = self.happened.get(what, 0) + 1
        if what == "server":
            self._server.kill()
            self._pass(0.3)
            self._server.start()
        elif what == "station":
            at_work = [one for one in self._stations if not one.done]
            if at_work:
                one = self._random.choice(at_work)
                one.kill()
                one.start()
        elif what == "cut":
            self._line.cut()
        else:
            self._line.dead = what == "dead"
            self._line.shut = what == "shut"
            self._line.slow = 0.03 if what == "slow" else 0.0
            if what == "shut":
                self._line.cut()
            self._pass(0.8)
            self._line.well()

    def _pass(self, most: float) -> None:
        self._stations[0].wait(self._random.uniform(0.05, most))


def test_every_event_arrives_exactly_once_through_bad_weather(tmp_path: Path) -> None:
    """Server killed, line cut, dead or slow, stations killed, clocks wrong: nothing lost, nothing twice."""
    with ExitStack() as stack:
        try:
            server = stack.enter_context(Postgres())
        except NoPostgres as reason:
            or_skip(reason)
            raise
        line = stack.enter_context(BadLine(server.port))
        shared = made(server)
        stations = _stations(tmp_path, shared, line.port)
        weather = Weather(server, line, stations, 11)
        for one in stations:
            one.start()
        ends = time.monotonic() + MOST_SECONDS + BLOWS
        try:
            for _ in range(BLOWS):
                weather.blow()
                next((one for one in stations if not one.done), stations[0]).wait(0.4)
                assert not [one.said() for one in stations if one.failed]
            for one in stations:  # the weather is fair from here on
                one.wait(max(0.0, ends - time.monotonic()))
        finally:
            for one in stations:
                one.kill()
        assert all_done(stations), [(one.said(), one.done) for one in stations]
        assert set(weather.happened) == {"server", "cut", "dead", "slow", "shut", "station"}
        _hold(shared, stations)


def _hold(shared: Shared, stations: list[StationAtWork]) -> None:
    """Each record is whole; the shared one has its very events and rows, and links and tables verify."""
    total = 0
    for one in stations:
        assert [told for told in verify(one.record).findings if told.severity == "problem"] == []
        assert compare(one.record, shared, one.login) == []
        record = connect(one.record)
        kept = {ident for (ident,) in record.execute("SELECT id FROM events")}
        record.close()
        assert len(kept) == one.events
        assert kept.issuperset(one.acked)
        total += len(kept)
    assert wrong(shared, *(one.record for one in stations)) == []
    with connected(shared.keeper.address) as keeper:
        there = keeper.execute("SELECT count(*), count(DISTINCT (site, id)) FROM sinkside.events").fetchone()
        conflicts = keeper.execute("SELECT kind, count(*) FROM sinkside.conflicts GROUP BY 1").fetchall()
    assert there == (total, total)
    assert conflicts == []
    assert total >= EVENTS
