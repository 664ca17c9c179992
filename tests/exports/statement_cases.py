"""Statements and parts of them with the verdict that the standard gives, each with its place in the standard.

Places are sections of Part Two (Data) of the Experience API 1.0.3. "Quoted" values were taken from it or from
the configurations of the public conformance suite for it (MIT licence); all others are our own.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Any

BASE: dict[str, Any] = {
    "id": "017f22e2-79b0-7cc3-98c4-dc0c0c07398f",
    "actor": {"objectType": "Agent", "account": {"homePage": "https://sinkside.invalid", "name": "a1"}},
    "verb": {"id": "http://adlnet.gov/expapi/verbs/completed", "display": {"en": "completed"}},
    "object": {
        "objectType": "Activity",
        "id": "https://sinkside.invalid/procedures/p",
        "definition": {"type": "http://adlnet.gov/expapi/activities/performance"},
    },
    "result": {"completion": True, "duration": "PT48M3S"},
    "context": {"registration": "ec531277-b57b-4c15-8d91-d292c5b2b8f7", "revision": "3"},
    "timestamp": "2026-03-02T09:00:00.000Z",
}
"""A statement that conforms. The id is the sample value of RFC 9562, appendix A.6 (version 7)."""

AWAY = object()
"""In place of a value: the key is taken away."""

REF = {"objectType": "StatementRef", "id": "ec531277-b57b-4c15-8d91-d292c5b2b8f7"}
AGENT = {"mbox": "mailto:t@school.example"}
SUB = {
    "objectType": "SubStatement",
    "actor": AGENT,
    "verb": {"id": "http://adlnet.gov/expapi/verbs/answered"},
    "object": {"id": "https://sinkside.invalid/a"},
}
VOIDS = "http://adlnet.gov/expapi/verbs/voided"
PART = {
    "usageType": "https://sinkside.invalid/uses/plate",
    "display": {"en": "The plate"},
    "contentType": "image/png",
    "length": 12,
    "sha2": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",  # of nothing: FIPS 180-4
}


def changed(*changes: tuple[str, object]) -> dict[str, Any]:
    """The statement that conforms, with values put at paths such as `result.score`."""
    made: dict[str, Any] = deepcopy(BASE)
    for path, value in changes:
        *way, last = path.split(".")
        place = made
        for key in way:
            place = place.setdefault(key, {})
        if value is AWAY:
            del place[last]
        else:
            place[last] = value
    return made


def question(**more: object) -> dict[str, object]:
    """A definition of a question."""
    return {"interactionType": "choice", **more}


CONFORM: dict[str, list[tuple[str, object]]] = {
    "as it is": [],
    "only what 2.4 demands": [(key, AWAY) for key in ("id", "result", "context", "timestamp")],
    "2.4.1: an id of another version": [("id", "9B4BD8E9-0FBB-4BCF-9B4D-2E6B1B0A5F3A")],
    "2.4.2.1: an address": [("actor", AGENT)],
    "2.4.2.1: a name beside the account": [("actor.name", "")],
    "2.4.2.2: an anonymous group": [("actor", {"objectType": "Group", "member": [AGENT]})],
    "2.4.2.2: a group with an address": [("actor", {"objectType": "Group", **AGENT})],
    "2.4.4: about a statement": [("object", REF), ("context.revision", AWAY)],
    "2.4.4: about somebody": [("object", {"objectType": "Agent", **AGENT}), ("context.revision", AWAY)],
    "2.4.4.3: a sub-statement": [("object", SUB), ("context.revision", AWAY)],
    "2.4.4.1: no definition": [("object", {"id": "urn:isbn:0451450523"})],
    "2.4.4.1: a question": [
        ("object.definition", question(choices=[{"id": "a"}], correctResponsesPattern=["foo[,]bar", "foo"]))
    ],
    "2.4.4.1: nothing is right": [("object.definition", question(correctResponsesPattern=[]))],
    "2.4.5.1: quoted, scaled 1.0": [("result.score", {"scaled": 1.0})],
    "2.4.5.1: at the ends": [("result.score", {"raw": 0, "min": 0, "max": 0.5})],
    "2.4.6: another as instructor": [("context.instructor", {"objectType": "Group", "member": [AGENT]})],
    "2.4.6.2: one activity and several": [
        ("context.contextActivities", {"parent": {"id": "a:b"}, "other": [{"id": "a:b"}, {"id": "a:c"}]})
    ],
    "2.4.6: a language": [("context.language", "es-419")],
    "2.4.9: two members of an exchange": [
        ("authority", {"objectType": "Group", "member": [AGENT, {"openid": "https://id.example/x"}]})
    ],
    "2.4.10: quoted, version 1.0": [("version", "1.0")],
    "2.4.10: quoted, version 1.0.9": [("version", "1.0.9")],
    "2.4.11: an attachment": [("attachments", [PART])],
    "2.3.2: voiding": [("verb.id", VOIDS), ("object", REF), ("context", {})],
    "4.1: an extension may be null": [("result.extensions", {"https://sinkside.invalid/e": None})],
    "4.2: tags of languages": [
        ("verb.display", {"zh-Hant": "a", "i-klingon": "b", "x-own": "c", "und": "d"})
    ],
    "4.5: an offset": [("timestamp", "2026-03-02T09:00:00.123456789+05:30")],
}
"""By place and what it is: changes after which the statement still conforms."""

BROKEN: dict[str, tuple[str, list[tuple[str, object]]]] = {
    "2.2: a null": ("result.response", [("result.response", None)]),
    "2.2: no verb": ("verb", [("verb", AWAY)]),
    "2.2: an unknown property": ("extra", [("extra", 1)]),
    "2.2: wrong case of a key": ("Result", [("Result", {})]),
    "2.2: true as a string": ("result.success", [("result.success", "true")]),
    "2.2: 1 for true": ("result.success", [("result.success", 1)]),
    "2.4.1: an id that is none": ("id", [("id", "017f22e2-79b0-7cc3-c8c4-dc0c0c07398f")]),
    "2.4.2.1: account and address": ("actor", [("actor.mbox", "mailto:t@school.example")]),
    "2.4.2.1: nothing that identifies": ("actor", [("actor", {"name": "A"})]),
    "2.4.2.1: wrong case of a word": ("actor.objectType", [("actor.objectType", "agent")]),
    "2.4.2.2: a group in a group": (
        "actor.member[0].objectType",
        [("actor", {"objectType": "Group", "member": [{"objectType": "Group", **AGENT}]})],
    ),
    "2.4.2.2: nobody in an anonymous group": ("actor.member", [("actor", {"objectType": "Group"})]),
    "2.4.2.3: no address": ("actor.mbox", [("actor", {"mbox": "t@school.example"})]),
    "2.4.2.3: two addresses": ("actor.mbox", [("actor", {"mbox": "mailto:a@b.example,c@d.example"})]),
    "2.4.2.3: no SHA-1": ("actor.mbox_sha1sum", [("actor", {"mbox_sha1sum": "ebd31e95"})]),
    "2.4.2.4: no home page": ("actor.account.homePage", [("actor.account.homePage", AWAY)]),
    "2.4.2.4: a home page without a scheme": (
        "actor.account.homePage",
        [("actor.account.homePage", "sinkside.invalid")],
    ),
    "2.4.3: a verb that is a word": ("verb.id", [("verb.id", "completed")]),
    "2.4.4: a kind that there is not": (
        "object.objectType",
        [("object.objectType", "activity"), ("context.revision", AWAY)],
    ),
    "2.4.4.1: an id with a space": ("object.id", [("object.id", "https://sinkside.invalid/a b")]),
    "2.4.4.1: half an escape": ("object.id", [("object.id", "https://sinkside.invalid/%2")]),
    "2.4.4.1: two parts of one id": (
        "object.definition.choices",
        [("object.definition", question(choices=[{"id": "a"}, {"id": "a"}]))],
    ),
    "2.4.4.1: a part without an id": (
        "object.definition.choices[0].id",
        [("object.definition", question(choices=[{"description": {}}]))],
    ),
    "2.4.4.1: parts of no question": (
        "object.definition.choices",
        [("object.definition", {"choices": [{"id": "a"}]})],
    ),
    "2.4.4.1: parts of another type": (
        "object.definition.scale",
        [("object.definition", question(scale=[{"id": "a"}]))],
    ),
    "2.4.4.3: a sub-statement in one": (
        "object.object",
        [("object", {**SUB, "object": SUB}), ("context.revision", AWAY)],
    ),
    "2.4.4.3: a sub-statement with an id": (
        "object.id",
        [("object", {**SUB, "id": BASE["id"]}), ("context.revision", AWAY)],
    ),
    "2.4.5.1: quoted, scaled 1.01": ("result.score.scaled", [("result.score", {"scaled": 1.01})]),
    "2.4.5.1: quoted, raw over max": (
        "result.score.raw",
        [("result.score", {"raw": 0.6767676, "max": 0.6567676})],
    ),
    "2.4.5.1: quoted, raw under min": (
        "result.score.raw",
        [("result.score", {"raw": 0.6767676, "min": 1.4067676})],
    ),
    "2.4.5.1: min is max": ("result.score.min", [("result.score", {"min": 1, "max": 1})]),
    "2.4.5.1: true as a number": ("result.score.raw", [("result.score", {"raw": True})]),
    "2.4.6: a registration that is none": ("context.registration", [("context.registration", "run 1")]),
    "2.4.6: a team that is one": ("context.team.objectType", [("context.team", AGENT)]),
    "2.4.6: revision of a statement": ("context.revision", [("object", REF)]),
    "2.4.6: platform of somebody": (
        "context.platform",
        [("object", {"objectType": "Agent", **AGENT}), ("context", {"platform": "x"})],
    ),
    "2.4.6.2: an unknown relation": (
        "context.contextActivities.course",
        [("context.contextActivities", {"course": {"id": "a:b"}})],
    ),
    "2.4.9: three members": (
        "authority",
        [("authority", {"objectType": "Group", "member": [AGENT, AGENT, AGENT]})],
    ),
    "2.4.10: quoted, version 0.9.9": ("version", [("version", "0.9.9")]),
    "2.4.10: quoted, version 1.1.0": ("version", [("version", "1.1.0")]),
    "2.4.11: a length that is a string": (
        "attachments[0].length",
        [("attachments", [{**PART, "length": "1"}])],
    ),
    "2.4.11: a digest that is none": ("attachments[0].sha2", [("attachments", [{**PART, "sha2": "e3b0"}])]),
    "2.6: a signature of another type": (
        "attachments[0].contentType",
        [("attachments", [{**PART, "usageType": "http://adlnet.gov/expapi/attachments/signature"}])],
    ),
    "2.3.2: voiding an activity": ("object", [("verb.id", VOIDS)]),
    "4.1: an extension without an IRI": ("result.extensions.unit", [("result.extensions", {"unit": "Cel"})]),
    "4.2: no tag of a language": ("verb.display.en_GB", [("verb.display", {"en_GB": "done"})]),
    "4.6: no duration": ("result.duration", [("result.duration", "48 min")]),
}
"""By place and what it is: where the fault is, and the changes that make it."""
