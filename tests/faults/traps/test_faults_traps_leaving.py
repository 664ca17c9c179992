"""Work that comes back while its screen is being left finds nothing to draw on, and draws nothing."""

from __future__ import annotations

from collections.abc import Sequence
from threading import Event
from typing import Any

import pytest
from bench_stand_ins import HandRehearsal, HandSight, HandWork
from review_desk import StillDesk, hand_glance
from stage import Stage
from textual.screen import Screen

from trainer.screens import looking
from trainer.screens.after import After
from trainer.screens.page import Block
from trainer.screens.review import finding
from trainer.screens.review.desk import Found
from trainer.screens.review.reviewing import Reviewing

PATIENCE = 30.0
"""Seconds that the work waits for its screen to be left, at most."""


async def end_while_leaving(screen: Screen[Any], left: Event) -> None:
    """Let the work end between the moment its screen has lost what it draws on and the moment it is gone."""
    left.set()
    for worker in [one for one in screen.workers if one.node is screen]:
        await worker.wait()


class LeftAfter(After):
    """The page after a rehearsal, left while what made the plate so is being found out."""

    def __init__(self) -> None:
        rehearsal, self.left, self.given = HandRehearsal(), Event(), False
        rehearsal.made = HandWork("#", "gummed")
        super().__init__((), looking.Looking(rehearsal), self.find)  # type: ignore[arg-type] # as in the screens' own

    def find(self, _: object) -> Sequence[Block]:
        """Find it out once the screen is left."""
        self.given = self.left.wait(PATIENCE)
        return ()

    async def on_unmount(self) -> None:
        """Left."""
        await end_while_leaving(self, self.left)


class LeftReview(Reviewing):
    """The review, left while what stands out is being found."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        super().__init__(StillDesk(hand_glance()))
        self.left, self.given = Event(), False
        monkeypatch.setattr(finding, "find", self.find)

    def find(self, *_: object, **__: object) -> Found:
        """Find it once the screen is left."""
        self.given = self.left.wait(PATIENCE)
        return Found(self.desk.asked)

    async def on_unmount(self) -> None:
        """Left."""
        await end_while_leaving(self, self.left)


@pytest.mark.parametrize("kind", ["after", "review"])
async def test_work_that_ends_while_its_screen_is_left_draws_nothing(
    kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It ends without a word: no error, and nothing is looked for that is no longer there."""
    monkeypatch.setattr(looking, "sight", HandSight())
    screen = LeftAfter() if kind == "after" else LeftReview(monkeypatch)
    stage = Stage(Screen())
    async with stage.run_test(size=(80, 24)) as pilot:
        await stage.push_screen(screen)
        await pilot.pause()
        await stage.pop_screen()
    assert screen.given
