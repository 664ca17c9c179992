"""How people, activities and statements are called in an export: nobody by name or code.

An account is a keyed hash of the code: the same person has the same account in every export of this record,
and without the key nobody can try out which code it is. In the shared record a code is one person within a
school, so that the school belongs to what is hashed.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import field
from urllib.parse import quote

from trainer.record.chain import ChainKey
from trainer.record.exports.forms import is_uri, is_uuid
from trainer.run.frozen import frozen
from trainer.run.ports import Trouble

Json = dict[str, object]

HOME_PAGE = "https://sinkside.invalid"
"""Whose accounts and activities they are where nothing else is said: a name that no host has (RFC 2606)."""


def home_page(given: str) -> str:
    """An address to put before our own names, without the slash at its end. Raises Trouble."""
    home = given.rstrip("/")
    if not (home.startswith(("https://", "http://")) and is_uri(home)) or "?" in home or "#" in home:
        raise Trouble(
            f"{given[:80]} is no home page. Give an address that your school or shop owns, such as "
            "https://school.example/training."
        )
    return home


@frozen
class Naming:
    """Gives the names. names: of people by code, where they are wanted in the export at all.

    school: whose codes they are; empty in a station's own record, which belongs to one.
    """

    home: str
    key: ChainKey
    names: Mapping[str, str] = field(default_factory=dict)
    school: str = ""

    def agent(self, code: str) -> Json:
        """Somebody, by an account that tells nothing."""
        whose = f"{self.school}\x00{code}" if self.school else code
        opaque = self.key.mac(b"sinkside account\x00" + whose.encode("utf-8", "replace"))[:16].hex()
        found: Json = {"objectType": "Agent", "account": {"homePage": self.home, "name": opaque}}
        return {**found, "name": self.names[code]} if self.names.get(code) else found

    def iri(self, *parts: str) -> str:
        """An IRI of our own: no text in it is more than a part of a path."""
        return "/".join((self.home, *(quote(part, safe="") for part in parts)))

    def extension(self, name: str) -> str:
        """The IRI of an extension."""
        return self.iri("extensions", name)

    def derived_id(self, *parts: str) -> str:
        """A UUID that is the same for the same parts in every export (RFC 9562, version 8)."""
        made = self.key.mac(b"sinkside id\x00" + "\x00".join(parts).encode("utf-8", "replace"))[:16]
        number = int.from_bytes(made)
        number = number & ~(0xF << 76) & ~(0x3 << 62) | 8 << 76 | 2 << 62
        return str(uuid.UUID(int=number))

    def registration(self, run: str) -> str:
        """The UUID of a run: its own id, which is one where Sinkside gave it."""
        return run if is_uuid(run) else self.derived_id("run", run)
