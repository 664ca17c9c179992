"""`sinkside record shared`: the record of many stations, looked after by its keeper."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import UUID

import click

from trainer import places
from trainer.commands.naming import SCHOOL_OPTION, STATION_OPTION
from trainer.commands.saying import end, sentences
from trainer.commands.settling import conflicts, settle
from trainer.procedure.text import one_line
from trainer.run.clock import wall_words

if TYPE_CHECKING:
    from trainer.record.shared.address import SharedAddress
    from trainer.record.shared.connecting import Connection
    from trainer.record.shared.erasing import ErasedHere
    from trainer.record.shared.stations import StationState

_INTO = click.option(
    "--into",
    type=click.Path(dir_okay=False, path_type=Path),
    help="A new file for the credential, readable by this account alone.",
)
_SCHOOL = click.option("--school", required=True, help="The school's name.")
_STATION = click.option("--station", required=True, help="The station's name, for instance 'sink 2'.")


@dataclass(frozen=True, slots=True)
class Desk:
    """Which record and which credential the commands are to use."""

    record: Path | None
    credential: Path | None

    def address(self) -> SharedAddress:
        """Where the shared record is; ends with a sentence where nobody said."""
        from trainer.record.shared.address import find_address, read_credential

        if self.credential is not None:
            found: SharedAddress | None = read_credential(self.credential.expanduser())
        else:
            found = find_address(places.record_path(self.record).path)
        if found is None:
            end("No shared record is named. Say --credential FILE, or set SINKSIDE_SHARED.")
        for warning in found.warnings:
            click.echo(f"sinkside: {one_line(warning)}", err=True)
        return found

    @contextmanager
    def open(self, *, check: bool = True) -> Iterator[tuple[Connection, SharedAddress]]:
        """A connection for a while; what can go wrong is a sentence."""
        from trainer.record.shared.connecting import connected

        with sentences():
            address = self.address()
            with connected(address, check=check) as connection:
                yield connection, address


@click.group("shared", short_help="Look after the record of many stations.")
@click.option(
    "--credential",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The file with address and password (else SINKSIDE_SHARED, or shared.conf beside the record).",
)
@click.pass_context
def shared(context: click.Context, credential: Path | None) -> None:
    """Look after the record of many stations, in PostgreSQL. For its keeper; see `sinkside guide shared`."""
    context.obj = Desk(context.obj, credential)


def _say(words: str) -> None:
    click.echo(one_line(words))


def _hand_out(address: SharedAddress, role: str, password: str, into: Path, words: str) -> None:
    """Write a credential. Where that fails, the same command with `--again`, or again, gives another."""
    from trainer.record.shared.address import address_for, write_credential

    write_credential(into, address_for(address, role), password, words)
    _say(f"The credential is in {into} and nowhere else. Carry it to where it is used, and leave no copy.")


def _free(into: Path | None, name: str) -> Path:
    """The file a credential goes into; ends where it is there already, before a password is made."""
    path = (into or Path(f"{name}.conf")).expanduser()
    if path.exists():
        end(f"{path} is there already and is left as it is. Name another file with --into.")
    if not path.parent.is_dir():
        end(f"There is no folder {path.parent}. Make it, or name another file with --into.")
    return path


def _counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def _file_name(*words: str) -> str:
    """A plain name for a file; no text from a person becomes a path."""
    plain = "-".join("".join(one if one.isalnum() else "-" for one in word.lower()) for word in words)
    return "-".join(part for part in plain.split("-") if part)[:80]


def _today() -> str:
    from trainer.run.clock import SystemClock

    return SystemClock().now().at[:10]


@shared.command("setup", short_help="Make a database ready, or bring it up to date.")
@click.option("--keeper", metavar="NAME", help="Make a login for a record keeper too, or renew it.")
@_INTO
@click.pass_obj
def setup_(desk: Desk, keeper: str | None, into: Path | None) -> None:
    """Make groups, tables, rules and months ahead. Doing it again changes nothing that is there.

    With the credential of whoever owns the database and may make roles; no other command wants that one.
    """
    from datetime import date

    from trainer.record.shared.setup import add_keeper, older_keeper, setup

    path = _free(into, _file_name("keeper", keeper)) if keeper else None
    with desk.open(check=False) as (connection, address):
        done = setup(connection, address.shown, date.fromisoformat(_today()))
        _say(f"The database at {address.shown} is set up (schema {done.schema}).")
        if done.moved:
            _say(f"Moved into months of their own: {_counted(done.moved, 'event')}.")
        if keeper and path:
            role, password = add_keeper(connection, keeper)
            if older := older_keeper(connection, keeper):
                _say(_OLDER.format(role=older))
            _hand_out(address, role, password, path, f"Shared record, keeper {keeper}")


_OLDER = (
    "An earlier Sinkside made the login {role}, which is still let in with the credential that it has. Where "
    "no other database of this server uses it, take it away: ALTER ROLE {role} NOLOGIN."
)


@shared.command("months", short_help="Make the months ahead that events are kept by.")
@click.option("--ahead", type=click.IntRange(0, 120), default=14, show_default=True, help="How many.")
@click.pass_obj
def months(desk: Desk, ahead: int) -> None:
    """Make partitions from last month on, and move what came without one. Once a term is enough."""
    from datetime import date

    from trainer.record.shared.setup import make_months

    with desk.open() as (connection, _):
        moved = make_months(connection, date.fromisoformat(_today()), ahead)
    _say(f"Months are made {ahead} ahead. Moved into theirs: {_counted(moved, 'event')}.")


@shared.command("register", short_help="Give a station its credential.")
@_SCHOOL
@_STATION
@click.option("--again", is_flag=True, help="A new credential for a station that is registered.")
@click.option("--id", "site", type=click.UUID, help="The id it has from a shared record that was lost.")
@_INTO
@click.pass_obj
def register(
    desk: Desk, school: str, station: str, site: UUID | None, into: Path | None, *, again: bool
) -> None:
    """Register a station and write its credential into a file.

    The file goes beside the station's record, as shared.conf.
    """
    from trainer.record.shared import stations

    path = _free(into, _file_name(school, station))
    with desk.open() as (connection, address):
        if again:
            place, role, password = stations.renew(connection, school, station)
        else:
            known = None if site is None else str(site)
            place, role, password = stations.register(connection, school, station, known)
        _hand_out(address, role, password, path, f"Shared record, station {place.words}")
    _say(f"{place.words} is {'given a new credential' if again else 'registered'}: id {place.site}.")


@shared.command("retire", short_help="Let a station in no more.")
@_SCHOOL
@_STATION
@click.pass_obj
def retire(desk: Desk, school: str, station: str) -> None:
    """Take a station's credential away. What it sent stays; `register --again` lets it in anew."""
    from trainer.record.shared import stations

    with desk.open() as (connection, _):
        place = stations.retire(connection, school, station)
    _say(f"{place.words} is retired: it is not let in any more. What it sent stays.")


