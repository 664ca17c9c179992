"""The record's tables as they are today. A record that was made earlier is brought here by `migrations`.

A change to what is kept once is a new migration. The tables for reading are made again from the events by any
migration that wants them otherwise, so what stands here is all that there is to say of them.
"""

from __future__ import annotations

from trainer.record import schema_first

APPLICATION_ID = 0x53_49_4E_4B
"""Marks the file as a Sinkside record (see `file` and SQLite's `application_id`)."""

EVENT_TRIGGERS = {
    "events_never_change": """CREATE TRIGGER events_never_change BEFORE UPDATE ON events
       BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END""",
    "events_never_go": """CREATE TRIGGER events_never_go BEFORE DELETE ON events
       BEGIN SELECT RAISE(ABORT, 'an event is never deleted'); END""",
}
"""What keeps events append-only. Erasing a person is the one code path that lifts it (`erase`)."""

ABOUT = """CREATE TABLE about (
        name TEXT PRIMARY KEY,
        value TEXT NOT NULL
    ) STRICT"""
"""What is to be known of the record as a whole; see `about`."""

TRUTH = (*schema_first.TRUTH, ABOUT)
"""What is kept once: losing it loses something."""

_ACT = """
        run TEXT NOT NULL,
        seq INTEGER NOT NULL,
        at TEXT NOT NULL,
        trainee TEXT NOT NULL,
        plate INTEGER NOT NULL,
        stage TEXT NOT NULL,
        step TEXT NOT NULL,
        skill TEXT,"""

PROJECTIONS = (
    """CREATE TABLE runs (
        run TEXT PRIMARY KEY,
        trainee TEXT NOT NULL,
        procedure TEXT NOT NULL,
        revision INTEGER NOT NULL,
        content_hash TEXT NOT NULL,
        guidance TEXT NOT NULL,
        rehearsal INTEGER NOT NULL,
        station TEXT NOT NULL,
        job TEXT NOT NULL,
        colour TEXT NOT NULL,
        opened_at TEXT NOT NULL,
        last_at TEXT NOT NULL,
        closed TEXT NOT NULL,
        closed_at TEXT,
        reason TEXT NOT NULL,
        plate INTEGER NOT NULL,
        hints INTEGER NOT NULL,
        spoiled INTEGER NOT NULL,
        excused TEXT NOT NULL,
        handed INTEGER NOT NULL,
        hazards_missed INTEGER NOT NULL,
        language TEXT NOT NULL,
        events INTEGER NOT NULL
    ) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE visits ({_ACT}
        task TEXT NOT NULL,
        visit INTEGER NOT NULL,
        ended TEXT NOT NULL,
        seconds REAL,
        active REAL,
        hesitation REAL,
        hints INTEGER NOT NULL,
        slips INTEGER NOT NULL,
        PRIMARY KEY (run, seq)
    ) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE attempts ({_ACT}
        task TEXT NOT NULL,
        outcome TEXT NOT NULL,
        seconds REAL,
        mark TEXT NOT NULL,
        hit INTEGER,
        PRIMARY KEY (run, seq)
    ) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE answers ({_ACT}
        name TEXT NOT NULL,
        form TEXT NOT NULL,
        answer TEXT NOT NULL,
        right INTEGER,
        PRIMARY KEY (run, seq)
    ) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE readings ({_ACT}
        name TEXT NOT NULL,
        value REAL NOT NULL,
        unit TEXT NOT NULL,
        verdict TEXT NOT NULL,
        typed TEXT NOT NULL,
        typed_unit TEXT NOT NULL,
        PRIMARY KEY (run, seq)
    ) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE exposures ({_ACT}
        rehearsal INTEGER NOT NULL,
        units REAL NOT NULL,
        seconds REAL,
        unwatched REAL NOT NULL,
        outcome TEXT NOT NULL,
        PRIMARY KEY (run, seq)
    ) STRICT, WITHOUT ROWID""",
    """CREATE TABLE plates (
        run TEXT NOT NULL,
        plate INTEGER NOT NULL,
        trainee TEXT NOT NULL,
        at TEXT NOT NULL,
        how TEXT NOT NULL,
        stage TEXT NOT NULL,
        step TEXT NOT NULL,
        reason TEXT NOT NULL,
        passes INTEGER,
        PRIMARY KEY (run, plate)
    ) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE signatures ({_ACT}
        by TEXT NOT NULL,
        word TEXT NOT NULL,
        note TEXT NOT NULL,
        PRIMARY KEY (run, seq)
    ) STRICT, WITHOUT ROWID""",
    """CREATE TABLE settings (
        run TEXT NOT NULL,
        name TEXT NOT NULL,
        value REAL NOT NULL,
        PRIMARY KEY (run, name)
    ) STRICT, WITHOUT ROWID""",
    # Where a run stands between two events: what the next one needs to know of those before it.
    """CREATE TABLE standing (
        run TEXT PRIMARY KEY,
        step TEXT,
        stage TEXT NOT NULL,
        skill TEXT,
        task TEXT NOT NULL,
        shown_boot TEXT NOT NULL,
        shown_ms INTEGER NOT NULL,
        visit INTEGER NOT NULL,
        last_boot TEXT NOT NULL,
        last_ms INTEGER NOT NULL,
        active_ms INTEGER,
        hesitation_ms INTEGER,
        visit_hints INTEGER NOT NULL,
        visit_slips INTEGER NOT NULL,
        paused INTEGER NOT NULL,
        waiting INTEGER NOT NULL,
        in_window INTEGER NOT NULL,
        offered INTEGER NOT NULL,
        prompted INTEGER NOT NULL,
        plate_begun INTEGER NOT NULL,
        signed TEXT NOT NULL,
        word TEXT NOT NULL
    ) STRICT, WITHOUT ROWID""",
)
"""What is worked out from events alone, for reading quickly; `rebuild` makes it again, the same.

The columns of the tables for reading begin with those of `insight.frames`, in its order; a few more follow.
"""

READ = ("runs", "visits", "attempts", "answers", "readings", "exposures", "plates", "signatures", "settings")
"""The tables for reading."""

OF_TRAINEES = ("visits", "attempts", "answers", "readings", "exposures", "plates", "signatures")
"""Those that say of each row whose it is, beside `runs`."""

PROJECTED = (*READ, "standing")
"""All tables of projections, in the order they are compared."""

KEYS = dict.fromkeys(READ, "seq") | {"runs": "", "standing": "", "plates": "plate", "settings": "name"}
"""What tells a table's rows of one run apart, beside the run; empty: there is one only."""
