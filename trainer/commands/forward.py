"""`sinkside record forward`: what waits at this station, sent to the shared record."""

from __future__ import annotations

import json
import signal
import threading
from dataclasses import asdict
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands.saying import UNREADABLE, end, sentences
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.record.shared.forwarder import Contact, Forwarder
    from trainer.run.ports import Trouble


@click.command("forward", short_help="Send what waits to the shared record.")
@click.option("--watch", "watching", is_flag=True, help="Go on until the program is ended.")
@click.option("--json", "as_json", is_flag=True, help="For a program to read; a line for each contact.")
@click.pass_obj
def forward(given: Path | None, *, watching: bool, as_json: bool) -> None:
    """Send what waits at this station to the shared record, and carry out what its keeper asks to erase.

    The address comes from SINKSIDE_SHARED, or from shared.conf beside the record. An open app does the same
    by itself. Ends with 0: all is sent. 1: it could not be. 2: no shared record is named.
    """
    from trainer.record.shared.address import find_address
    from trainer.record.shared.forwarder import Forwarder
    from trainer.run.clock import SystemClock

    path = places.record_path(given).path
    with sentences():
        address = find_address(path)
        if address is None:
            end("No shared record is named: set SINKSIDE_SHARED, or put shared.conf beside it.", UNREADABLE)
        for warning in address.warnings:
            click.echo(one_line(warning), err=True)
        forwarder = Forwarder(path, address, SystemClock())
        if watching:
            _watch(path, forwarder, address.shown, as_json=as_json)
        else:
            _tell(path, forwarder.contact(), address.shown, as_json=as_json)


def _watch(path: Path, forwarder: Forwarder, shown: str, *, as_json: bool) -> None:
    """Forward until a signal asks the program to end."""
    from trainer.record.shared.watching import watch

    ended = threading.Event()

    def ending(_: int, __: FrameType | None) -> None:
        ended.set()
        forwarder.stop()

    def told(came: Contact | Trouble) -> None:
        if not isinstance(came, Exception):
            _tell(path, came, shown, as_json=as_json)
        elif as_json:
            click.echo(json.dumps({"trouble": str(came)}))
        else:
            click.echo(f"{came} It is tried again.", err=True)

    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, ending)
    watch(path, forwarder, ended.wait, told=told)


def _tell(path: Path, contact: Contact, shown: str, *, as_json: bool) -> None:
    """What a contact came to."""
    from trainer.record.shared import state

    now = state.read(path)
    waiting = 0 if now is None else now.waiting
    if as_json:
        click.echo(json.dumps({**asdict(contact), "waiting": waiting, "site": now.site if now else ""}))
        return
    sent = "Nothing was waiting" if not contact.new else f"Sent {contact.new} events"
    click.echo(f"{sent}: {shown} has all of this station's." if not waiting else f"{sent}; {waiting} wait.")
    if contact.erased:
        click.echo(f"The record keeper asked to erase somebody: {contact.erased} events are erased here.")
    if contact.waits:
        click.echo(f"Somebody is to be erased, and that must wait: {one_line(contact.waits)}", err=True)
    if contact.conflicts:
        click.echo(
            f"{contact.conflicts} events do not fit what the shared record has of this station. It was left "
            "as it is. Both are kept there, for its keeper to look at: see `sinkside guide forwarding`.",
            err=True,
        )
