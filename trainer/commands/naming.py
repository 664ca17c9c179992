"""The option `--record` where a record is only read: a file, or the address of the shared record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands.saying import end, warn
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.record.part import Part
    from trainer.record.shared.address import SharedAddress

_ADDRESS = ("postgresql://", "postgres://")
"""As `record.shared.address.SCHEMES`, which the start screen does without; a test compares."""
_CREDENTIAL = ".conf"
"""How the file of a reviewer's credential ends."""


class _RecordType(click.ParamType[str | Path]):
    """A path; or an address, which stays as it was written, since a path would lose a part of it."""

    name = "record"

    def convert(
        self, value: str | Path, param: click.Parameter | None, ctx: click.Context | None
    ) -> str | Path:
        """The path, or the address."""
        if isinstance(value, Path) or value.startswith(_ADDRESS):
            return value
        made: Path = click.Path(dir_okay=False, path_type=Path).convert(value, param, ctx)
        return made


READ_OPTION = click.option(
    "--record",
    "record",
    type=_RecordType(),
    metavar="FILE",
    help="The record, a file, or the shared one: postgresql://USER@HOST/DATABASE, or a credential's "
    "FILE.conf (else SINKSIDE_RECORD, else record.db in the data folder).",
)


SCHOOL_OPTION = click.option(
    "--school",
    "schools",
    multiple=True,
    metavar="NAME",
    help="Of the shared record: this school alone; again for more. A wrong name lists them.",
)
STATION_OPTION = click.option(
    "--station",
    "stations",
    multiple=True,
    metavar="NAME",
    help="This station alone; again for more. A wrong name lists them.",
)


def part_named(given: str | Path | None, schools: tuple[str, ...], stations: tuple[str, ...]) -> Part:
    """The part of the record that is to be read. Raises Trouble as `place_of`, and for a school of a file."""
    from trainer.record.part import NO_SCHOOLS, NoSuchPlace, Part

    found = place_of(given)
    if schools and isinstance(found, Path):
        raise NoSuchPlace(NO_SCHOOLS)
    return Part(found, tuple(map(one_line, schools)), tuple(map(one_line, stations)))


def file_only(given: str | Path | None) -> Path | None:
    """What was named where only a station's own record will do; ends with a sentence for an address."""
    if isinstance(given, str):
        end(
            "The shared record is for `review`, `report`, `export` and `record verify`. Name the station's "
            "own file here; `sinkside record shared` looks after the shared one.",
            2,
        )
    return given


def place_of(given: str | Path | None) -> Path | SharedAddress:
    """Where the record is that is to be read. Raises SharedTrouble for what is no address or credential.

    The password of an address comes from libpq's password file, or from the credential. Warnings: on stderr.
    """
    named, source = given, "--record"
    if named is None and places.record_named().startswith(_ADDRESS):
        named, source = places.record_named(), "SINKSIDE_RECORD"
    elif named is None and places.record_named().endswith(_CREDENTIAL):
        named = Path(places.record_named())
    if named is None or (isinstance(named, Path) and named.suffix != _CREDENTIAL):
        return places.record_path(named).path
    from trainer.record.shared.address import parse_address, read_credential

    if isinstance(named, Path):
        address = read_credential(named.expanduser())
    else:
        address = parse_address(named, source=source)
    for warning in address.warnings:
        warn(warning)
    return address
