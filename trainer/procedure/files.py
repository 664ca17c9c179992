"""Reading files from disk, with a problem in plain words where it fails."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from trainer.procedure.problems import Problem
from trainer.procedure.source import MOST_BYTES
from trainer.procedure.text import clean, one_line

_SUFFIXES = frozenset({".yaml", ".yml"})


class FileTrouble(Exception):  # noqa: N818 - it is shown to people by this name
    """A file or folder that cannot be read. `problem` says why and what to do."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(f"{problem.message} {problem.help}")


def read_bytes(path: Path) -> bytes:
    """The bytes of a file, at most one more than may be read. Raises FileTrouble."""
    try:
        mode = path.stat().st_mode
        if not (stat.S_ISREG(mode) or stat.S_ISDIR(mode)):  # a pipe would be waited for without end
            named = one_line(str(path))
            raise _trouble(
                "F02", f"`{named}` is a device or a pipe, not a file.", "Name a file that is stored."
            )
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise trouble(path, error) from error


def trouble(path: Path, error: OSError | ValueError) -> FileTrouble:
    """What an error of the system means for somebody who gave `path`."""
    named = one_line(str(path))
    match error:
        case FileNotFoundError() | NotADirectoryError():
            meant = path.with_name(f"{path.name}.yaml") if path.name else path
            help_ = "Look at the name and the folder it is in."
            if meant.is_file():
                help_ = f"Did you mean `{one_line(str(meant))}`?"
            return _trouble("F01", f"There is no file `{named}`.", help_)
        case IsADirectoryError():
            return _trouble(
                "F02", f"`{named}` is a folder.", f"Name a file in it: `{named.rstrip('/')}/NAME.yaml`."
            )
        case PermissionError():
            return _trouble(
                "F03",
                f"This account may not read `{named}`.",
                "Change its permissions so that you may read it, or copy it to a folder of your own.",
            )
        case ValueError():
            return _trouble("F01", f"`{named}` cannot be the name of a file.", "Write the name of a file.")
        case _:
            reason = clean(error.strerror or "the system gives no reason")
            return _trouble(
                "F04",
                f"`{named}` cannot be read: {reason}.",
                "Copy it to another folder or disk, then try again.",
            )


def unwritable(path: Path, error: OSError) -> FileTrouble:
    """What an error of the system means for somebody whose file should be written anew."""
    reason = clean(error.strerror or "the system gives no reason")
    return _trouble(
        "F04",
        f"`{one_line(str(path))}` cannot be written: {reason}.",
        "Look at its permissions and at the space on the disk. Nothing was changed.",
    )


def replace_file(path: Path, data: bytes) -> None:
    """Write beside, sync, and put in place; the old file stays whole until then. Raises OSError."""
    with _beside(path) as (handle, temporary):
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            temporary.chmod(path.stat().st_mode & 0o777)
        temporary.replace(path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


@contextmanager
def _beside(path: Path) -> Iterator[tuple[int, Path]]:
    """A new file in the same folder; gone again where something fails."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    temporary = Path(name)
    try:
        yield handle, temporary
    finally:
        with suppress(FileNotFoundError):
            temporary.unlink()


def yaml_files(path: Path) -> list[Path]:
    """`path` where it is a file; every `*.yaml` in a folder and below, sorted, without hidden ones."""
    try:
        if not path.is_dir():
            path.stat()
            return [path]
        found = sorted(_inside(path))
    except (OSError, ValueError) as error:
        raise trouble(path, error) from error
    if not found:
        raise nothing_in(path, "file that ends in `.yaml`")
    return found


def nothing_in(path: Path, wanted: str) -> FileTrouble:
    """A folder that holds nothing of what was wanted."""
    said = f"The folder `{one_line(str(path))}` holds no {wanted}."
    return _trouble("F05", said, "Name another folder, or a file.")


def _inside(folder: Path) -> list[Path]:
    """YAML files of a folder and below. Links to folders are not followed, so it ends."""
    found: list[Path] = []
    for entry in folder.iterdir():
        if entry.name.startswith("."):
            continue
        if entry.is_dir() and not entry.is_symlink():
            found.extend(_inside(entry))
        elif entry.suffix in _SUFFIXES:
            found.append(entry)
    return found


def _trouble(code: str, message: str, help_: str) -> FileTrouble:
    return FileTrouble(Problem(code, "error", message, help_))
