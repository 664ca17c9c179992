"""What it was about: activities, their definitions, and questions with their parts (Data 2.4.4.1)."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.record.exports.actors import IRL
from trainer.record.exports.forms import is_iri, is_language
from trainer.record.exports.shape import (
    Check,
    Fault,
    as_fields,
    below,
    both,
    fields_of,
    list_of,
    mapping_of,
    of_form,
    one_of,
    text,
)

IRI = of_form(is_iri, "an IRI")
LANGUAGE_MAP = mapping_of(is_language, "a language tag (RFC 5646)", text)
EXTENSIONS = mapping_of(is_iri, "an IRI")
"""By IRI, anything: nothing else in a statement may be null."""

PARTS = {
    "true-false": (),
    "choice": ("choices",),
    "fill-in": (),
    "long-fill-in": (),
    "matching": ("source", "target"),
    "performance": ("steps",),
    "sequencing": ("choices",),
    "likert": ("scale",),
    "numeric": (),
    "other": (),
}
"""By type of question: the lists of parts that it may have."""


def _components(value: object, at: str) -> Iterator[Fault]:
    """A list of parts, each with an id of its own."""
    yield from list_of(fields_of({"id": text}, {"description": LANGUAGE_MAP}))(value, at)
    if isinstance(value, list):
        ids = [fields["id"] for one in value if (fields := as_fields(one)) is not None and "id" in fields]
        if any(one in ids[:number] for number, one in enumerate(ids)):
            yield Fault(at, "two parts have the same id")


_LISTS: dict[str, Check] = dict.fromkeys(("choices", "scale", "source", "target", "steps"), _components)
_FIELDS = fields_of(
    {},
    {
        "name": LANGUAGE_MAP,
        "description": LANGUAGE_MAP,
        "type": IRI,
        "moreInfo": IRL,
        "extensions": EXTENSIONS,
        "interactionType": one_of(*PARTS),
        "correctResponsesPattern": list_of(text),
        **_LISTS,
    },
)


def _question(value: object, at: str) -> Iterator[Fault]:
    """What belongs to questions stands in a question only, and lists in the type of question they are for."""
    fields = as_fields(value) or {}
    kind = fields.get("interactionType")
    if kind is None:
        for key in ("correctResponsesPattern", *_LISTS):
            if key in fields:
                yield Fault(below(at, key), "this is for an activity with an interactionType")
        return
    for key in _LISTS:
        if key in fields and key not in PARTS.get(str(kind), ()):
            yield Fault(below(at, key), f"an activity of the type {kind} has no such list")


DEFINITION = both(_FIELDS, _question)
ACTIVITY = fields_of({"id": IRI}, {"objectType": one_of("Activity"), "definition": DEFINITION})
