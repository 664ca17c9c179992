"""Who: agents, groups, accounts, and the authority of a statement (Data 2.4.2 and 2.4.9)."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.record.exports.forms import is_iri, is_mailto, is_sha1, is_uri
from trainer.record.exports.shape import (
    Check,
    Fault,
    as_fields,
    below,
    both,
    fields_of,
    list_of,
    of_form,
    one_of,
    text,
)

IRL = of_form(is_iri, "an IRL")

ACCOUNT = fields_of({"homePage": IRL, "name": text})
_IDENTIFIERS: dict[str, Check] = {
    "mbox": of_form(is_mailto, "mailto: and an address"),
    "mbox_sha1sum": of_form(is_sha1, "a SHA-1 in hexadecimal"),
    "openid": of_form(is_uri, "a URI"),
    "account": ACCOUNT,
}
"""What identifies somebody; an agent has one of them, and no more."""


def _identifiers(value: object) -> list[str]:
    return [key for key in _IDENTIFIERS if key in (as_fields(value) or {})]


def _identified_once(value: object, at: str) -> Iterator[Fault]:
    found = _identifiers(value)
    if len(found) != 1 and as_fields(value) is not None:
        told = "none of" if not found else "more than one of"
        yield Fault(at, f"there is {told} {', '.join(_IDENTIFIERS)}; exactly one is wanted")


AGENT = both(
    fields_of({}, {"objectType": one_of("Agent"), "name": text, **_IDENTIFIERS}),
    _identified_once,
)
_GROUP_FIELDS = fields_of(
    {"objectType": one_of("Group")}, {"name": text, "member": list_of(AGENT), **_IDENTIFIERS}
)


def group(value: object, at: str) -> Iterator[Fault]:
    """A group: with one identifier, or anonymous and then with its members."""
    yield from _GROUP_FIELDS(value, at)
    found = _identifiers(value)
    if len(found) > 1:
        yield from _identified_once(value, at)
    if not found and "member" not in (as_fields(value) or {"member": None}):
        yield Fault(below(at, "member"), "an anonymous group names its members")


def actor(value: object, at: str) -> Iterator[Fault]:
    """An agent, or a group where it says that it is one."""
    fields = as_fields(value) or {}
    yield from (group if fields.get("objectType") == "Group" else AGENT)(value, at)


def authority(value: object, at: str) -> Iterator[Fault]:
    """An agent; or the two of an OAuth exchange, as an anonymous group (Data 2.4.9)."""
    yield from actor(value, at)
    fields = as_fields(value) or {}
    if fields.get("objectType") == "Group":
        members = fields.get("member")
        if _identifiers(value) or not isinstance(members, list) or len(members) != 2:
            yield Fault(at, "a group as authority is anonymous and has exactly two members")
