"""The tables of a record as the first migration made them.

Frozen: stations hold records made so. What tables are like today stands in `schema`.
"""

from __future__ import annotations

TRUTH = (
    """CREATE TABLE migrations (
        number INTEGER PRIMARY KEY,
        name TEXT NOT NULL,
        at TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE station (
        only_one INTEGER PRIMARY KEY CHECK (only_one = 1),
        key_fingerprint TEXT NOT NULL,
        runs INTEGER NOT NULL,
        erasures INTEGER NOT NULL,
        mac BLOB NOT NULL
    ) STRICT""",
    """CREATE TABLE procedures (
        content_hash TEXT PRIMARY KEY,
        procedure TEXT NOT NULL,
        revision INTEGER NOT NULL,
        source BLOB NOT NULL,
        kept_at TEXT NOT NULL
    ) STRICT""",
    # person: who was at work, in clear, so that one person's events can be found. Erased: body and salt go.
    """CREATE TABLE events (
        run TEXT NOT NULL,
        seq INTEGER NOT NULL CHECK (seq > 0),
        id TEXT NOT NULL UNIQUE,
        stored TEXT NOT NULL,
        digest BLOB NOT NULL,
        head BLOB NOT NULL,
        person TEXT NOT NULL,
        salt BLOB,
        body TEXT,
        PRIMARY KEY (run, seq),
        CHECK ((salt IS NULL) = (body IS NULL))
    ) STRICT""",
    "CREATE INDEX events_by_person ON events (person, run)",
    """CREATE TABLE heads (
        number INTEGER PRIMARY KEY,
        run TEXT NOT NULL UNIQUE,
        opened BLOB NOT NULL,
        count INTEGER NOT NULL,
        head BLOB NOT NULL,
        marked INTEGER NOT NULL,
        mac BLOB NOT NULL
    ) STRICT""",
    """CREATE TABLE erasures (
        number INTEGER PRIMARY KEY,
        at TEXT NOT NULL,
        run TEXT NOT NULL,
        seqs TEXT NOT NULL,
        mac BLOB NOT NULL
    ) STRICT""",
    """CREATE TABLE leases (
        run TEXT PRIMARY KEY,
        holder TEXT NOT NULL,
        at TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE people (
        code TEXT PRIMARY KEY,
        role TEXT NOT NULL CHECK (role IN ('trainee', 'instructor')),
        name TEXT NOT NULL,
        added_at TEXT NOT NULL,
        pin TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE pin_tries (
        number INTEGER PRIMARY KEY,
        instructor TEXT NOT NULL,
        at TEXT NOT NULL,
        boot TEXT NOT NULL,
        ticks_ms INTEGER NOT NULL,
        found TEXT NOT NULL CHECK (found IN ('right', 'wrong_pin', 'too_soon', 'unknown', 'reset'))
    ) STRICT""",
    "CREATE INDEX pin_tries_by_instructor ON pin_tries (instructor, number)",
)
"""What is kept once: losing it loses something."""

_ACT = """
        run TEXT NOT NULL,
        seq INTEGER NOT NULL,
        id TEXT NOT NULL,
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
        language TEXT NOT NULL,
        job TEXT NOT NULL,
        colour TEXT NOT NULL,
        opened_at TEXT NOT NULL,
        last_at TEXT NOT NULL,
        step TEXT,
        stage TEXT NOT NULL,
        skill TEXT,
        task TEXT NOT NULL,
        plate INTEGER NOT NULL,
        shown_boot TEXT NOT NULL,
        shown_ms INTEGER NOT NULL,
        events INTEGER NOT NULL,
        hints INTEGER NOT NULL,
        spoiled INTEGER NOT NULL,
        closed TEXT NOT NULL,
        closed_at TEXT NOT NULL,
        reason TEXT NOT NULL,
        excused TEXT NOT NULL
    ) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE attempts ({_ACT}
        task TEXT NOT NULL,
        outcome TEXT NOT NULL,
        seconds REAL,
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
        typed TEXT NOT NULL,
        typed_unit TEXT NOT NULL,
        verdict TEXT NOT NULL,
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
)
"""What was worked out from events for reading quickly."""

PROJECTED = ("runs", "attempts", "answers", "readings", "exposures")
"""The names of those tables."""
