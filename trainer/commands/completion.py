"""`sinkside completion`: what a shell reads to complete the commands."""

from __future__ import annotations

from typing import Literal

import click

_SHELLS = ("bash", "zsh", "fish")
PROGRAM, VARIABLE = "sinkside", "_SINKSIDE_COMPLETE"


@click.command("completion", short_help="Write what a shell reads to complete the commands.")
@click.argument("shell", type=click.Choice(_SHELLS))
@click.pass_context
def completion(context: click.Context, shell: Literal["bash", "zsh", "fish"]) -> None:
    """Write the script that completes commands and options of sinkside in SHELL.

    bash: eval "$(sinkside completion bash)" in ~/.bashrc. zsh: the same with zsh in ~/.zshrc. fish: a file in
    ~/.config/fish/completions. See `sinkside guide installing`.
    """
    from click.shell_completion import get_completion_class

    kind = get_completion_class(shell)
    assert kind is not None  # noqa: S101 - one of the three that the library has
    script = kind(context.find_root().command, {}, PROGRAM, VARIABLE).source()
    # For fish the library cuts at every comma, and so a description, or a file's name, at its first.
    click.echo(script.replace('string split ","', 'string split -m 1 ","'))
