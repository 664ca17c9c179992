"""Changing the order of a page on the real screen."""

from __future__ import annotations

import pytest
from review_desk import StillDesk, hand_glance
from review_values import FACTS, PLATES, REVIEW
from stage import Stage, press, settled, text

from trainer.screens.review.leaf import Opens
from trainer.screens.review.ledger import Ledger
from trainer.screens.review.reviewing import Reviewing


async def test_another_order_is_shown_from_its_beginning(monkeypatch: pytest.MonkeyPatch) -> None:
    """The bar goes to what the new order puts first, wherever it was before."""
    monkeypatch.setattr("locale.getencoding", lambda: "utf-8")
    desk = StillDesk(hand_glance(), REVIEW)
    desk.facts = {PLATES: FACTS}
    stage = Stage(Reviewing(desk))
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "4")
        ledger = stage.screen.query_one(Ledger)
        assert ledger.opens == Opens("step", (PLATES, "read-gauge"))
        await press(pilot, "down", "down", "o")
        assert ledger.opens == Opens("step", (PLATES, "rinse"))
        assert "Longest hesitation first" in text(stage)
        await press(pilot, "end", "o")
        assert ledger.opens == Opens("step", (PLATES, "rub"))
