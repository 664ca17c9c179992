"""The record's files as they lie: place, modes, what was left behind, room on the disk."""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Iterator
from pathlib import Path

from trainer.record import chain, reserve, second_place
from trainer.record.backup import is_staged
from trainer.record.doctor.asked import Asked, quoted
from trainer.record.doctor.told import Told, fine, mend, note, unseen

LITTLE_ROOM = 100 * 2**20
"""Bytes free on the disk under which somebody should be told: some 50,000 acts, and a backup."""

RESTORE = "sinkside record restore FILE"

_OTHERS = 0o077
_NETWORK = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "glusterfs", "fuse.sshfs", "fuse.glusterfs"}
)
_MOUNTS = Path("/proc/mounts")


def files(asked: Asked) -> Iterator[Told]:
    """Where the record lies and whether it lies there well."""
    record = asked.record
    try:
        missing = not record.exists()
        if record.is_dir():
            yield mend(
                "place", f"{record} is a folder, not a record.", "Name a file.", "sinkside --record FILE"
            )
            return
        yield _place(asked, missing=missing)
        yield from _modes(asked)
        yield from _left_behind(record)
        yield _room(record)
    except OSError as error:
        yield unseen(
            "place",
            f"The record {record} (from {asked.named_by}) cannot be looked at: {error.strerror}.",
            "Look from the account that the station works in.",
        )


def _place(asked: Asked, *, missing: bool) -> Told:
    record = asked.record
    if kind := _network_disk(record):
        return mend(
            "place",
            f"The record {record} lies on a network disk ({kind}), where two machines can damage it.",
            "Move it, with all files whose names begin the same, to a disk of this machine.",
        )
    if missing and (gone := emptied(record, "missing")):
        return gone
    if missing:
        folder = _nearest_folder(record)
        if not os.access(folder, os.W_OK | os.X_OK):
            return mend(
                "place",
                f"There is no record {record} yet (from {asked.named_by}), and this account may not make one "
                f"in {folder}.",
                "Give the account the right to write there, or name another place with SINKSIDE_HOME.",
            )
        return note(
            "place", f"There is no record {record} yet (from {asked.named_by}). It is made at first use."
        )
    if not (os.access(record, os.R_OK | os.W_OK) and os.access(record.parent, os.W_OK | os.X_OK)):
        return mend(
            "place",
            f"This account may not write the record {record} (from {asked.named_by}), or not in its folder.",
            "Work in the account that it belongs to, or give it to this one.",
            f"sudo chown -R $(id -un) {quoted(record.parent)}",
        )
    return fine("place", f"The record is {record} (from {asked.named_by}), {_size(record.stat().st_size)}")


def emptied(record: Path, how: str) -> Told | None:
    """What is to be told of a record that is missing or empty, and yet its second place tells of runs."""
    told = second_place.read(record)
    if told is None or not told.marks:
        return None
    runs = len({mark.run for mark in told.marks})
    return mend(
        "place",
        f"The record {record} is {how}, and yet its second place tells of runs that were kept in it, "
        f"{runs} in all. No new one is begun in its place.",
        "Put it back from a backup; or, to begin anew, move away all files whose names begin the same.",
        RESTORE,
    )


def _modes(asked: Asked) -> Iterator[Told]:
    """Only this account may read the files; nobody else may write in the folder."""
    if os.name != "posix":
        return
    record = asked.record
    seen, wrong = 0, 0
    for path in (record, chain.key_path(record), second_place.path_of(record), reserve.path_of(record)):
        if not path.exists():
            continue
        seen += 1
        status = path.lstat()
        if stat.S_ISLNK(status.st_mode):
            yield note("modes", f"{path} is a link to {path.resolve()}.", "Name the file itself.")
            status = path.stat()
        if status.st_mode & _OTHERS:
            wrong += 1
            yield mend(
                "modes",
                f"Other accounts have rights to {path} (mode {stat.S_IMODE(status.st_mode):o}).",
                "Take them away.",
                f"chmod 600 {quoted(path)}",
            )
        if asked.user is not None and status.st_uid != asked.user:
            wrong += 1
            yield mend(
                "modes",
                f"{path} belongs to another account (number {status.st_uid}).",
                "Give it to the account that the station works in.",
                f"sudo chown $(id -un) {quoted(path)}",
            )
    folder = record.parent
    if folder.is_dir() and (mode := folder.stat().st_mode) & 0o022 and not mode & stat.S_ISVTX:
        yield mend(
            "modes",
            f"Other accounts may write in {folder} (mode {stat.S_IMODE(mode):o}), and exchange the record.",
            "Take that right away.",
            f"chmod go-w {quoted(folder)}",
        )
    elif seen and not wrong:
        yield fine("modes", "Only this account has rights to the record's files")


