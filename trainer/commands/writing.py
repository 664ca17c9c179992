"""Files that commands write: whole or not at all, and never over one that is there."""

from __future__ import annotations

import os
import secrets
from pathlib import Path
from typing import NoReturn

import click

from trainer.commands.saying import end
from trainer.procedure.text import one_line


def put(text: str, out: Path | None) -> None:
    """Print `text`, or write it to a new file and say so on stderr."""
    if out is None:
        click.echo(text, nl=False)
        return
    save(text, out)


def save(what: str | bytes, out: Path) -> None:
    """Write a new file and say so on stderr."""
    write_new(out, what)
    click.echo(f"Written: {one_line(str(out))}", err=True)


def write_new(path: Path, text: str | bytes) -> None:
    """Write a file that is not there yet. Nobody sees half of it; ends with a sentence where it cannot be.

    A name is taken by a hard link, which fails where it is there already; where the disk knows no links, by
    opening it for this alone.
    """
    half = path.parent / f".sinkside-{secrets.token_hex(8)}.part"
    try:
        file = half.open("xb")
    except (OSError, ValueError) as error:
        _cannot(path, error)
    try:
        with file:
            file.write(text.encode("utf-8") if isinstance(text, str) else text)
            file.flush()
            os.fsync(file.fileno())
        _take_name(half, path)
    except FileExistsError:
        end(f"{path} is there already and is left as it is. Give another name, or move the file away.")
    except (OSError, ValueError) as error:
        _cannot(path, error)
    finally:
        half.unlink(missing_ok=True)


def _take_name(half: Path, path: Path) -> None:
    try:
        path.hardlink_to(half)
    except FileExistsError:
        raise
    except OSError:  # no links on this disk
        with path.open("xb") as file:
            file.write(half.read_bytes())


def _cannot(path: Path, error: OSError | ValueError) -> NoReturn:
    reason = error.strerror if isinstance(error, OSError) else "that is no name of a file"
    said = reason or "the system gives no reason"
    end(f"{path} cannot be written: {said}. Name a folder that is there and may be written to.")
