"""The list of runs, the second place and the lines of erasures, held against each other and the key."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from trainer.record import chain, heads, second_place
from trainer.record.chain import ChainKey
from trainer.record.erase import Erasure, numbers_in
from trainer.record.findings import Finding, gaps, note, problem
from trainer.record.heads import HeadRow, StationRow
from trainer.record.second_place import Mark, Marks

_GONE = {"cut_off", "missing", "run_missing"}
"""Findings that say already that an event of a run is no longer there."""


def check_list(
    rows: Sequence[HeadRow], station: StationRow, key: ChainKey | None, marks: Sequence[Mark]
) -> Iterator[Finding]:
    """No number missing, each opening linked to the one before, each row and the number of runs sealed."""
    if key is not None and not key.fits(station.sealing(), station.mac):
        yield problem("list_altered", "The number of runs kept by the station was altered.")
    named = {mark.number: mark.run for mark in marks}
    numbers = {row.number for row in rows}
    for first, last in gaps(numbers, max({station.runs, *numbers})):
        if first != last:
            words = f"Runs number {first} to {last} of this station are missing from the list of runs."
            yield problem("run_missing", words)
            continue
        run = named.get(first)
        which = (
            f"Run {run} (number {first} of this station)" if run else f"Run number {first} of this station"
        )
        yield problem("run_missing", f"{which} is missing: it is no longer in the list of runs.", run)
    if key is not None:
        yield from _links(rows, key)


def _links(rows: Sequence[HeadRow], key: ChainKey) -> Iterator[Finding]:
    before, expected = b"", 1
    for row in rows:
        follows = row.number == expected  # past a gap there is nothing to compute from
        if follows and row.opened != heads.opening(key, before, row.number, row.run):
            yield problem(
                "list_altered", f"Run {row.run}: its opening in the list of runs was altered.", row.run
            )
        elif not key.fits(row.sealing(), row.mac):
            yield problem("list_altered", f"Run {row.run}: its row in the list of runs was altered.", row.run)
        before, expected = row.opened, row.number + 1


def check_marks(
    path: Path,
    read: Marks | None,
    rows: Sequence[HeadRow],
    heads_at: Mapping[str, Mapping[int, str]],
    found: Sequence[Finding],
) -> Iterator[Finding]:
    """The second place against what is kept. heads_at: by run and number; found: what was told already."""
    where = second_place.path_of(path)
    if read is None:
        if rows:
            yield problem(
                "second_place_missing",
                f"The second place {where} is missing: whether the end of a run was cut off together with "
                "its row in the list cannot be seen.",
            )
        return
    for line in read.unreadable:
        yield problem("second_place_altered", f"Line {line} of {where} is not as it was written.")
    told = list(found)
    for mark in read.marks:
        if finding := _mark(mark, heads_at, told):
            told.append(finding)
            yield finding
    written = {(mark.run, mark.count) for mark in read.marks}
    for row in rows:
        if row.marked and (row.run, row.marked) not in written:
            yield note(
                "second_place_short",
                f"Run {row.run}: {where} has no line for event {row.marked}. Lines were cut off there, "
                "or the station stopped in that very moment.",
                row.run,
                row.marked,
            )


def _mark(mark: Mark, heads_at: Mapping[str, Mapping[int, str]], told: Sequence[Finding]) -> Finding | None:
    """One line of the second place; None where it fits, or where what it says is told already."""
    run, kept = mark.run, heads_at.get(mark.run)
    then = f"the run was {mark.why} at {mark.at}"
    gone = any(finding.run == run and finding.code in _GONE for finding in told)
    if kept is None:
        words = (
            f"Run {run} (number {mark.number} of this station) is missing: {then}, with {mark.count} events."
        )
        return None if gone else problem("run_missing", words, run)
    if mark.count not in kept:
        words = f"Run {run}: the record ends before event {mark.count}, which was there when {then}."
        return None if gone else problem("cut_off", words, run, max(kept, default=0) + 1)
    if kept[mark.count] != mark.head and not any((one.run, one.seq) == (run, mark.count) for one in told):
        words = (
            f"Run {run}: event {mark.count} is not the one that was there when {then}: the run was "
            "written anew, or the line in the second place was altered."
        )
        return problem("rewritten", words, run, mark.count)
    return None


def check_erasures(
    connection: sqlite3.Connection, station: StationRow, key: ChainKey | None
) -> tuple[dict[str, set[int]], list[Finding]]:
    """By run, which events were erased by a sealed line; and what is wrong with those lines."""
    erased: dict[str, set[int]] = {}
    found: list[Finding] = []
    link, last = b"", 0
    for number, at, run, seqs, mac in connection.execute(
        "SELECT number, at, run, seqs, mac FROM erasures ORDER BY number"
    ):
        entry = Erasure(number, at, run, numbers_in(seqs))
        if key is not None and mac != chain.linked(key.mac, link, entry.encoded()):
            told = f"Run {run}: the line of erasure number {number} is not as it was written."
            found.append(problem("erasure_altered", told, run))
        else:
            erased.setdefault(run, set()).update(entry.seqs)
        link, last = mac, number
    if station.erasures != last:
        told = f"{station.erasures} erasures were made, but the record has {last} lines of them."
        found.append(problem("erasure_altered", told))
    return erased, found
