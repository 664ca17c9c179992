"""How it came out, where it stood and what goes with it: result, context, attachments (Data 2.4.5, 6, 11)."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.record.exports.activities import ACTIVITY, EXTENSIONS, IRI, LANGUAGE_MAP
from trainer.record.exports.actors import IRL, actor, group
from trainer.record.exports.forms import is_duration, is_language, is_media_type, is_sha2, is_uuid
from trainer.record.exports.shape import (
    Fault,
    as_fields,
    below,
    both,
    fields_of,
    is_number,
    list_of,
    of_form,
    one_of,
    one_or_list_of,
    text,
    truth,
    whole,
)

UUID = of_form(is_uuid, "a UUID")
STATEMENT_REF = fields_of({"objectType": one_of("StatementRef"), "id": UUID})
SIGNATURE = "http://adlnet.gov/expapi/attachments/signature"
"""The use of an attachment that is a signature; it has its own media type (Data 2.6)."""


def _number(value: object, at: str) -> Iterator[Fault]:
    if not is_number(value):
        yield Fault(at, "a number is wanted")


def _order(value: object, at: str) -> Iterator[Fault]:
    """Scaled from -1 to 1; raw from min to max; min below max (Data 2.4.5.1)."""
    fields = as_fields(value) or {}
    found = {key: one for key, one in fields.items() if isinstance(one, int | float) and is_number(one)}
    if "scaled" in found and not -1 <= found["scaled"] <= 1:
        yield Fault(below(at, "scaled"), "a number from -1 to 1 is wanted")
    if "min" in found and "max" in found and found["min"] >= found["max"]:
        yield Fault(below(at, "min"), "this is to be less than max")
    if "raw" in found and not (
        found.get("min", found["raw"]) <= found["raw"] <= found.get("max", found["raw"])
    ):
        yield Fault(below(at, "raw"), "this is to be from min to max")


SCORE = both(fields_of({}, dict.fromkeys(("scaled", "raw", "min", "max"), _number)), _order)
RESULT = fields_of(
    {},
    {
        "score": SCORE,
        "success": truth,
        "completion": truth,
        "response": text,
        "duration": of_form(is_duration, "a duration of ISO 8601, such as PT6M12.5S,"),
        "extensions": EXTENSIONS,
    },
)
CONTEXT_ACTIVITIES = fields_of(
    {}, dict.fromkeys(("parent", "grouping", "category", "other"), one_or_list_of(ACTIVITY))
)
CONTEXT = fields_of(
    {},
    {
        "registration": UUID,
        "instructor": actor,
        "team": group,
        "contextActivities": CONTEXT_ACTIVITIES,
        "revision": text,
        "platform": text,
        "language": of_form(is_language, "a language tag (RFC 5646)"),
        "statement": STATEMENT_REF,
        "extensions": EXTENSIONS,
    },
)
_ATTACHMENT = fields_of(
    {
        "usageType": IRI,
        "display": LANGUAGE_MAP,
        "contentType": of_form(is_media_type, "an Internet media type"),
        "length": whole,
        "sha2": of_form(is_sha2, "a SHA-2 in hexadecimal"),
    },
    {"description": LANGUAGE_MAP, "fileUrl": IRL},
)


def _signature(value: object, at: str) -> Iterator[Fault]:
    fields = as_fields(value) or {}
    if fields.get("usageType") == SIGNATURE and fields.get("contentType") != "application/octet-stream":
        yield Fault(below(at, "contentType"), "a signature is application/octet-stream")


ATTACHMENTS = list_of(both(_ATTACHMENT, _signature))
