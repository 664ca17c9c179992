"""The shared record read for review: the same findings as from the stations' own files."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from shared_kit import Shared, carry, server, shared

from trainer.insight.glance import attempts, attempts_at, glance, looking
from trainer.insight.one_run import events, one_run, source
from trainer.insight.read import read
from trainer.insight.results import Wanted
from trainer.insight.review import review
from trainer.record.filling import Contents, fill
from trainer.rehearsal.invented.making import Class, make_class
from trainer.run.fakes import FakeClock

__all__ = ["server", "shared"]
pytestmark = pytest.mark.long

NOW = datetime(2027, 2, 1, tzinfo=UTC)
WANTED = (
    Wanted(),
    Wanted(trainees=("T-03", "T-05")),
    Wanted(procedures=("negative-plate-two-burns",), kind="wet"),
    Wanted(since=datetime(2026, 10, 15, tzinfo=UTC), until=datetime(2026, 11, 20, tzinfo=UTC)),
)


@pytest.fixture(scope="module")
def worked() -> Class:
    """A class, some of it rehearsals."""
    return make_class(7, 40, rehearsals=True, processes=2)


@pytest.fixture(scope="module")
def record(worked: Class, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its record at one station, that says of itself nothing: as a real one."""
    path = tmp_path_factory.mktemp("station") / "record.db"
    fill(path, FakeClock(), Contents(worked.runs, worked.sources, ("I-1", "I-2"), {}))
    return path


@pytest.mark.parametrize("wanted", WANTED)
def test_the_same_events_give_the_same_review_from_either(
    shared: Shared, record: Path, wanted: Wanted
) -> None:
    """Facts, troubles, every frame, the whole review and the first page are equal: file and server."""
    carry(record, shared.one)
    own, theirs = read(record), read(shared.reviewer.address)
    assert (own.facts, own.invented, own.troubles) == (theirs.facts, theirs.invented, theirs.troubles)
    for name in ("runs", "visits", "attempts", "answers", "readings", "exposures", "plates", "signatures"):
        assert getattr(own.frames, name).equals(getattr(theirs.frames, name)), name
    assert own.frames.settings.equals(theirs.frames.settings)
    found = review(theirs.frames, theirs.facts, wanted, NOW)
    assert found == review(own.frames, own.facts, wanted, NOW)
    assert found.findings or wanted.trainees
    with looking(record) as here, looking(shared.reviewer.address) as there:
        first = glance(here, wanted)
        assert first == glance(there, wanted)
        assert first.runs
        assert attempts(here, wanted, skill="contact") == attempts(there, wanted, skill="contact")
        run = first.runs[0].run
        acts = [(one.run, one.seq) for one in attempts(here, wanted)[:5]]
        assert attempts_at(here, acts) == attempts_at(there, acts)
        assert one_run(here, run) == one_run(there, run)
        assert events(here, run) == events(there, run)
        assert source(here, first.runs[0].content_hash) == source(there, first.runs[0].content_hash)
