"""One run from its first act to its last: what comes of it now and then besides the acts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from trainer.rehearsal.invented import words
from trainer.rehearsal.invented.chance import one_of, spread
from trainer.rehearsal.invented.doing import act
from trainer.rehearsal.invented.hand import BREATH, Hand
from trainer.rehearsal.invented.people import trainee
from trainer.rehearsal.invented.term import TRAINEES, bounds
from trainer.run.session import Run

_MOST_ACTS: Final = 900
_LATEST_MS: Final = 8_400_000
"""Nobody works longer at one run."""
_TURNS: Final[Mapping[str, float]] = {"stopped": 0.03, "handed": 0.012, "again": 0.02, "left": 0.06}
_OPEN_MS: Final = 3 * 86_400_000
"""Only in the last days of a term is a run left open: it would be gone on with else."""
_EXCUSED: Final = 0.01
_LOOKED_INTO: Final = 0.25
"""So many rehearsals have the acts found out that spoiled their plates: it takes seconds for each."""


def work(hand: Hand) -> None:
    """Go on until the run is over, or left open."""
    hand.takes_over(hand.who)
    latest = hand.clock.at_ms + _LATEST_MS
    turn, at = _turn(hand)
    done = 0
    while not hand.state.closed:
        done += 1
        if done > _MOST_ACTS or hand.clock.at_ms > latest:
            hand.run.stop(words.TIME_IS_UP)
        elif turn and done >= at and hand.state.phase == "task":
            if turn == "left":
                return
            _turns(hand, turn)
            turn = ""
        else:
            act(hand)
    _afterwards(hand)


def _turns(hand: Hand, turn: str) -> None:
    """Something that seldom happens: the work is stopped or handed over, or the program starts again."""
    hand.pass_time(spread(hand.drawn, 8, 0.5) + BREATH)
    if turn == "stopped":
        hand.run.stop(words.stopped(hand.drawn))
    elif turn == "handed":
        other = one_of(hand.drawn, [code for code in TRAINEES if code != hand.who.code])
        hand.run.hand_over(other)
        hand.takes_over(trainee(hand.who.seed, other, hand.planted))
    else:
        hand.pass_time(spread(hand.drawn, 60, 0.6))
        hand.run = Run.take_up(hand.plan, hand.state.run, journal=hand.kept, clock=hand.clock)


def _afterwards(hand: Hand) -> None:
    """What the bench finds out about the plates; now and then the run does not count."""
    if hand.rehearsal is not None and hand.drawn.random() < _LOOKED_INTO:
        from trainer.rehearsal.after import told  # the bench, which a wet run does not need

        hand.pass_time(2.0)
        told(hand.rehearsal, hand.kept.events(hand.state.run))
    if hand.drawn.random() < _EXCUSED:
        hand.pass_time(spread(hand.drawn, 900, 0.5))
        hand.run.excuse(hand.session.instructor, words.excused(hand.drawn))


def _turn(hand: Hand) -> tuple[str, int]:
    """What turn the run takes, and after how many acts; none for nearly all."""
    drawn = hand.drawn
    chances = dict(_TURNS)
    if hand.session.at_ms < bounds()[1] - _OPEN_MS:
        chances["left"] = 0.0
    if hand.rehearsal is not None:
        chances["again"] = 0.0
    turn = one_of(drawn, ("", *chances), (1 - sum(chances.values()), *chances.values()))
    return turn, drawn.randint(10, 100)
