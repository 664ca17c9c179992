"""A statement of an export looked at by other means than the program's own."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

from trainer.record.exports.forms import seconds_of


def looked_at(one: dict[str, Any]) -> Iterator[str]:
    """What is wrong with a statement of ours, by the standard library and the rules of the reference.

    Rules: learning-records reference, section 1.2 (score only in passed and failed, scaled in passed and
    failed from 0 to 1; completion true only in completed; times in UTC), and Data 2.4 (what is wanted).
    """
    if not {"actor", "verb", "object", "id", "timestamp"} <= one.keys():
        yield "something is missing"
    if uuid.UUID(one["id"]).variant != uuid.RFC_4122:
        yield "the id is of another variant"
    if datetime.fromisoformat(one["timestamp"]).utcoffset() != timedelta():
        yield "the time is not in UTC"
    for iri in (one["verb"]["id"], one["object"].get("id", "a:"), one["actor"]["account"]["homePage"]):
        if not urlsplit(iri).scheme or " " in iri:
            yield f"{iri} is no IRI"
    result, verb = one.get("result", {}), one["verb"]["display"]["en"]
    if "score" in result:
        yield "nothing of ours has a score"
    if result.get("completion") is True and verb != "completed":
        yield "only what is completed is complete"
    if "duration" in result and (seconds_of(result["duration"]) or 0) < 0:
        yield "the duration is none"
