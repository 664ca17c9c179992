"""The chain that makes a changed record show: canonical bytes, digests, keyed links, and the key's file.

Each event is a link: head = HMAC-SHA-256(key, head before + RFC 8785 bytes of {seq, id, stored, digest}),
with digest = SHA-256(salt + canonical body). Body and salt can be dropped (a person is erased) and the chain
holds.
"""

from __future__ import annotations

import hashlib
import hmac
import os
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from trainer.record.canonical import MOST_WHOLE, quoted
from trainer.record.canonical import canonical as canonical  # noqa: PLC0414 - the chain's own bytes, for all
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble

SALT_BYTES = 32
_KEY_BYTES = 32

Mac = Callable[[bytes], bytes]
"""Bytes to 32 bytes: keyed in the record; a plain SHA-256 gives the unkeyed chain of the check values."""


def digest_of(salt: bytes, body: bytes) -> bytes:
    """SHA-256 of salt and canonical body: without the salt nobody can test a guess of the body."""
    return hashlib.sha256(salt + body).digest()


class Header(NamedTuple):
    """What of an event stays for ever. stored: when it was kept, RFC 3339."""

    seq: int
    id: str
    stored: str
    digest: bytes

    def encoded(self) -> bytes:
        """Its canonical bytes. Raises ValueError where it has none."""
        if 0 <= self.seq <= MOST_WHOLE:  # by hand, since every event has one
            head, tail = f'{{"digest":"{self.digest.hex()}","id":{quoted(self.id)},', quoted(self.stored)
            return f'{head}"seq":{self.seq},"stored":{tail}}}'.encode()
        return canonical({"seq": self.seq, "id": self.id, "stored": self.stored, "digest": self.digest.hex()})


def linked(mac: Mac, head: bytes, entry: bytes) -> bytes:
    """The head after one more entry (canonical bytes)."""
    return mac(head + entry)


@frozen
class ChainKey:
    """The station's key. Its fingerprint stands in the record: another key is told from an altered record."""

    secret: bytes

    def mac(self, data: bytes) -> bytes:
        """HMAC-SHA-256 (RFC 2104)."""
        return hmac.digest(self.secret, data, "sha256")

    def sealed(self, value: object) -> bytes:
        """The MAC of a value's canonical bytes. Raises JournalTrouble where somebody made it one without."""
        try:
            return self.mac(canonical(value))
        except ValueError as error:
            raise JournalTrouble(
                f"The record's list of runs holds what was never written there ({error}). Nothing was kept. "
                "See `sinkside record verify`, and go on with a copy from a backup."
            ) from error

    def fits(self, value: object, mac: bytes) -> bool:
        """Whether `mac` is the seal of a value; one without canonical bytes has none."""
        try:
            return hmac.compare_digest(self.sealed(value), mac)
        except JournalTrouble:
            return False

    @property
    def fingerprint(self) -> str:
        """Tells keys apart and gives nothing of the key away."""
        return self.mac(b"sinkside key")[:8].hex()

    def start_of(self, run: str) -> bytes:
        """The head of a run before its first event: bound to the run, so that no run passes for another."""
        return self.sealed({"run": run})


def key_path(record: Path) -> Path:
    """Where the key of a record lies."""
    return record.with_name(record.name + ".key")


def read_key(record: Path) -> ChainKey | None:
    """The key beside the record; None where there is none. Raises JournalTrouble where it cannot be read."""
    return _key_in(key_path(record))


def key_in(path: Path) -> ChainKey:
    """The key in a file, wherever it lies. Raises JournalTrouble where there is none."""
    key = _key_in(path)
    if key is None:
        raise JournalTrouble(f"There is no key {path}. A station's key is called as its record, with .key.")
    return key


def _key_in(path: Path) -> ChainKey | None:
    try:
        secret = bytes.fromhex(path.read_text("ascii").strip())
    except FileNotFoundError:
        return None
    except OSError as error:
        raise JournalTrouble(
            f"The key of the record, {path}, cannot be read: {error.strerror}. "
            "Give this account the right to read it."
        ) from error
    except ValueError as error:  # no hexadecimal text, or no text at all
        raise JournalTrouble(_no_key(path, "is not a key")) from error
    if len(secret) != _KEY_BYTES:
        raise JournalTrouble(_no_key(path, "is not a whole key"))
    return ChainKey(secret)


def make_key(record: Path) -> ChainKey:
    """Make the key's file (0600). It is there whole or not at all. Raises OSError."""
    secret = os.urandom(_KEY_BYTES)
    path = key_path(record)
    draft = path.with_name(f"{path.name}.{os.urandom(4).hex()}")
    with os.fdopen(
        os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w", encoding="ascii"
    ) as file:
        file.write(secret.hex() + "\n")
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)
    return ChainKey(secret)


def key_for(record: Path, fingerprint: str) -> ChainKey:
    """The key that the record was begun with. Raises JournalTrouble where it is gone or another one."""
    key = read_key(record)
    if key is None:
        raise JournalTrouble(_no_key(key_path(record), "is missing"))
    if key.fingerprint != fingerprint:
        raise JournalTrouble(_no_key(key_path(record), "belongs to another record"))
    return key


def _no_key(path: Path, wrong: str) -> str:
    return (
        f"The record's key {path} {wrong}, so nothing can be added to the record. Put the right key "
        "back from a backup, or begin a new record with --record; "
        "`sinkside record verify` still looks at the old one."
    )
