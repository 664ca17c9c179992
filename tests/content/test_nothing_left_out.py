"""`sinkside walk` over all walks: each passes, and no step, answer or way on of a procedure is left out."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from trainer import places

WALKS = Path(__file__).resolve().parent.parent / "walks"


@pytest.mark.long(seconds=25)
def test_the_walks_pass_and_leave_nothing_out() -> None:
    """Every act is taken, nothing is warned of, each shipped procedure has walks, and they go everywhere."""
    command = [sys.executable, "-m", "trainer.cli", "walk", "--json", str(WALKS)]
    done = subprocess.run(command, check=False, capture_output=True, text=True)
    told = json.loads(done.stdout)
    assert [one for one in told["walks"] if one["findings"] or not one["passed"]] == []
    assert (done.returncode, done.stderr) == (0, "")
    assert {Path(one["file"]) for one in told["walks"]} >= set(WALKS.rglob("*.yaml"))
    assert {one["procedure"] for one in told["procedures"]} == {
        file.stem for file in places.procedures_dir().glob("*.yaml")
    }
    assert [one for one in told["procedures"] if any(one["not_gone"].values())] == []
