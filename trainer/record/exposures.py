"""What earlier exposures at this station say about how long the next one takes."""

from __future__ import annotations

from trainer.record.journal import StationJournal

RECENT = 7
"""So few that an ageing lamp is followed, so many that one interrupted exposure hardly matters."""


def seconds_per_unit(journal: StationJournal, recent: int = RECENT) -> float | None:
    """Seconds that a unit of the integrator took: median of the latest wet exposures, None without one.

    Only exposures somebody watched to their end count. Which are the latest is told by the order in which the
    record came to keep them: a wall clock that was set ahead must not hold on to them. Raises JournalTrouble.
    """
    with journal.reading() as connection:
        rows = connection.execute(
            "SELECT seconds / units FROM exposures JOIN events USING (run, seq) WHERE rehearsal = 0 "
            "AND outcome <> 'said' AND unwatched = 0 AND seconds > 0 AND units > 0 "
            "ORDER BY events.rowid DESC LIMIT ?",
            (recent,),
        ).fetchall()
    rates = sorted(rate for (rate,) in rows)
    middle = len(rates) // 2
    if not rates:
        return None
    # Not `statistics.median`: importing it costs more than opening the record does.
    return float(rates[middle]) if len(rates) % 2 else float(rates[middle - 1] + rates[middle]) / 2
