"""The disk under a station's record fails while it forwards: it tells of that and tries again."""

from __future__ import annotations

from pathlib import Path

import pytest
from faulty_disk import Disk, Fault, faulty
from memory_kit import forwarding_to
from watching_kit import Watched

from trainer.record import store
from trainer.record.shared import batches

FAULTS = [Fault("full", lasting=True), Fault("io"), Fault("io", late=True), Fault("busy", lasting=True)]


@pytest.mark.long(seconds=9)
@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault.kind}{'-late' if fault.late else ''}")
def test_no_call_to_the_disk_that_fails_ends_the_forwarding(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: Fault
) -> None:
    """Whichever read, write, sync, lock or removal SQLite asks its storage for: also in half a commit."""
    disk = Disk()
    station = Watched(tmp_path, monkeypatch)

    def mend() -> str:
        fired: str = disk.fired
        disk.mend()
        return fired

    with forwarding_to(station.there), faulty(disk):
        monkeypatch.setattr(batches, "opened", store.opened)
        failed = station.each(lambda call: disk.break_at(fault, call), mend)
    assert len(failed) > 5
