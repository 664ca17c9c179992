"""The shared record looked over: which event of which station is altered, missing or cut off.

The keys of the chains stay at the stations, so the links are followed only where a key is given. Without one,
digests, numbers, counts, lists of runs and the tables for reading are held against each other. See the guide,
page trust, for what that proves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from trainer.record import schema
from trainer.record.chain import ChainKey
from trainer.record.erase import numbers_in
from trainer.record.findings import Finding, Report, gaps, note, problem
from trainer.record.heads import HeadRow
from trainer.record.rebuild import Dump
from trainer.record.shared import stations
from trainer.record.shared.batches import KeptEvent
from trainer.record.shared.mirror import as_kept, events_of, made_again, runs_of, some_at_once
from trainer.record.shared.settled import Settled, settled_of, told_of
from trainer.record.shared.standing import standing_events
from trainer.record.shared.stations import Place
from trainer.record.verify_run import Kept, check_run

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]


def verify(
    connection: Connection,
    schools: Sequence[str] = (),
    named: Sequence[str] = (),
    keys: Sequence[ChainKey] = (),
) -> Report:
    """Look over what this credential sees, at one moment, without changing it.

    schools, named: of these schools, and stations of these names, alone. keys: of stations that gave them
    out, told apart by their fingerprints. Raises NoSuchPlace.
    """
    with connection.transaction():
        connection.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        return look_over(connection, stations.places(connection, schools, named), keys)


def look_over(connection: Connection, places: Iterable[Place], keys: Sequence[ChainKey] = ()) -> Report:
    """The same for these stations, inside a transaction that has begun."""
    by_print = {key.fingerprint: key for key in keys}
    found: list[Finding] = []
    runs = events = erased = 0
    for place in places:
        look = _Look(connection, place, by_print)
        look.over()
        found += (replace(one, message=f"{place.words}: {one.message}") for one in look.found)
        runs, events, erased = runs + look.runs, events + look.events, erased + look.erased
    return Report(tuple(found), runs, events, erased)


@dataclass(slots=True)
class _Look:
    """One station looked over. asked: it is to erase somebody and has not yet.

    by_station, by_keeper: by run, which events were erased, as their lines say."""

    connection: Connection
    place: Place
    keys: Mapping[str, ChainKey]
    found: list[Finding] = field(default_factory=list)
    asked: bool = False
    by_station: dict[str, set[int]] = field(default_factory=dict)
    by_keeper: dict[str, set[int]] = field(default_factory=dict)
    settled: Mapping[str, Settled] = field(default_factory=dict)
    runs: int = 0
    events: int = 0
    erased: int = 0

    def over(self) -> None:
        """Everything of this station."""
        site = self.place.site
        told = self.connection.execute(
            "SELECT key_fingerprint, runs FROM sinkside.contacts WHERE site = %s", (site,)
        ).fetchone()
        if told is None:
            self.found.append(note("no_contact", "nothing came from this station yet."))
        fingerprint, opened = told or ("", 0)
        listed = self._listed(opened)
        self._erasures()
        self.settled = settled_of(self.connection, site)
        for runs in some_at_once(runs_of(self.connection, site)):
            kept = events_of(self.connection, site, runs)
            stands = standing_events(self.connection, site, runs) if self.settled else kept
            for run in runs:
                head = self._settled_first(run, kept[run], stands[run], listed.get(run))
                self._run(run, stands[run], head, self.keys.get(fingerprint))
            self._tables(runs, stands)
        self.found += [*told_of(self.connection, site), *_procedures(self.connection, site)]

    def _listed(self, opened: int) -> dict[str, HeadRow]:
        """The station's list of runs, and what is missing in it. opened: how many there are, as it says."""
        rows = self.connection.execute(
            "SELECT number, run, opened, count, head, marked FROM sinkside.heads WHERE site = %s "
            "ORDER BY number, run",
            (self.place.site,),
        ).fetchall()
        listed = [HeadRow(*row) for row in rows]
        last = max((row.number for row in listed), default=0)
        for first, end in gaps({row.number for row in listed}, last):
            which = f"Run number {first} is" if first == end else f"Runs number {first} to {end} are"
            self.found.append(problem("run_missing", f"{which} missing from the station's list of runs."))
        for number, many in Counter(row.number for row in listed).items():
            if many > 1:
                words = (
                    f"{many} runs have the number {number}: the station's record was put back or begun anew."
                )
                self.found.append(problem("run_doubled", words))
        if last < opened:
            words = f"{opened - last} runs that the station has opened are not forwarded yet."
            self.found.append(note("not_forwarded", words))
        return {row.run: row for row in listed}

    def _erasures(self) -> None:
        for origin, run, seqs in self.connection.execute(
            "SELECT origin, run, seqs FROM sinkside.erasures WHERE site = %s", (self.place.site,)
        ):
            lines = self.by_station if origin == "station" else self.by_keeper
            lines.setdefault(run, set()).update(numbers_in(seqs))
        self.asked = (
            self.connection.execute(
                "SELECT FROM sinkside.erase_requests WHERE site = %s AND done_at IS NULL", (self.place.site,)
            ).rowcount
            > 0
        )

    def _run(
        self, run: str, events: Sequence[KeptEvent], listed: HeadRow | None, key: ChainKey | None
    ) -> None:
        """Numbers, texts and links of one run."""
        self.runs += 1
        self.events += len(events)
        self.erased += sum(one.body is None for one in events)
        if listed is None:
            words = (
                f"Run {run} is not in the station's list of runs." if events else _ROWS_ONLY.format(run=run)
            )
            self.found.append(problem("run_not_listed", words, run))
            return
        rows = [Kept(*one[1:]) for one in events]
        gone = self.by_station.get(run, set()) | self.by_keeper.get(run, set())
        if self.asked and (early := {one.seq for one in events if one.body is None} - gone):
            # A station that was asked to erase somebody, and cannot yet, sends no body of that person.
            words = f"Run {run}: {len(early)} events came without a body, since their person is to be erased."
            self.found.append(note("erasure_waits", words, run))
            gone |= early
        found = check_run(rows, listed, key, gone)
        self.found += self.settled[run].explained(found, events, key) if run in self.settled else found
        for seq, many in Counter(one.seq for one in events).items():
            if many > 1:
                words = f"Run {run}: there are {many} events number {seq}."
                self.found.append(problem("event_doubled", words, run, seq))
        waiting = {one.seq for one in events if one.body is not None} & self.by_station.get(run, set())
        if waiting:
            words = (
                f"Run {run}: {len(waiting)} events that the station has erased still stand here. The record "
                "keeper carries that out with `sinkside record shared erase --asked`."
            )
            self.found.append(note("erasure_waits", words, run))

    def _settled_first(
        self, run: str, kept: Sequence[KeptEvent], stands: Sequence[KeptEvent], listed: HeadRow | None
    ) -> HeadRow | None:
        """What is told of a run before what stands of it is looked at; and how its list stands."""
        if run not in self.settled:
            return listed
        self.found += self.settled[run].set_aside(kept, stands)
        return None if listed is None else self.settled[run].listed(stands, listed)

    def _tables(self, runs: Sequence[str], events: Mapping[str, Sequence[KeptEvent]]) -> None:
        """The tables for reading against what the events give; runs told of already are left out."""
        told = {one.run for one in self.found if one.run is not None and not one.code.startswith("settled")}
        wanted, spoiled = made_again(events)
        there = as_kept(self.connection, self.place.site, runs)
        self.found += [problem("unreadable", sentence, run) for run, sentence in spoiled.items()]
        for finding in _differences(wanted, there):
            run = finding.run or ""
            if run in told or run in spoiled:
                continue
            if run in self.settled:
                self.found.append(self.settled[run].tables())
                told.add(run)
            elif self.by_keeper.get(run, set()) - self.by_station.get(run, set()):
                words = f"Run {run}: erased here, and not yet at the station, which still sends its rows."
                self.found.append(note("erasure_waits", words, run))
                told.add(run)
            else:
                self.found.append(finding)


