"""`sinkside faults`: fault practice, and the catalogue of faults."""

from __future__ import annotations

from pathlib import Path

import click

from trainer.commands.saying import sentences

_SEEDS = click.IntRange(0, 2**32 - 1)


@click.command(short_help="Practise faults: look at a plate, name cause and remedy.")
@click.option("--trainee", help="The trainee's code, for instance T-01.")
@click.option(
    "--seed", type=_SEEDS, help="The same plates for a whole class: the same seed, the same plates."
)
@click.option("--plain", is_flag=True, help="Ask and answer in lines of text.")
@click.option("--list", "listed", is_flag=True, help="Print the catalogue of faults instead.")
@click.option("--json", "as_json", is_flag=True, help="The catalogue, for a program to read.")
@click.option(
    "--record",
    "record",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The record, a file (else SINKSIDE_RECORD, else record.db in the data folder).",
)
@click.pass_obj
def faults(
    group_record: Path | None,
    record: Path | None,
    trainee: str | None,
    seed: int | None,
    *,
    plain: bool,
    listed: bool,
    as_json: bool,
) -> None:
    """Show plates with hidden faults: one or two each, those that this trainee finds hardest first.

    Look at the whole plate, with a loupe, take measures one by one; then name cause and remedy.
    """
    if listed or as_json:
        from trainer.rehearsal.catalogue import as_json as written
        from trainer.rehearsal.catalogue import as_text

        click.echo(written() if as_json else as_text())
        return
    from trainer.screens.station import Station

    language = click.get_current_context().find_root().params.get("language")
    with sentences(), Station.open(record=record or group_record, language=language) as station:
        if plain:
            from trainer.screens.plain_faults import run_plain_faults

            code = run_plain_faults(station, trainee=trainee, seed=seed)
        else:
            from trainer.screens.app import run_faults

            code = run_faults(station, trainee=trainee, seed=seed)
    raise SystemExit(code)
