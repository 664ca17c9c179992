"""Questions: the right answer, a wrong one that people give, or a guess where the question is bad."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING, Final

from trainer.procedure.model import Quiz
from trainer.rehearsal.invented.chance import dice, logistic, one_of
from trainer.run import answers

if TYPE_CHECKING:
    from trainer.rehearsal.invented.hand import Hand

_BAD: Final = -0.9
_BAD_FOR_THE_ABLE: Final = -1.2
"""Log odds of the bad question, and how they fall with what a trainee is able to do; practice is of no use.

Its words lead those who think about it to another answer than the one that counts, also later.
"""
_LURES: Final = (0.85, 0.15)
_FACTORS: Final = (0.5, 2.0, 1.25, 0.1)


def answer(hand: Hand) -> None:
    """Answer the question at hand."""
    quiz = hand.step.quiz
    if quiz is None:
        return
    bad = hand.plan.procedure.id == hand.planted.procedure and hand.state.step == hand.planted.question
    hit = (
        hand.drawn.random() < logistic(_BAD + _BAD_FOR_THE_ABLE * hand.who.able) if bad else hand.hits("quiz")
    )
    if quiz.number is not None:
        right = float(answers.right_keys(quiz)[0])
        hand.run.enter(f"{right if hit else right * one_of(hand.drawn, _FACTORS):g}", "")
        return
    given = answers.right_keys(quiz) if hit else _wrong(hand, quiz)
    options = list(answers.options(quiz, hand.state.run))
    for key in given:
        hand.pass_time(0.6)
        hand.run.pick(options.index(key) + 1)
    if quiz.choice is None:
        hand.pass_time(0.8)
        hand.run.next()


def _wrong(hand: Hand, quiz: Quiz) -> tuple[str, ...]:
    drawn, right = hand.drawn, list(answers.right_keys(quiz))
    if quiz.choice is not None:
        return (_lure(hand.who.seed, quiz, drawn),)
    if quiz.order is not None:
        at = drawn.randrange(len(right) - 1)
        right[at], right[at + 1] = right[at + 1], right[at]
        return tuple(right)
    others = [key for key in quiz.choices or {} if key not in right]
    if others and (len(right) == 1 or drawn.random() < 0.5):
        return (*right, one_of(drawn, others))
    right.remove(drawn.choice(right))
    return tuple(right)


def _lure(seed: int, quiz: Quiz, drawn: Random) -> str:
    """A wrong answer: one of them is taken most."""
    wrong = [key for key in quiz.choice or {} if key not in answers.right_keys(quiz)]
    dice(seed, quiz.name, "lures").shuffle(wrong)
    return one_of(drawn, wrong, (_LURES[0], *[_LURES[1]] * (len(wrong) - 1)))