_ROWS_ONLY = "Run {run} has rows in the tables for reading, and no event."


def _differences(wanted: Dump, there: Dump) -> Iterator[Finding]:
    """Where the tables for reading of some runs are not what their events give."""
    for table in schema.READ:
        key = schema.KEYS[table]
        differing = set(wanted[table]) ^ set(there[table])
        for run, which in sorted({(row[0], row[1] if key else "") for row in differing}, key=str):
            at = "" if not key else f" of event {which}" if key == "seq" else f" of {key} {which}"
            yield problem(
                "projection",
                f"Run {run}: the table {table} does not say what the events say{at}.",
                str(run),
                int(str(which)) if key == "seq" else None,
            )


def _procedures(connection: Connection, site: str) -> Iterator[Finding]:
    """The kept bytes of procedures against their content hashes, and the runs that want one."""
    altered = (
        "SELECT content_hash FROM sinkside.procedures "
        "WHERE site = %s AND encode(sha256(source), 'hex') <> content_hash ORDER BY 1"
    )
    for (content_hash,) in connection.execute(altered, (site,)):
        yield problem("procedure_altered", f"The kept procedure {content_hash[:12]} was altered.")
    missing = (
        "SELECT run, content_hash FROM sinkside.runs r WHERE site = %s AND content_hash <> '' AND NOT EXISTS "
        "(SELECT FROM sinkside.procedures p WHERE p.site = r.site AND p.content_hash = r.content_hash) "
        "ORDER BY 1"
    )
    for run, content_hash in connection.execute(missing, (site,)):
        words = f"Run {run}: the procedure it was opened with, {content_hash[:12]}, is not here."
        yield problem("procedure_missing", words, run)