def _left_behind(record: Path) -> Iterator[Told]:
    """Files that a crash left: drafts of ours, and what only another mode of the database would make."""
    if not record.parent.is_dir():
        return
    names = sorted(path.name for path in record.parent.iterdir())
    drafts = [name for name in names if _is_draft(name, record.name)]
    copies = [name for name in names if is_staged(name)]
    if copies:
        # They hold what was in the record then, also of people who are erased since.
        yield mend(
            "left",
            f"{len(copies)} files of a backup or a restore that was cut short lie in {record.parent}.",
            "With Sinkside closed, and no backup under way, remove them.",
            f"rm {' '.join(quoted(record.parent / name) for name in copies[:20])}",
        )
    if drafts:
        yield mend(
            "left",
            f"{len(drafts)} drafts that a crash left lie in {record.parent}: {', '.join(drafts[:3])}.",
            "With Sinkside closed, remove them.",
            f"rm {' '.join(quoted(record.parent / name) for name in drafts[:20])}",
        )
    asides = [name for name in names if _is_aside(name, record.name)]
    if asides:
        yield note(
            "aside",
            f"What a restore put aside lies in {record.parent}: {', '.join(asides[:3])}"
            f"{', ...' if len(asides) > 3 else ''}. It holds what was in the record then, also of people who "
            "are erased since.",
            "Remove it once you are sure that nothing in it is missed.",
            f"rm {quoted(record)}.aside-*",
        )
    for name in (f"{record.name}-wal", f"{record.name}-shm"):
        if (record.parent / name).exists():
            yield mend(
                "left",
                f"{record.parent / name} shows that another program has changed how the record is written.",
                "Close that program and start Sinkside once: it sets the record right.",
                "sinkside record verify",
            )


def _is_aside(name: str, record: str) -> bool:
    return name.startswith(f"{record}.aside-") and not name.endswith((".heads", ".key"))


def _is_draft(name: str, record: str) -> bool:
    if not name.startswith(f"{record}."):
        return False
    rest = name.removeprefix(f"{record}.")
    kind, _, random = rest.partition("-" if rest.startswith("room-") else ".")
    return kind in ("room", "key") and bool(random) and all(sign in "0123456789abcdef" for sign in random)


def _room(record: Path) -> Told:
    free = shutil.disk_usage(_nearest_folder(record)).free
    if free < LITTLE_ROOM:
        return mend(
            "disk",
            f"Only {_size(free)} are free on the disk of the record {record}.",
            "Free some space: old backups, downloads, the trash.",
            f"df -h {quoted(_nearest_folder(record))}",
        )
    if record.exists() and not reserve.stands(record):
        return note("disk", f"{_size(free)} are free; the room set aside is made again at the next start.")
    return fine("disk", f"{_size(free)} are free on the disk of the record")


def _nearest_folder(path: Path) -> Path:
    """The nearest folder above that there is."""
    return next(folder for folder in path.absolute().parents if folder.is_dir())


def _network_disk(path: Path) -> str:
    """The kind of network disk a path lies on, from the system's list of mounts; empty where it is none."""
    if not _MOUNTS.exists():  # not on every system
        return ""
    where = str(_nearest_folder(path).resolve()) + "/"
    best, kind = "", ""
    for line in _MOUNTS.read_text("utf-8", errors="replace").splitlines():
        _, mount, filesystem, *_ = line.split(" ")
        if where.startswith(mount.rstrip("/") + "/") and len(mount) >= len(best):
            best, kind = mount, filesystem
    return kind if kind in _NETWORK else ""


def _size(count: int) -> str:
    """Bytes in words of two figures or so."""
    for unit, scale in (("GB", 10**9), ("MB", 10**6), ("kB", 10**3)):
        if count >= scale:
            return f"{count / scale:.1f} {unit}"
    return f"{count} bytes"
