"""Every step, answer and way on of every shipped procedure is gone through by a walk."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer import places
from trainer.rehearsal.walking import walk_all

WALKS = Path(__file__).resolve().parent.parent / "walks"


@pytest.mark.long
def test_the_walks_leave_nothing_out() -> None:
    """All walks pass, each shipped procedure has some, and together they leave nothing of it out."""
    walked = walk_all([WALKS])
    assert walked.exit_code == 0
    found = walked.coverage()
    assert {one.procedure for one in found} == {file.stem for file in places.procedures_dir().glob("*.yaml")}
    assert [(one.procedure, str(piece)) for one in found for piece in one.left_out] == []
