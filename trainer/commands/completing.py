"""What a shell offers after the Tab key, beyond commands and options: procedures, pages of the guide, files.

Nothing is read but names of files: a Tab has to answer while somebody types.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from trainer import places

if TYPE_CHECKING:
    import click
    from click.shell_completion import CompletionItem


def procedures(_context: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """The shipped procedures whose id begins so; files, where none does."""
    found = _named((path.stem for path in places.procedures_dir().glob("*.yaml")), begun)
    return found or files(_context, _param, begun)


def pages(_context: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """The pages of the guide."""
    return _named((path.stem for path in places.guide_dir().glob("*.md")), begun)


def files(_context: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Whatever lies there: the shell itself lists it."""
    from click.shell_completion import CompletionItem

    return [CompletionItem(begun, type="file")]


def _named(names: Iterable[str], begun: str) -> list[CompletionItem]:
    from click.shell_completion import CompletionItem

    return [CompletionItem(name) for name in sorted(names) if name.startswith(begun)]
