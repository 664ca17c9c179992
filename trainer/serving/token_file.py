"""The token in a file of this account's own: kept over starts, or left for whoever started the service."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from trainer.run.ports import Trouble
from trainer.serving.gate import LEAST_TOKEN, new_token


def kept_token(path: Path) -> str:
    """The token in a file, which is made with a new one where it is missing. Raises Trouble."""
    try:
        token = path.read_text("utf-8").strip()
        mode = path.stat().st_mode
    except FileNotFoundError as error:
        if not path.parent.is_dir():
            raise Trouble(f"There is no folder {path.parent} for the token's file.") from error
        return _made(path)
    except (OSError, UnicodeDecodeError) as error:
        raise Trouble(f"The token's file {path} cannot be read: {_why(error)}.") from error
    if os.name == "posix" and mode & 0o077:
        raise Trouble(
            f"Other accounts have rights to the token's file {path} (mode {stat.S_IMODE(mode):o}). "
            "Take them away with chmod 600, and put another token in, since this one may be known."
        )
    if len(token) < LEAST_TOKEN or not token.isprintable() or " " in token:
        raise Trouble(
            f"The token in {path} must have at least {LEAST_TOKEN} signs and no blanks. Remove the file: "
            "a good one is made."
        )
    return token


def leave_token(path: Path, token: str) -> None:
    """Write a token for its owner's eyes only, in the place of what was there. Raises Trouble."""
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(f"{token}\n")
    except OSError as error:
        raise Trouble(f"The token cannot be written to {path}: {_why(error)}.") from error


def _made(path: Path) -> str:
    token = new_token()
    leave_token(path, token)
    return token


def _why(error: OSError | UnicodeDecodeError) -> str:
    return "it holds no text" if isinstance(error, UnicodeDecodeError) else str(error.strerror or error)
