"""`sinkside record shared conflicts` and `settle`: what did not fit, and the keeper's word on it."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from itertools import zip_longest
from textwrap import wrap
from typing import TYPE_CHECKING, Literal

import click

from trainer.commands.naming import SCHOOL_OPTION, STATION_OPTION
from trainer.commands.saying import end
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.commands.shared import Desk
    from trainer.record.shared.settling import Dispute

_NARROW, _WIDE = 60, 160
_WHAT = 22
"""Letters of what a line is about, beside the two bodies."""
_KINDS: Mapping[str, str] = {
    "event": "another body under a known id",
    "place": "another event where one stands",
    "head": "another end of the run than was told before",
    "list": "a list of runs that went back",
    "key": "another key than before",
    "unfit": "what cannot be kept as an event",
}
_ERASED = "(erased with its person)"
_NOT_HERE = "(nothing)"
_SAME = '"'


@click.command("conflicts", short_help="List what came and did not fit.")
@SCHOOL_OPTION
@STATION_OPTION
@click.option("--all", "every", is_flag=True, help="Those that are settled too.")
@click.option("--json", "as_json", is_flag=True, help="For a program to read.")
@click.pass_obj
def conflicts(
    desk: Desk, schools: tuple[str, ...], stations: tuple[str, ...], *, every: bool, as_json: bool
) -> None:
    """List the conflicts that nobody has settled: where and when, both digests, both bodies side by side.

    Each begins with what it is called by. See `sinkside guide shared`, Conflicts.
    """
    from trainer.record.shared.settling import seen

    with desk.open() as (connection, _):
        found = seen(connection, tuple(map(one_line, schools)), tuple(map(one_line, stations)), settled=every)
    if as_json:
        click.echo(json.dumps([asdict(one) for one in found], indent=2))
        return
    width = min(_WIDE, max(_NARROW, shutil.get_terminal_size().columns))
    for one in found:
        for line in told(one, width):
            click.echo(line)
        click.echo("")
    if not found:
        click.echo("There is no conflict." if every else "No conflict is open.")


def told(one: Dispute, width: int) -> Iterator[str]:
    """A conflict in lines of text; whatever is in it is text."""
    where = f", run {one.run}" if one.run else ""
    which = f", event {one.seq}" if one.kind in ("event", "place", "unfit") else ""
    yield one_line(f"{one.name}  {one.place.words}{where}{which}")
    came = f"  {_KINDS.get(one.kind, one.kind)}; came {one.found_at}"
    yield (
        one_line(came)
        if not one.id or one.kind in ("event", "place", "head")
        else one_line(f"{came}: {one.id}")
    )
    if one.stands:
        side = "what was here first" if one.stands == "here" else "what the station told later"
        yield one_line(f"  settled {one.at} by {one.by}: {side} stands, since: {one.why}")
    if not one.fits:
        yield "  what came does not fit its own digest, or is not the event it came as: it cannot stand"
    rows = [("digest", one.kept_digest or _NOT_HERE, one.digest or _NOT_HERE)]
    if one.kind in ("event", "place", "unfit"):
        rows += beside(one.kept, one.came)
    yield from _columns([("", "here first", "from the station later"), *rows], width)


def beside(kept: str | None, came: str | None) -> list[tuple[str, str, str]]:
    """Two bodies part by part: what it is, as it is here, as it came; alike parts stand once."""
    left, right = parts(kept), parts(came)
    names = list(dict.fromkeys([*left, *right]))
    return [(name, left.get(name, _NOT_HERE), right.get(name, _NOT_HERE)) for name in names]


def parts(body: str | None) -> dict[str, str]:
    """The parts of an event's kept text, each with where it stands in it; one where it cannot be read."""
    if body is None:
        return {"body": _ERASED}
    try:
        found = json.loads(body)
        return dict(_flat(found, "")) if isinstance(found, dict) else {"text": one_line(body)}
    except (ValueError, RecursionError):
        return {"text": one_line(body)}


def _flat(value: object, name: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict) and value:
        for key, inside in value.items():
            yield from _flat(inside, f"{name}.{key}" if name else str(key))
    else:
        text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
        yield one_line(name), one_line(text)


def _columns(rows: list[tuple[str, str, str]], width: int) -> Iterator[str]:
    """Three columns, long cells wrapped; a row that differs has a mark of its own."""
    side = max(12, (width - _WHAT - 6) // 2)
    widths = (_WHAT, side, side)
    for number, (name, left, right) in enumerate(rows):
        differs = number > 0 and left != right
        cells = (name, left, _SAME if number and not differs else right)
        wrapped = [wrap(cell, wide) or [""] for cell, wide in zip(cells, widths, strict=True)]
        for line, (one, two, three) in enumerate(zip_longest(*wrapped, fillvalue="")):
            mark = "!" if differs and not line else " "
            yield f"  {mark} {one:{_WHAT}} {two:{side}} {three}".rstrip()


@click.command("settle", short_help="Say which of two stands, and end a conflict.")
@click.argument("names", nargs=-1, metavar="CONFLICT...")
@click.option("--keep", type=click.Choice(["here", "station"]), help="Which stands; has to be given.")
@click.option("--why", help="Why, in a sentence: it is kept with the conflict. Has to be given.")
@click.option("--run", "whole", is_flag=True, help="All open conflicts of the same run with it.")
@click.option(
    "--again",
    is_flag=True,
    help="Make the tables for reading say again what was settled; alone, at any time.",
)
@click.pass_obj
def settle(
    desk: Desk,
    names: tuple[str, ...],
    keep: Literal["here", "station"] | None,
    why: str | None,
    *,
    whole: bool,
    again: bool,
) -> None:
    """End a CONFLICT, called as `conflicts` lists it: what was here first stands, or what the station told.

    Both bodies are kept for ever, and who settled it, when and why. Said again, the last word counts.
    """
    from trainer.record.shared import settling, stations

    if again == bool(names) or (names and (keep is None or not why)):
        end(
            "Say which, what stands, and why: CONFLICT --keep here|station --why '...'. Or --again alone.",
            2,
        )
    with desk.open() as (connection, _):
        if keep is None or why is None:
            runs = settling.settle_again(connection, stations.places(connection))
            click.echo(one_line(f"The tables for reading of {len(runs)} runs say what was settled."))
            return
        known = settling.seen(connection, settled=True)
        chosen = [settling.called(known, name) for name in names]
        if whole:
            chosen += [other for one in chosen for other in settling.of_run(known, one)]
        chosen = list(dict.fromkeys(chosen))
        settling.settle(connection, chosen, keep, why)
    for one in chosen:
        side = "what was here first stands" if keep == "here" else "what the station told later stands"
        before = f" It was settled before, {one.at}; that word is kept." if one.stands else ""
        click.echo(one_line(f"{one.name} is settled: {side}.{before}"))
