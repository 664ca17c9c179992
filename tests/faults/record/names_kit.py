"""A restore or a backup with everything written down that it asks of a folder: by SQLite, and by names.

SQLite's own work goes through `power_kit`; here is the rest: files that Python makes, syncs, links, renames
and removes. Content that Python wrote counts once it is synced; before, it may be anything, and is empty.
"""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from random import Random
from typing import cast
from unittest.mock import patch
from urllib.parse import unquote, urlsplit

from faulty_disk import Connection
from power_kit import Held, Model, Recorder, Storage

from trainer.record import backup as backups
from trainer.record import restore as restores
from trainer.record import store

Files = dict[str, bytes]


class Names:
    """Python's own calls for one folder, done and written down."""

    def __init__(self, recorder: Recorder, folder: Path, links: bool) -> None:
        self._links = links
        self._recorder = recorder
        self._folder = folder
        self._written: set[str] = set()

    def _here(self, path: str | Path) -> bool:
        return Path(path).parent == self._folder

    def open(self, path: str | Path, flags: int, mode: int = 0o777) -> int:
        """In place of `os.open`: a file that is made."""
        made = self._here(path) and bool(flags & os.O_CREAT) and not Path(path).exists()
        handle = _open(path, flags, mode)
        if made:
            self._recorder.note("make", Path(path).name)
            self._written.add(Path(path).name)
        return handle

    def fsync(self, handle: int) -> None:
        """In place of `os.fsync`: the content is on the disk."""
        _fsync(handle)
        path = Path(f"/proc/self/fd/{handle}").readlink()
        if self._here(path) and path.name in self._written:
            self._recorder.note("cut", path.name)
            self._recorder.note("write", path.name, data=path.read_bytes())
            self._recorder.note("sync", path.name)

    def replace(self, old: Path, new: Path) -> Path:
        """In place of `Path.replace` and `Path.rename`."""
        os.replace(old, new)  # noqa: PTH105 - that is what is patched
        self._recorder.note("rename", old.name, to=new.name)
        return new

    def hardlink_to(self, new: Path, old: Path) -> None:
        """In place of `Path.hardlink_to`."""
        if not self._links:
            raise OSError(errno.EPERM, os.strerror(errno.EPERM), str(new))
        os.link(old, new)
        self._recorder.note("link", old.name, to=new.name)

    def unlink(self, path: Path, missing_ok: bool = False) -> None:
        """In place of `Path.unlink`."""
        try:
            os.unlink(path)  # noqa: PTH108 - as above
        except FileNotFoundError:
            if not missing_ok:
                raise
        else:
            if self._here(path):
                self._recorder.note("remove", path.name)

    def sync_folder(self, folder: Path) -> None:
        """In place of `store.sync_folder`."""
        if folder == self._folder:
            self._recorder.note("sync_folder", "")


_open, _fsync = os.open, os.fsync


class Sqlite:
    """In place of the module `sqlite3` where a backup opens its source."""

    Error = sqlite3.Error

    def __init__(self, opened: Callable[[Path], sqlite3.Connection]) -> None:
        self._opened = opened

    def connect(self, where: str, **_: object) -> sqlite3.Connection:
        """By the file that the URI names."""
        return self._opened(Path(unquote(urlsplit(where).path)))


@contextmanager
def all_recorded(recorder: Recorder, folder: Path, links: bool = True) -> Iterator[None]:
    """Everything that a backup or a restore asks of a folder is written down. links: are there any?"""
    storage, names = Storage(recorder), Names(recorder, folder, links)

    def opened(path: Path) -> sqlite3.Connection:
        return cast("sqlite3.Connection", Connection(path, storage.name))

    with ExitStack() as stack:
        for room in (store, backups, restores):
            stack.enter_context(patch.object(room, "opened", opened))
            stack.enter_context(patch.object(room, "sync_folder", names.sync_folder))
        stack.enter_context(patch.object(backups, "sqlite3", Sqlite(opened)))
        stack.enter_context(patch.object(os, "open", names.open))
        stack.enter_context(patch.object(os, "fsync", names.fsync))
        renaming = {"replace": names.replace, "rename": names.replace}
        for name, method in {**renaming, "unlink": names.unlink, "hardlink_to": names.hardlink_to}.items():
            stack.enter_context(
                patch.object(Path, name, lambda *asked, method=method, **more: method(*asked, **more))
            )
        yield
    storage.unregister()


def left_behind(recorder: Recorder, seed: int, drawn: int) -> Iterator[Files]:
    """What a kill leaves at every moment, and as many states after a power cut as are drawn each time.

    Each once. Staged copies are left out: nobody looks for them by their names.
    """
    random = Random(seed)  # noqa: S311 - which states to try, not secrets
    names = {name: Held(content) for name, content in recorder.base.items()}
    model = Model(dict(names), dict(names))
    known: set[int] = set()
    for entry in recorder.log:
        model.take(entry)
        for files in (model.killed(), *(model.some(random) for _ in range(drawn))):
            seen = {name: content for name, content in files.items() if not name.startswith(".sinkside-")}
            print_of = hash(tuple(sorted(seen.items())))
            if print_of not in known:
                known.add(print_of)
                yield seen