@shared.command("reviewer", short_help="Give a reviewer a credential for reading.")
@click.argument("name")
@click.option("--school", "schools", multiple=True, help="A school to be read; may be given again.")
@click.option("--remove", is_flag=True, help="Let this reviewer in no more.")
@_INTO
@click.pass_obj
def reviewer(desk: Desk, name: str, schools: tuple[str, ...], into: Path | None, *, remove: bool) -> None:
    """Let NAME read what is kept of some schools, and write its credential into a file.

    Given again, the schools and the password are replaced.
    """
    from trainer.record.shared import stations

    if remove == bool(schools):
        end("Say which schools with --school, or --remove.", 2)
    if remove:
        with desk.open() as (connection, _):
            stations.remove_reviewer(connection, name)
        _say(f"The reviewer {name} is not let in any more.")
        return
    path = _free(into, _file_name("reviewer", name))
    with desk.open() as (connection, address):
        role, password = stations.add_reviewer(connection, name, schools)
        _hand_out(address, role, password, path, f"Shared record, reviewer {name}")
    _say(f"The reviewer {name} may read: {', '.join(schools)}.")


@shared.command("stations", short_help="List the stations, and how each stands.")
@click.option("--json", "as_json", is_flag=True, help="For a program to read.")
@click.pass_obj
def stations_(desk: Desk, *, as_json: bool) -> None:
    """List the stations: last contact, runs and events here, and what wants looking at."""
    from trainer.record.shared.stations import states

    with desk.open() as (connection, _):
        found = states(connection)
    if as_json:
        click.echo(json.dumps([asdict(one) for one in found], indent=2))
        return
    for one in found:
        _say(_line(one))
    if not found:
        _say("No station is registered yet: `sinkside record shared register`.")


