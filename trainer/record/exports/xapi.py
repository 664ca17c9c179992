"""The record as statements of the Experience API, version 1.0.3; every one of them passes our model."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

from trainer.procedure.load import load_bytes
from trainer.procedure.plan import Plan
from trainer.procedure.problems import ProcedureProblems
from trainer.record import chain
from trainer.record.exports.acts import statements
from trainer.record.exports.corrected import corrected
from trainer.record.exports.naming import Json, Naming
from trainer.record.exports.reader import Reader
from trainer.record.exports.source import BeginningErased, Source
from trainer.record.exports.statement import faults
from trainer.record.exports.tables import Told
from trainer.run.events import RunOpened
from trainer.run.frozen import replace
from trainer.run.ports import JournalTrouble
from trainer.run.put_right import put_right


def statement_parts(source: Source, home: str, told: Told, *, names: bool) -> Iterator[bytes]:
    """One JSON array, a statement a line, in parts: what a store of statements takes in one request.

    home: whose accounts these are. names: with the names of people. told: hears of runs left out.
    """
    naming = Naming(home, source.key(), source.names() if names else {})
    before = b"[\n"
    for said in _all(source, naming, told):
        yield before + chain.canonical(said)
        before = b",\n"
    yield (b"[" if before == b"[\n" else b"\n") + b"]\n"


def _all(source: Source, naming: Naming, told: Told) -> Iterator[Json]:
    plans: dict[str, Plan | None] = {}
    for run in source.runs:
        try:
            yield from _of_run(source, run, naming, plans)
        except JournalTrouble as trouble:
            told(trouble)


def _of_run(source: Source, run: str, naming: Naming, plans: dict[str, Plan | None]) -> list[Json]:
    """The statements of one run: all of them or none. Raises JournalTrouble."""
    events = put_right(one.event for one in source.events(run))
    opened = events[0].body if events else None
    if not isinstance(opened, RunOpened):
        raise BeginningErased(
            f"Run {run} is left out: whoever began it was erased, and with that what the run was about."
        )
    if opened.content_hash not in plans:
        plans[opened.content_hash] = _plan(source, opened)
    plan = plans[opened.content_hash]
    naming = replace(naming, school=source.school(run))
    stated = statements(Reader(naming, plan, source.wanted.trainees, source.invented), events)
    said = corrected(list(stated), events, naming)
    for one in said:
        if wrong := faults(one):
            raise JournalTrouble(
                f"Run {run} is left out: it holds what no statement can say ({wrong[0]}). "
                "See `sinkside record verify`."
            )
    return said


def _plan(source: Source, opened: RunOpened) -> Plan | None:
    """The procedure as it was; None where it is gone, altered, or was practice without one."""
    kept = source.procedure(opened.content_hash)
    if kept is None or hashlib.sha256(kept).hexdigest() != opened.content_hash:
        return None
    try:
        return load_bytes(kept, f"{opened.procedure}.yaml").require()
    except ProcedureProblems:  # a file that an older Sinkside took: statements say less of it
        return None
