"""The shop's card in a rehearsal: what the shop has set is to be read where a control goes by it."""

from __future__ import annotations

import pytest
from bench_kit import AtBench

from trainer.rehearsal import walk_right

CARD = "The shop's card says: "


@pytest.mark.parametrize(
    ("step", "said"),
    [
        ("set-units", "Exposure 31 units."),
        ("measure-developer", "Developer for one plate 75 mL."),
        ("developer-warmth", "Developer no cooler than 20 °C; Developer no warmer than 26 °C."),
    ],
)
def test_the_card_says_what_this_shop_has_set(step: str, said: str) -> None:
    """The value of the run, not of the file, under the setting's own name."""
    at = AtBench.begin(settings={"exposure": 31.0}).right_until(step)
    signs = at.rehearsal.bench().signs
    assert [sign.removeprefix(CARD) for sign in signs if sign.startswith(CARD)] == [said]


@pytest.mark.parametrize("step", ["clean-glass", "rub", "spread-gum"])
def test_no_card_where_no_control_goes_by_it(step: str) -> None:
    """Where the hands need no number of the shop's, there is nothing to read."""
    signs = AtBench.begin().right_until(step).rehearsal.bench().signs
    assert not [sign for sign in signs if sign.startswith(CARD)]


def test_at_solo_the_card_tells_no_step() -> None:
    """While the next act is still to be picked, the card would give it away."""
    at = AtBench.begin(guidance="solo")
    picked = False
    for _ in range(400):
        card = [sign for sign in at.rehearsal.bench().signs if sign.startswith(CARD)]
        if at.run.state.step == "set-units" and at.asks != "picking":
            break
        assert not card
        picked = picked or at.asks == "picking"
        walk_right.do_right(at)
    assert picked
    assert card
