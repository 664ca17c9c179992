"""What an invented trainee does for what a run asks: the right act or a wrong one, after a while."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from trainer.procedure.text import in_language
from trainer.rehearsal.invented import answering, bench_hand, instruments, words
from trainer.rehearsal.invented.chance import one_of, spread
from trainer.rehearsal.invented.hand import BREATH, SIGMA, Hand
from trainer.run import acts
from trainer.run.ports import PinVerdict

_MOST_VISITS: Final = 3
"""A step that was shown so often is done right, so that nobody goes round in circles for ever."""
_MOST_TRIES: Final = 5
_MOST_REHEARSED: Final = 2
"""Plates that somebody tries in one rehearsal."""
_SPOILS: Final = 0.008
"""The chance that an act which does not come right spoils the plate."""
_TO_SPOIL: Final = "with x"
"""What a step says where the plate is to be given up."""
_WORDS_A_SECOND: Final = 4.0
"""What most people read."""
_SLIPS, _REMARKS, _WRONG_PIN, _MISJUDGES = 0.025, 0.002, 0.03, 0.3
_NO_TIME: Final = 0.25
"""After a word of not yet, so many leave it at that."""
_OK: Final = PinVerdict("right")


def act(hand: Hand) -> None:
    """One act."""
    _ACTS.get(hand.asks, _confirm)(hand)


def _shown_often(hand: Hand) -> bool:
    return hand.state.visit > _MOST_VISITS


def _confirm(hand: Hand) -> None:
    hand.think()
    if _gives_up(hand):
        return
    if hand.rehearsal is not None:
        bench_hand.operate(hand, hand.rehearsal)
    if hand.drawn.random() < _REMARKS:
        hand.run.note(words.remark(hand.drawn))
    hand.pass_time(BREATH)
    hand.run.next()


def _gives_up(hand: Hand) -> bool:
    """Is the plate given up here, since the step says so, or since something has gone wrong?"""
    stage = hand.plan.stage_of[hand.state.step]
    if stage.new_plate_from is None or hand.state.step == stage.new_plate_from:
        return False
    told = _TO_SPOIL in in_language(hand.step.do, "en")
    if hand.rehearsal is not None and told:
        _gives_up_rehearsed(hand, stage.id)
        return True
    chance = _SPOILS * (1 - hand.chance("act")) if hand.step.skill else 0.0
    if not told and (hand.rehearsal is not None or hand.drawn.random() >= chance):
        return False
    hand.run.spoil(words.spoiled(stage.id, hand.drawn))
    hand.misses = 0
    return True


def _gives_up_rehearsed(hand: Hand, stage: str) -> None:
    """Another plate once; then it is enough."""
    if hand.state.plate >= _MOST_REHEARSED:
        hand.run.stop(words.ENOUGH)
    else:
        hand.run.spoil(words.spoiled(stage, hand.drawn))
        hand.misses = 0


def _accept(hand: Hand) -> None:
    """Read a safety prompt, quicker where it is known; or accept it unread."""
    hazard = hand.step.hazard
    texts = () if hazard is None else (hazard.harm, *hazard.avoid)
    words_there = sum(len(in_language(text, "en").split()) for text in texts)
    known = 1 + min(0.6, hand.session.own / 10)
    read = spread(hand.drawn, 1.5 + words_there / _WORDS_A_SECOND / known, 0.25) * hand.who.pace**0.5
    hasty = hand.drawn.random() < hand.who.hasty
    hand.pass_time(hand.drawn.uniform(0.7, 1.4) if hasty else max(1.5, read))
    hand.run.accept()


def _begin_wait(hand: Hand) -> None:
    hand.think()
    if _gives_up(hand):
        return
    if hand.rehearsal is not None:
        bench_hand.operate(hand, hand.rehearsal)
    hand.pass_time(BREATH)
    hand.run.next()


def _wait(hand: Hand) -> None:
    wait = hand.state.wait
    if wait is None:
        return
    begun = wait.amounts
    if begun.form == "window":
        _end_window(hand, begun.at_least or 0.0, begun.at_most)
        return
    if begun.form == "countdown":
        hand.pass_time(begun.seconds or 0.0)
        hand.run.tick()
    elif hand.rehearsal is not None:
        hand.rehearsal.pass_time(hand.rehearsal.to_go())
    else:
        hand.pass_time(hand.station.seconds(begun.units or 0.0, hand.clock.at_ms, hand.drawn))
    hand.pass_time(spread(hand.drawn, 2.0, 0.5))
    hand.run.next()


def _end_window(hand: Hand, least: float, most: float | None) -> None:
    hit = hand.hits("window")
    latest = most if most is not None else least * 1.5 + 5
    if hit:
        _until(hand, (hand.drawn.uniform(least, latest)), least, latest)
    elif least > 8 and hand.drawn.random() < 0.55:
        hand.pass_time(least * hand.drawn.uniform(0.5, 0.92))
        hand.run.next()  # the first press only warns that it is early
        hand.pass_time(hand.drawn.uniform(0.7, 1.5))
    else:
        _until(hand, latest * hand.drawn.uniform(1.05, 1.5), least, latest)
    hand.run.next()


def _until(hand: Hand, seconds: float, least: float, most: float) -> None:
    """Let a window's time go by, with the ticks at which it rings."""
    gone = 0.0
    for rings in (least, most - min(10.0, (most - least) / 2), most + 0.05):
        if gone < rings <= seconds:
            hand.pass_time(rings - gone)
            hand.run.tick()
            gone = rings
    hand.pass_time(max(BREATH, seconds - gone))


