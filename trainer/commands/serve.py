"""`sinkside serve`: the app in a browser, for tablets at the sink."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands.saying import sentences
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.serving.server import Serving

LOOPBACK = "127.0.0.1"
_HOST = re.compile(r"[A-Za-z0-9:][A-Za-z0-9.:-]{0,252}")


def _public(_context: click.Context, _option: click.Parameter, given: str | None) -> str:
    """An address as browsers write it, or a complaint."""
    from urllib.parse import urlsplit

    try:
        parts = urlsplit(given or "")
        fits = parts.scheme in ("http", "https") and parts.hostname and parts.path in ("", "/")
        fits = fits and not (parts.query or parts.fragment or "@" in parts.netloc) and parts.port != 0
    except ValueError:
        fits = False
    if given and not fits:
        raise click.BadParameter(
            f"{one_line(given)!r} is not an address such as https://sink.school.example."
        )
    return given or ""


def _host(
    _context: click.Context, _option: click.Parameter, given: str | tuple[str, ...]
) -> str | tuple[str, ...]:
    """Names or addresses of machines, or a complaint."""
    for one in (given,) if isinstance(given, str) else given:
        if not _HOST.fullmatch(one):
            raise click.BadParameter(f"{one_line(one)!r} is no name or address of a machine.")
    return given


@click.command("serve", short_help="The app in a browser, for tablets at the sink.")
@click.option(
    "--listen",
    default=LOOPBACK,
    callback=_host,
    metavar="ADDRESS",
    help="An address of this machine (else this machine only).",
)
@click.option("--port", default=8000, type=click.IntRange(1, 65535), show_default=True, help="The port.")
@click.option(
    "--screens", default=12, type=click.IntRange(1, 200), show_default=True, help="So many at once."
)
@click.option(
    "--name",
    "names",
    multiple=True,
    callback=_host,
    metavar="HOST",
    help="A name browsers may use; again for more.",
)
@click.option(
    "--public",
    default=None,
    callback=_public,
    metavar="ADDRESS",
    help="What browsers use, where a proxy stands in front.",
)
@click.option(
    "--token-file", type=click.Path(dir_okay=False, path_type=Path), help="Keep the token in this file."
)
@click.option(
    "--record",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The record, a file (else SINKSIDE_RECORD, else record.db in the data folder).",
)
@click.pass_context
def serve(
    context: click.Context,
    listen: str,
    port: int,
    screens: int,
    names: tuple[str, ...],
    public: str,
    token_file: Path | None,
    record: Path | None,
) -> None:
    """Serve the app to browsers. Each browser has a screen of its own, and so works as a trainee of its own.

    Only browsers on this machine reach it, unless --listen says otherwise; then a token is asked for. It is
    plain HTTP: see `sinkside guide serving` before you serve a network. Ends with Ctrl+C.
    """
    import asyncio
    import socket

    from trainer.record.journal import StationJournal
    from trainer.run.clock import SystemClock
    from trainer.serving import server
    from trainer.serving.gate import Gate, is_loopback
    from trainer.serving.told import keep_faults

    path = places.record_path(record or context.obj).path
    language = places.language(context.find_root().params.get("language"))
    open_to_others = not is_loopback(listen) or bool(public)
    with sentences():
        StationJournal(path, SystemClock()).close()  # what is wrong with it is said here, and not to a class
        token, beside = _token(token_file, wanted=open_to_others)
        own_name = socket.gethostname()
        hosts = server.names_of(listen, port, names, public, own_name)
        serving = server.Serving(Gate(hosts, token, _seconds), path, language, screens, _tell)
        keep_faults()
        try:
            asyncio.run(
                server.run(
                    serving,
                    listen,
                    port,
                    lambda: _say_where(serving, server.address_of(hosts, listen, own_name), beside),
                )
            )
        finally:
            if beside is not None and token_file is None:
                beside.unlink(missing_ok=True)


def _seconds() -> float:
    import time

    return time.monotonic()


def _token(kept: Path | None, *, wanted: bool) -> tuple[str, Path | None]:
    """The token, and the file it is in, where it is in one. Raises Trouble."""
    from trainer.serving.gate import new_token
    from trainer.serving.token_file import kept_token, leave_token

    if kept is not None:
        return kept_token(kept.expanduser()), kept.expanduser()
    if not wanted:
        return "", None
    token = new_token()
    if sys.stdout.isatty():
        return token, None
    path = places.data_home().path / "serve.token"  # what is no terminal may be a log
    leave_token(path, token)
    return token, path


def _say_where(serving: Serving, address: str, beside: Path | None) -> None:
    """Where to point a browser; the token once, and on a terminal only."""
    token = serving.gate.token
    if token and beside is None:
        click.echo(f"Open {address}/#{token}")
        click.echo("Whoever has this address can work here. It is not shown again.")
    elif token:
        click.echo(f"Open {address}/ and type the token, which is in {one_line(str(beside))}.")
    else:
        click.echo(f"Open {address}/ on this machine.")
    if serving.gate.hosts.numbers and not serving.gate.hosts.public:
        _tell(
            "This is plain HTTP: whoever can listen on the network reads along. See `sinkside guide serving`."
        )


def _tell(line: str) -> None:
    click.echo(f"sinkside: {one_line(line)}", err=True)
