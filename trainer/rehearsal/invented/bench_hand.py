"""An invented trainee's hands at the simulated bench: controls operated or forgotten; what is read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from trainer.procedure.expressions import FormulaFault
from trainer.rehearsal.invented.instruments import wedge_seen
from trainer.rehearsal.walk_right import set_in_time

if TYPE_CHECKING:
    from trainer.rehearsal.invented.hand import Hand
    from trainer.rehearsal.rehearsal import Rehearsal

_FORGETS: Final = 0.15
"""So often is a control forgotten where the act does not come right."""
_NEEDED: Final = frozenset({"take", "lamp", "power", "glass", "pump"})
"""Nobody forgets these: without them nothing goes on."""


def operate(hand: Hand, rehearsal: Rehearsal) -> None:
    """Do at the bench what the step at hand wants, or forget a part of it."""
    for name in hand.step.bench:
        right = _right(hand, name)
        forgets = name not in _NEEDED and hand.drawn.random() < _FORGETS * (1 - hand.chance("act"))
        if right is not None and not forgets:
            hand.pass_time(hand.drawn.uniform(0.6, 1.6))
            set_in_time(rehearsal, name, right, rehearsal.pass_time)


def _right(hand: Hand, name: str) -> str | float | None:
    """Where a control should stand; None where it goes by a measure that there is not yet."""
    step = hand.step
    formula = hand.plan.expression(step.id, f"bench.{name}")
    try:
        right = step.bench[name] if formula is None else formula.value(hand.run.facts())
    except FormulaFault:
        return None
    return right if isinstance(right, str | int | float) else None


def read(hand: Hand, *, hit: bool) -> float:
    """What is read at the bench, rightly or not."""
    reading = hand.step.reading
    if reading is None:
        raise LookupError(f"{hand.state.step} has no reading")
    formula = hand.plan.expression(hand.state.step, "right")
    right = float(reading.right) if formula is None and not isinstance(reading.right, str) else 0.0
    if formula is not None:
        right = formula.number(hand.run.facts())
    if reading.name == "wedge":
        return wedge_seen(right, hand.drawn, hit=hit)
    shown = right if hit else right * hand.drawn.choice((0.75, 0.85, 1.25))
    least, most = reading.plausible
    return round(min(most, max(least, shown)), 1)
