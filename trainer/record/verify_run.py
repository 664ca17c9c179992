"""One run's events held against their digests, their links and the list of runs."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from collections.abc import Set as AbstractSet

from trainer.record.chain import ChainKey, Header, digest_of, linked
from trainer.record.findings import Finding, gaps, problem
from trainer.record.heads import HeadRow
from trainer.run.frozen import frozen


@frozen
class Kept:
    """An event's row as it lies in the file."""

    seq: int
    id: str
    stored: str
    digest: bytes
    head: bytes
    person: str
    salt: bytes | None
    body: str | None


def rows_of(connection: sqlite3.Connection, run: str) -> list[Kept]:
    """A run's events as they lie in the file, by number."""
    rows = connection.execute(
        "SELECT seq, id, stored, digest, head, person, salt, body FROM events WHERE run = ? ORDER BY seq",
        (run,),
    )
    return [Kept(*row) for row in rows]


def check_run(
    rows: list[Kept], listed: HeadRow, key: ChainKey | None, erased: AbstractSet[int]
) -> list[Finding]:
    """What is wrong with a run. listed: its row in the list of runs; erased: numbers a sealed line erased.

    Without a key the links cannot be followed; bodies, digests and numbers still can.
    """
    run = listed.run
    if not rows:
        return [problem("run_missing", f"Run {run}: all its {listed.count} events are missing.", run, 1)]
    found = [*_numbers(rows, listed), *_bodies(rows, run, erased), *_people(rows, run)]
    named = {finding.seq for finding in found}
    if key is not None:
        moved = {row.head for row in rows if any(one.code == "moved" and one.seq == row.seq for one in found)}
        found += [finding for finding in _links(rows, run, key, moved) if finding.seq not in named]
    if not found and (rows[-1].head != listed.head):
        found.append(
            problem("list_altered", f"Run {run}: the list of runs shows another head.", run, listed.count)
        )
    return sorted(found, key=lambda finding: finding.seq or 0)


def _numbers(rows: list[Kept], listed: HeadRow) -> Iterator[Finding]:
    """Events missing in the middle, cut off at the end, or too many."""
    run, there, last = listed.run, {row.seq for row in rows}, rows[-1].seq
    for first, end in gaps(there, last - 1):
        which = f"event {first} is" if first == end else f"events {first} to {end} are"
        yield problem("missing", f"Run {run}: {which} missing.", run, first)
    if last < listed.count:
        which = (
            f"event {listed.count} is"
            if last + 1 == listed.count
            else f"events {last + 1} to {listed.count} are"
        )
        yield problem("cut_off", f"Run {run}: {which} cut off at the end.", run, last + 1)
    for seq in sorted(there):
        if seq > listed.count:
            yield problem("added", f"Run {run}: event {seq} was added past the end of the run.", run, seq)


def _bodies(rows: list[Kept], run: str, erased: AbstractSet[int]) -> Iterator[Finding]:
    """Each event's text against its digest, and what the text says of itself against its place."""
    for row in rows:
        where = f"Run {run}: event {row.seq}"
        if row.body is None or row.salt is None:
            if row.seq not in erased:
                yield problem(
                    "emptied", f"{where} was emptied, and no erasure of it is recorded.", run, row.seq
                )
            continue
        said = _own_words(row.body)
        if said is not None and said != (run, row.seq, row.id):
            if said[:2] == (run, row.seq):
                yield problem("header_altered", f"{where} was given another id.", run, row.seq)
            else:
                yield problem(
                    "moved",
                    f"{where} is not the one written there: it is event {said[1]} of run {said[0]}.",
                    run,
                    row.seq,
                )
        elif digest_of(row.salt, row.body.encode()) != row.digest:
            yield problem(
                "body_altered", f"{where} was altered: its text does not fit its digest.", run, row.seq
            )
        elif said is None:
            yield problem("unreadable", f"{where} cannot be read.", run, row.seq)


def _own_words(body: str) -> tuple[str, int, str] | None:
    """Run, number and id that an event's text says of itself; None where it is no such text."""
    try:
        event = json.loads(body)
        return event["run"], event["seq"], event["id"]
    except (ValueError, TypeError, KeyError, RecursionError):
        return None


def _people(rows: list[Kept], run: str) -> Iterator[Finding]:
    """Who is said to have been at work, against what opening and hand-overs say."""
    at_work: str | None = None
    for row in rows:
        if row.body is None:
            at_work = None  # an erased hand-over could have been here
            continue
        try:
            body = json.loads(row.body)["body"]
            at_work = body["trainee"] if body["kind"] == "run_opened" else at_work
            after = body["to"] if body["kind"] in ("run_handed_over", "code_mistyped") else at_work
        except (ValueError, TypeError, KeyError, RecursionError):
            continue  # told by `_bodies`
        if at_work is not None and row.person != at_work:
            yield problem(
                "person_altered", f"Run {run}: event {row.seq} was put down to another trainee.", run, row.seq
            )
        at_work = after


def _links(rows: list[Kept], run: str, key: ChainKey, moved: AbstractSet[bytes]) -> Iterator[Finding]:
    """Each event's link, computed from the one before; an altered one does not taint those after it.

    moved: the heads of events that stand in another's place, any of which may be the one before.
    """
    before = {key.start_of(run)}
    expected = 1
    for row in rows:
        possible: set[bytes] = set()
        if row.seq == expected:  # past a gap there is nothing to compute from
            header = Header(row.seq, row.id, row.stored, row.digest).encoded()
            possible = {linked(key.mac, head, header) for head in before}
        if row.head in possible or row.seq != expected:
            before = {row.head}
        else:
            yield problem(
                "header_altered",
                f"Run {run}: event {row.seq} was altered: its link to the one before is broken.",
                run,
                row.seq,
            )
            before = {row.head, *possible, *moved}
        expected = row.seq + 1
