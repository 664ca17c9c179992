"""The key that an office makes opaque names of people with, since stations' own keys never leave them.

It lies beside the credential that the shared record is read with, and is made at first use: 32 random bytes,
for this account alone. The same key gives the same names; another office's key gives others.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import stat
from pathlib import Path

from trainer import places
from trainer.record.chain import ChainKey, key_in, key_path
from trainer.record.shared.address import SharedAddress
from trainer.record.shared.troubles import SharedTrouble


def office_key_path(address: SharedAddress) -> Path:
    """Where the key lies: beside the credential's file; of an address alone, in the data folder."""
    credential = Path(address.source)
    if credential.suffix == ".conf" and credential.is_file():
        return key_path(credential)
    which = hashlib.sha256(address.shown.encode("utf-8", "replace")).hexdigest()[:8]
    return key_path(places.data_home().path / f"shared-{which}")


def office_key(address: SharedAddress) -> tuple[ChainKey, bool]:
    """The key, and whether it was made just now. Raises Trouble, also where others can read it."""
    path = office_key_path(address)
    made = not path.exists()
    if made:
        _make(path)
    if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077:
        raise SharedTrouble(
            f"Others on this machine can read {path}, with which opaque names of people are made: whoever "
            "has it can find out who is who. Say `chmod 600` to it."
        )
    return key_in(path), made


def _make(path: Path) -> None:
    """A new file, whole or not at all; where somebody made one at the same moment, that one stays."""
    draft = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        try:
            handle = os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            with os.fdopen(handle, "w", encoding="ascii") as file:
                file.write(secrets.token_hex(32) + "\n")
                file.flush()
                os.fsync(file.fileno())
            _take_name(draft, path)
        finally:
            draft.unlink(missing_ok=True)
    except OSError as error:
        raise SharedTrouble(
            f"The key {path} cannot be made: {error.strerror}. Opaque names of people are made with it: let "
            "this account write there, or put the key that you had there back."
        ) from None


def _take_name(draft: Path, path: Path) -> None:
    """A link fails where the name is taken; where the disk knows no links, it is looked for first."""
    try:
        path.hardlink_to(draft)
    except FileExistsError:
        return
    except OSError:
        if not path.exists():
            draft.replace(path)
