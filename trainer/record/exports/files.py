"""Files of an export: whole or not at all, for this account only, over others only where that is said."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterable, Mapping
from pathlib import Path

from trainer.run.ports import Trouble

_FULL = (errno.ENOSPC, errno.EDQUOT)


def write_all(files: Mapping[Path, Iterable[bytes]], *, force: bool) -> None:
    """Write files, given in parts: all are on the disk before the first gets its name.

    force: over files that are there. Raises Trouble with a sentence; what was there then stays as it was.
    """
    if not force:
        _refuse_there(files)
    halves: dict[Path, Path] = {}
    try:
        for path, parts in files.items():
            halves[path] = _half(path, parts)
        for path, half in halves.items():
            _take_name(half, path, force=force)
    finally:
        for half in halves.values():
            half.unlink(missing_ok=True)


def make_folder(folder: Path) -> None:
    """The folder that files go into; made where it is not there. Raises Trouble."""
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except (OSError, ValueError) as error:
        raise _trouble(folder, error) from error


def _refuse_there(paths: Iterable[Path]) -> None:
    for path in paths:
        if os.path.lexists(path):
            raise _is_there(path)


def _is_there(path: Path) -> Trouble:
    return Trouble(
        f"{path} is there already and is left as it is. Give another name, or --force to write over it."
    )


def _half(path: Path, parts: Iterable[bytes]) -> Path:
    """Everything, under a name that nobody looks for."""
    half = path.parent / f".sinkside-{secrets.token_hex(8)}.part"
    try:
        handle = os.open(half, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    except (OSError, ValueError) as error:
        raise _trouble(path, error) from error
    whole = False
    try:
        with os.fdopen(handle, "wb") as file:
            for part in parts:
                file.write(part)
            file.flush()
            os.fsync(file.fileno())
        whole = True
    except OSError as error:
        raise _trouble(path, error) from error
    finally:
        if not whole:
            half.unlink(missing_ok=True)
    return half


def _take_name(half: Path, path: Path, *, force: bool) -> None:
    try:
        if force:
            half.replace(path)
            return
        try:
            path.hardlink_to(half)  # fails where a file came there meanwhile
        except FileExistsError as error:
            raise _is_there(path) from error
        except OSError:  # no links on this disk
            _refuse_there([path])
            half.replace(path)
    except (OSError, ValueError) as error:
        raise _trouble(path, error) from error


def _trouble(path: Path, error: OSError | ValueError) -> Trouble:
    if isinstance(error, OSError) and error.errno in _FULL:
        return Trouble(f"The disk is full: {path} was not written. Free some space, then try again.")
    reason = (
        error.strerror if isinstance(error, OSError) else "that is no name of a file"
    ) or "no reason given"
    return Trouble(f"{path} cannot be written: {reason}. Name a folder that is there and may be written to.")
