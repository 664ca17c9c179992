"""Whether something is a statement of the Experience API, version 1.0.3: our own model of the standard.

The rules are those of Part Two (Data) of the standard, which binds those who send as well as those who
receive. `faults` gives all that is wrong; a statement without faults conforms.
"""

from __future__ import annotations

from collections.abc import Iterator

from trainer.record.exports.activities import ACTIVITY, IRI, LANGUAGE_MAP
from trainer.record.exports.actors import AGENT, actor, authority, group
from trainer.record.exports.circumstances import ATTACHMENTS, CONTEXT, RESULT, STATEMENT_REF, UUID
from trainer.record.exports.forms import is_timestamp, is_version
from trainer.record.exports.shape import Check, Fault, Fields, as_fields, below, fields_of, of_form, one_of

VOIDED = "http://adlnet.gov/expapi/verbs/voided"

_VERB = fields_of({"id": IRI}, {"display": LANGUAGE_MAP})
_TIMESTAMP = of_form(is_timestamp, "a time of ISO 8601, such as 2026-03-02T09:00:00.000Z,")


def _object(value: object, at: str) -> Iterator[Fault]:
    """What was acted on; an activity where it does not say what it is (Data 2.4.4)."""
    kind = (as_fields(value) or {}).get("objectType", "Activity")
    check = _OBJECTS.get(kind) if isinstance(kind, str) else None
    if check is None:
        yield Fault(below(at, "objectType"), f"one of {', '.join(_OBJECTS)} is wanted")
    else:
        yield from check(value, at)


def _object_below(value: object, at: str) -> Iterator[Fault]:
    """The same in a sub-statement, which holds no other."""
    if (as_fields(value) or {}).get("objectType") == "SubStatement":
        yield Fault(at, "a sub-statement holds no sub-statement")
    else:
        yield from _object(value, at)


_CORE: dict[str, Check] = {"actor": actor, "verb": _VERB}
_MORE: dict[str, Check] = {
    "result": RESULT,
    "context": CONTEXT,
    "timestamp": _TIMESTAMP,
    "attachments": ATTACHMENTS,
}
_STATEMENT = fields_of(
    {**_CORE, "object": _object},
    {
        **_MORE,
        "id": UUID,
        "stored": _TIMESTAMP,
        "authority": authority,
        "version": of_form(is_version, "1.0 or 1.0.x"),
    },
)
_SUB_STATEMENT = fields_of({**_CORE, "objectType": one_of("SubStatement"), "object": _object_below}, _MORE)
"""Without id, stored, authority and version: those belong to what was really stated (Data 2.4.4.3)."""


def _between_parts(fields: Fields, at: str) -> Iterator[Fault]:
    """What one part of a statement, or of a sub-statement, demands of another."""
    about = as_fields(fields.get("object")) or {}
    kind = about.get("objectType", "Activity")
    context = as_fields(fields.get("context")) or {}
    for key in ("revision", "platform"):
        if key in context and kind != "Activity":
            yield Fault(below(below(at, "context"), key), "this is only for an object that is an activity")
    verb = as_fields(fields.get("verb")) or {}
    if verb.get("id") == VOIDED and kind != "StatementRef":
        yield Fault(below(at, "object"), "what voids refers to the statement that it voids")


def _sub_statement(value: object, at: str) -> Iterator[Fault]:
    yield from _SUB_STATEMENT(value, at)
    yield from _between_parts(as_fields(value) or {}, at)


_OBJECTS: dict[str, Check] = {
    "Activity": ACTIVITY,
    "Agent": AGENT,
    "Group": group,
    "StatementRef": STATEMENT_REF,
    "SubStatement": _sub_statement,
}


def faults(value: object) -> list[Fault]:
    """Everything that is wrong with a statement given as a JSON value; nothing for one that conforms."""
    fields = as_fields(value)
    if fields is None:
        return [Fault("", "an object is wanted")]
    return [*_STATEMENT(value, ""), *_between_parts(fields, "")]
