"""What tests of rights share: three stations' rows, rows that are another's, and the word of refusal."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import psycopg
import pytest
from postgres_kit import Postgres
from record_kit import Station, short_run
from shared_kit import Login, Shared, carry, insert, made

OWN = ("events", "procedures", "heads", "contacts", "pin_tries", "erasures", "conflicts")
READ = ("runs", "visits", "attempts", "answers", "readings", "exposures", "plates", "signatures", "settings")
ALL = (*OWN, *READ)
"""Every table that a station writes."""
DENIED = psycopg.errors.InsufficientPrivilege


@pytest.fixture(scope="module")
def filled(server: Postgres, tmp_path_factory: pytest.TempPathFactory) -> Shared:
    """Each station has forwarded one run: north's first of T-01, its second of T-02, south's of T-01."""
    shared = made(server)
    folder = tmp_path_factory.mktemp("stations")
    for number, (login, who) in enumerate(((shared.one, "T-01"), (shared.two, "T-02"), (shared.far, "T-03"))):
        record = a_run(folder / str(number), f"run-{number}", who)
        carry(record, login)
        with login.open() as own:
            for table, row in others(login.site, "own").items():
                if table in {"pin_tries", "erasures", "conflicts"}:
                    own.execute(*insert(table, row))
    with shared.admin.open() as admin:
        admin.execute("ANALYZE")
    return shared


def a_run(folder: Path, run: str, who: str) -> Path:
    """A record with one short run."""
    station = Station(folder)
    with station.open() as journal:
        short_run(station, journal, run, who)
    return station.path


def others(site: str, run: str) -> dict[str, dict[str, Any]]:
    """A row for each table that a station writes, said to be of `site`."""
    act = {
        "site": site,
        "run": run,
        "seq": 1,
        "at": "",
        "trainee": "T-09",
        "plate": 1,
        "stage": "",
        "step": "",
    }
    run_row: dict[str, Any] = dict.fromkeys(
        (
            "trainee",
            "procedure",
            "content_hash",
            "guidance",
            "station",
            "job",
            "colour",
            "opened_at",
            "last_at",
        ),
        "",
    )
    run_row |= dict.fromkeys(("closed", "reason", "excused", "language"), "")
    run_row |= dict.fromkeys(("revision", "rehearsal", "plate", "hints", "spoiled", "handed"), 0)
    where = {"site": site, "run": run}
    return {
        "events": {
            **where,
            "seq": 1,
            "id": "01a218e8-7049-713e-8204-e728079369ce",
            "stored": "",
            "digest": b"d",
            "head": b"h",
            "person": "T-09",
            "salt": b"s",
            "body": "{}",
        },
        "procedures": {
            "site": site,
            "content_hash": "x",
            "procedure": "x",
            "revision": 1,
            "source": b"",
            "kept_at": "",
        },
        "heads": {**where, "number": 9, "opened": b"", "count": 1, "head": b"", "marked": 0},
        "contacts": {"site": site, "key_fingerprint": "x", "runs": 9, "erasures": 9},
        "pin_tries": {"site": site, "day": "2026-03-02", "found": "wrong_pin", "tries": 7},
        "erasures": {**where, "origin": "station", "number": 9, "at": "", "seqs": "1", "mac": b""},
        "conflicts": {**where, "kind": "event", "id": "x", "digest": b"x"},
        "runs": {**where, **run_row, "hazards_missed": 0, "events": 0},
        "visits": {**act, "task": "", "visit": 1, "ended": "", "hints": 0, "slips": 0},
        "attempts": {**act, "task": "", "outcome": "", "mark": ""},
        "answers": {**act, "name": "", "form": "", "answer": ""},
        "readings": {
            **act,
            "name": "",
            "value": 1.0,
            "unit": "",
            "verdict": "",
            "typed": "",
            "typed_unit": "",
        },
        "exposures": {**act, "rehearsal": 0, "units": 1.0, "unwatched": 0.0, "outcome": ""},
        "plates": {
            **where,
            "plate": 1,
            "trainee": "T-09",
            "at": "",
            "how": "",
            "stage": "",
            "step": "",
            "reason": "",
        },
        "signatures": {**act, "by": "I-9", "word": "passed", "note": ""},
        "settings": {**where, "name": "exposure", "value": 1.0},
    }


def refused(login: Login, statement: str, values: dict[str, Any] | tuple[str, ...] = ()) -> str:
    """What the server says to somebody who has no right to it."""
    with login.open() as connection:
        connection.execute("SET SESSION CHARACTERISTICS AS TRANSACTION READ WRITE")  # a reviewer's are not
        with pytest.raises(DENIED) as said:
            connection.execute(statement, values or None)
    return str(said.value)
