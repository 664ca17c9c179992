"""Where the shared record is and with which credential, read without a secret ever being shown.

An address is a PostgreSQL connection URI. It comes from SINKSIDE_SHARED, or from the file `shared.conf`
beside the station's record; the password from that file, or from libpq's own password file (PGPASSFILE). A
password in the variable or on the command line is taken, and warned about.
"""

from __future__ import annotations

import ipaddress
import os
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final
from urllib.parse import quote, urlencode

from trainer import places
from trainer.procedure.text import one_line
from trainer.record.shared.troubles import SharedTrouble

VARIABLE: Final = "SINKSIDE_SHARED"
SCHEMES = ("postgresql://", "postgres://")
FILE_NAME: Final = "shared.conf"
_WEAK = {"disable", "allow", "prefer", "require", "verify-ca"}
"""Modes of TLS in which the other end is not, or not for sure, the server named (libpq, section 34.19)."""


@dataclass(frozen=True, slots=True)
class SharedAddress:
    """Where to connect, and as whom. It can be shown, logged, or stand in a traceback: no secret shows.

    settings: libpq's parameters without the password. warnings: sentences about how it was given.
    """

    settings: Mapping[str, str]
    source: str
    warnings: tuple[str, ...] = ()
    password: str | None = field(default=None, repr=False)

    @property
    def shown(self) -> str:
        """Host, port and database, for people."""
        host = self.settings.get("host") or self.settings.get("hostaddr") or "this machine"
        port = self.settings.get("port")
        base = self.settings.get("dbname", "")
        return one_line(f"{host}{':' + port if port else ''}{'/' + base if base else ''}")

    @property
    def user(self) -> str:
        """The role it logs in as; empty where libpq is to find one."""
        return self.settings.get("user", "")


def is_address(text: str) -> bool:
    """Whether what was given where a record is named is an address and not a file."""
    return text.startswith(SCHEMES)


def conf_path(record: Path) -> Path:
    """Where a station's credential lies: beside its record."""
    return record.with_name(FILE_NAME)


def find_address(record: Path | None = None) -> SharedAddress | None:
    """The shared record of this station: SINKSIDE_SHARED, else `shared.conf` beside the record; or None.

    Raises SharedTrouble where either cannot be used.
    """
    kept = _read_conf(conf_path(record)) if record is not None else {}
    if given := places.shared_address():
        return parse_address(given, source=VARIABLE, password=kept.get("password"))
    if "address" in kept and record is not None:
        return parse_address(
            kept["address"], source=str(conf_path(record)), password=kept.get("password"), secret_place=True
        )
    return None


def read_credential(path: Path) -> SharedAddress:
    """The address and password in a file as `write_credential` makes it. Raises SharedTrouble."""
    kept = _read_conf(path)
    if "address" not in kept:
        raise SharedTrouble(
            f"There is no credential {path}: a file with a line `address = postgresql://...`."
        )
    return parse_address(kept["address"], source=str(path), password=kept.get("password"), secret_place=True)


def parse_address(
    text: str, *, source: str, password: str | None = None, secret_place: bool = False
) -> SharedAddress:
    """Read an address. password: from elsewhere, used where the address has none.

    secret_place: it stands where a password may stand. Raises SharedTrouble, which never quotes the address.
    """
    if not is_address(text):
        raise SharedTrouble(
            f"{source} is not the address of a shared record. It is written "
            "postgresql://USER@HOST:5432/DATABASE."
        )
    settings = _settings(text, source)
    own = settings.pop("password", None)
    warnings = [] if own is None or secret_place else [_SEEN_BY_OTHERS.format(source=source)]
    _secure(settings, warnings)
    return SharedAddress(settings, source, tuple(warnings), own if own is not None else password)


_SEEN_BY_OTHERS = (
    "The password stands in {source}, where others on this machine may see it. Put it into shared.conf "
    "beside the record (0600), or into libpq's password file, and take it out of there."
)


def _settings(text: str, source: str) -> dict[str, str]:
    from psycopg import ProgrammingError
    from psycopg.conninfo import conninfo_to_dict

    try:
        found = conninfo_to_dict(text)
    except (ProgrammingError, UnicodeError):
        # libpq's message would quote a part of the address, and that part may be the password.
        found = None
    if found is None or "\x00" in text:
        raise SharedTrouble(
            f"The address in {source} cannot be read. Signs such as @ : / ? # % and blanks in a user or "
            "password are written as %40 and so on (percent-encoding). The address is not shown here, "
            "since a password may be in it."
        )
    return {key: str(value) for key, value in found.items() if value is not None}


def _secure(settings: dict[str, str], warnings: list[str]) -> None:
    """Another machine is spoken to encrypted, and only if it proves to be the one named."""
    if is_local(settings):
        return
    mode = settings.get("sslmode")
    if mode is None:
        settings["sslmode"] = "verify-full"
        settings.setdefault("sslrootcert", "system")
    elif mode in _WEAK:
        warnings.append(
            f"The connection to {one_line(settings.get('host', '?'))} uses sslmode={one_line(mode)}: "
            "somebody on the way could pass for the server. Take the mode out of the address, or say "
            "sslmode=verify-full."
        )


def is_local(settings: Mapping[str, str]) -> bool:
    """Whether the server is this machine: a socket, or a loopback address."""
    hosts = (settings.get("hostaddr") or settings.get("host") or "").split(",")
    return all(_is_loopback(host) for host in hosts)


def _is_loopback(host: str) -> bool:
    if host in {"", "localhost"} or host.startswith(("/", "@")):
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _read_conf(path: Path) -> dict[str, str]:
    """Lines `name = value` of a station's credential; empty where there is no file."""
    try:
        with path.open(encoding="utf-8") as file:
            mode = os.fstat(file.fileno()).st_mode
            text = file.read()
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is no text"
        raise SharedTrouble(f"The file {path} cannot be read: {why}.") from None
    if os.name == "posix" and stat.S_IMODE(mode) & 0o077:
        raise SharedTrouble(
            f"Others on this machine can read {path}, which holds a password. Say `chmod 600` to it; and ask "
            "the record keeper for a new credential if others may have read it."
        )
    found: dict[str, str] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        name, equals, value = line.partition("=")
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if not equals or name.strip() not in {"address", "password"}:
            raise SharedTrouble(f"Line {number} of {path} is neither `address = ...` nor `password = ...`.")
        found[name.strip()] = value.strip()
    return found


def address_for(address: SharedAddress, role: str) -> str:
    """The address of the same database for another login, without a password."""
    settings = dict(address.settings)
    base = quote(settings.pop("dbname", ""), safe="")
    settings.pop("user", None)
    host, port = settings.pop("host", ""), settings.pop("port", "")
    if (
        host.startswith(("/", "@")) or "," in host
    ):  # a socket, or several: no place for it before the database
        settings |= {"host": host} | ({"port": port} if port else {})
        host = port = ""
    host = f"[{host}]" if ":" in host else host
    rest = f"?{urlencode(settings, quote_via=quote)}" if settings else ""
    return f"postgresql://{quote(role, safe='')}@{host}{':' + port if port else ''}/{base}{rest}"


def write_credential(path: Path, address: str, password: str, words: str) -> None:
    """Write a credential to carry to where it is used: a new file, 0600. Raises SharedTrouble."""
    text = f"# {one_line(words)}\naddress = {address}\npassword = {password}\n"
    try:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
    except FileExistsError:
        raise SharedTrouble(f"{path} is there already and is left as it is. Name another file.") from None
    except OSError as error:
        raise SharedTrouble(f"{path} cannot be written: {error.strerror}.") from None
