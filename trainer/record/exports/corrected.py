"""Statements of a run whose trainee's code was put right: new ones for the right person, earlier ones voided.

A statement never changes once a store has it (Experience API 1.0.3, part two, 2.3.2), so one that was sent
under the wrong person is voided, and said anew under another id. A store that never had it is not to refuse
that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.record.exports.naming import Json, Naming
from trainer.record.exports.vocabulary import VERBS
from trainer.run.events import CodeMistyped, Event


def corrected(said: Sequence[Json], events: Sequence[Event], naming: Naming) -> list[Json]:
    """The statements of a run as they are sent. said: under the right person, with the ids of its events."""
    words = [(event, event.body) for event in events if isinstance(event.body, CodeMistyped)]
    if not words:
        return list(said)
    first = [str(one["id"]) for one in said]
    last = {ident: naming.derived_id(words[-1][0].id, ident) for ident in first}
    acts = [str(one["id"]) for one in said if not _voids(one)]
    sent = acts + [naming.derived_id(event.id, ident) for event, _ in words[:-1] for ident in acts]
    event, body = words[-1]
    return [*(_anew(one, last) for one in said), *_voidings(sent, event, body, naming)]


def _voids(one: Json) -> bool:
    verb = one["verb"]
    return isinstance(verb, dict) and verb.get("id") == VERBS["voided"]


def _anew(one: Json, ids: dict[str, str]) -> Json:
    """The same under its new id, and what it refers to under that one's."""
    about = one["object"]
    if _voids(one) and isinstance(about, dict):
        about = {**about, "id": ids.get(str(about["id"]), about["id"])}
    return {**one, "id": ids[str(one["id"])], "object": about}


def _voidings(sent: Sequence[str], event: Event, body: CodeMistyped, naming: Naming) -> Iterator[Json]:
    for ident in sent:
        yield {
            "id": naming.derived_id(event.id, "voided", ident),
            "actor": naming.agent(body.by),
            "verb": {"id": VERBS["voided"], "display": {"en": "voided"}},
            "object": {"objectType": "StatementRef", "id": ident},
            "context": {"registration": naming.registration(event.run)},
            "timestamp": event.stamp.at,
        }