def _long_enough(hand: Hand) -> None:
    hand.think()
    hand.run.pick(acts.LONG_ENOUGH)


def _read_dose(hand: Hand) -> None:
    hand.think()
    wait = hand.state.wait
    hand.run.enter(instruments.typed(wait.amounts.units or 0.0 if wait else 0.0), "")


def _read(hand: Hand) -> None:
    reading = hand.step.reading
    if reading is None:
        return
    again = hand.state.entry is not None
    hand.think(0.6 if again else 1.0)
    hit = hand.hits("reading") or hand.state.tries.get(hand.state.step, 0) >= _MOST_TRIES
    if hand.rehearsal is not None:
        bench_hand.operate(hand, hand.rehearsal)
        number = bench_hand.read(hand, hit=hit)
    else:
        seen = instruments.Seen(hand.station, hand.clock.at_ms, hand.plan.procedure.id, hand.run.facts())
        number = instruments.value(reading, seen, hand.drawn, hit=hit)
    slip = instruments.slipped(number, reading) if hand.drawn.random() < _SLIPS else None
    if slip is not None:
        hand.pass_time(BREATH)
        hand.run.enter(slip, "")
        hand.pass_time(spread(hand.drawn, 4, 0.4) + BREATH)
    hand.pass_time(BREATH)
    hand.run.enter(instruments.typed(number), "")


def _judge(hand: Hand) -> None:
    judge = hand.step.judge
    if judge is None:
        return
    hand.think()
    stage = hand.plan.stage_of[hand.state.step]
    if hand.rehearsal is not None and _shown_often(hand) and stage.new_plate_from:
        _gives_up_rehearsed(hand, stage.id)
        return
    hit = _shown_often(hand) or hand.drawn.random() < 1 - _MISJUDGES * (1 - hand.chance("judge"))
    right = judge.right
    if hand.rehearsal is not None:
        bench_hand.operate(hand, hand.rehearsal)
        right = acts.seen(hand.plan, hand.state.step, hand.run.facts())
    others = [key for key in judge.answers if key != right]
    answer = right if hit or not others else one_of(hand.drawn, others)
    hand.pass_time(BREATH)
    hand.run.pick(list(judge.answers).index(answer) + 1)


def _pick(hand: Hand) -> None:
    offer = hand.state.offer
    if offer is None:
        return
    right = hand.plan.steps[offer.right]
    hand.pass_time(max(BREATH, spread(hand.drawn, 7.0 * hand.tempo, SIGMA)))
    wrong = [step for step in offer.steps if step != offer.right and step not in offer.wrong]
    sure = bool(offer.wrong) and hand.drawn.random() < 0.6
    picked = offer.right if sure or not wrong or hand.hits("pick", right) else one_of(hand.drawn, wrong)
    hand.run.pick(offer.steps.index(picked) + 1)


def _look_at_why(hand: Hand) -> None:
    hand.pass_time(max(BREATH, spread(hand.drawn, 6.0 * hand.who.pace, 0.5)))
    hand.run.next()


def _answer(hand: Hand) -> None:
    hand.think()
    answering.answer(hand)


def _leave(hand: Hand) -> None:
    hand.think()
    hand.run.leave_setting()


def _sign(hand: Hand) -> None:
    drawn, by = hand.drawn, hand.session.instructor
    hand.think()
    if hand.rehearsal is not None:
        hand.run.next()
        return
    if drawn.random() < _WRONG_PIN:
        hand.run.sign(by, PinVerdict("wrong_pin"), "passed")
        hand.pass_time(spread(drawn, 6, 0.4))
    passes = drawn.random() < max(0.6, 0.98 - 0.03 * hand.misses) or hand.state.visit > 2
    note = "" if passes else words.not_yet(drawn)
    hand.run.sign(by, _OK, "passed" if passes else "not_yet", note)
    if not passes and drawn.random() < _NO_TIME:
        hand.pass_time(spread(drawn, 20, 0.5) + BREATH)
        hand.run.stop(words.TIME_IS_UP)


_ACTS: Mapping[str, Callable[[Hand], None]] = {
    "hazard": _accept,
    "picking": _pick,
    "explained": _look_at_why,
    "answer": _look_at_why,
    "wait_ready": _begin_wait,
    "waiting": _wait,
    "wait_unknown": _long_enough,
    "dose_reading": _read_dose,
    "reading": _read,
    "judge": _judge,
    "quiz_one": _answer,
    "quiz_several": _answer,
    "quiz_order": _answer,
    "quiz_number": _answer,
    "offer": _leave,
    "sign_off": _sign,
}
"""What is done for what the run asks; the primary key for all the rest."""
