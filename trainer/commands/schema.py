"""`sinkside schema`: the shape of procedure files for editors."""

from __future__ import annotations

import click


@click.command(short_help="Print the JSON Schema of procedure files, for editors.")
def schema() -> None:
    """Print the JSON Schema (draft 2020-12) of procedure files; an editor completes and marks keys by it.

    `sinkside schema > procedure.schema.json`, and as the first line of a procedure beside it:
    `# yaml-language-server: $schema=procedure.schema.json`.
    """
    from trainer.procedure.schema import as_json  # 20 ms, and only where it is printed

    click.echo(as_json(), nl=False)