def _line(one: StationState) -> str:
    """A station in one line: where, when, how much, and what wants looking at."""
    seen = wall_words(one.seen_at) if one.seen_at else "never seen"
    parts = [f"{one.place.words:28} {seen:16} {one.runs:6} runs {one.events:8} events"]
    waiting = (
        (one.retired, "retired"),
        (one.invented, "invented"),
        (one.runs > one.here, f"{_counted(one.runs - one.here, 'run')} not here yet"),
        (one.behind, f"{_counted(one.behind, 'event')} missing: see verify"),
        (one.conflicts, f"{_counted(one.conflicts, 'conflict')}: see conflicts"),
        (one.to_erase, f"{_counted(one.to_erase, 'person', 'people')} to erase there"),
        (one.asked, f"{_counted(one.asked, 'event')} to erase here: erase --asked"),
        (one.wrong, f"{_counted(one.wrong, 'wrong try', 'wrong tries')} of PINs"),
        (one.told, one.told),
    )
    return "  ".join([*parts, "; ".join(words for holds, words in waiting if holds)]).rstrip()


@shared.command("erase", short_help="Take one person out, here and at the stations.")
@click.argument("code", required=False)
@click.option("--school", help="The school that the code is of.")
@click.option("--station", help="At this station only.")
@click.option("--asked", is_flag=True, help="What stations erased in their own records.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_obj
def erase(
    desk: Desk, code: str | None, school: str | None, station: str | None, *, asked: bool, yes: bool
) -> None:
    """Erase the person CODE of a school, for good: here at once, at each station when it is next in touch.

    With --asked: carry out here what stations have erased in their own records.
    """
    from trainer.record.shared import erasing

    if asked == bool(code and school) or (asked and (code or school or station)):
        end("Say whom: CODE --school SCHOOL. Or say --asked alone.", 2)
    if not yes:
        whom = "what the stations have erased" if asked else f"{code} of {school} and what {code} did"
        click.confirm(f"Erase {one_line(whom)}, for good?", abort=True, err=True)
    with desk.open() as (connection, _):
        if asked:
            done = erasing.erase_asked(connection)
        else:
            done = erasing.erase_person(connection, code or "", school or "", station)
    _tell_erased(done, asked=asked)


def _tell_erased(done: list[ErasedHere], *, asked: bool) -> None:
    for one in done:
        what = f"{_counted(one.events, 'event')} of {_counted(one.runs, 'run')}"
        _say(f"{one.place.words}: erased here: {what}.")
    if not done:
        _say("Nothing waits to be erased.")
    elif not asked:
        _say("The stations are asked to erase too; `stations` lists those that have not yet.")


@shared.command("verify", short_help="Say whether anything kept was altered or taken out.")
@SCHOOL_OPTION
@STATION_OPTION
@click.option(
    "--key",
    "keys",
    multiple=True,
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A station's key, to follow the links of its chains; may be given again.",
)
@click.option("--json", "as_json", is_flag=True, help="For a program to read.")
@click.pass_obj
def verify(
    desk: Desk, schools: tuple[str, ...], stations: tuple[str, ...], keys: tuple[Path, ...], *, as_json: bool
) -> None:
    """Look over what this credential sees; says which event of which station is missing or altered.

    Ends with 0: nothing found. 1: something found. For what that proves, see `sinkside guide trust`.
    """
    from trainer.record.chain import key_in
    from trainer.record.shared.verifying import verify as look

    with sentences():
        given = [key_in(path) for path in keys]
    with desk.open() as (connection, _):
        report = look(connection, tuple(map(one_line, schools)), tuple(map(one_line, stations)), given)
    click.echo(report.as_json() if as_json else report.as_text())
    raise SystemExit(0 if report.ok else 1)


shared.add_command(conflicts)
shared.add_command(settle)
