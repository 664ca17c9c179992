"""Marks by skill, from events alone."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from run_kit import RIGHT, Sink

from trainer import places
from trainer.run import events as ev
from trainer.run.fault_events import FaultFound
from trainer.run.scoring import RULES, MarkKind, score


def with_mistakes() -> Sink:
    """A run at solo with a mistake of every kind, a hint, a slip and a spoiled plate."""
    sink = Sink.open("solo")
    offer = sink.run.state.offer
    assert offer is not None
    sink.settle()
    sink.run.pick(next(place for place, step in enumerate(offer.steps, 1) if step != offer.right))
    sink.until("take-plate")
    sink.run.points()
    sink.until("read-gauge")
    for typed in ("222", "17"):
        sink.settle()
        sink.run.enter(typed)
    sink.until("why-units").settle()
    sink.run.pick(2)
    sink.until("let-it-soften").right()
    sink.clock.pass_time(100)
    sink.run.next()
    sink.run.spoil("background eaten")
    sink.until("sign")
    sink.run.sign("I-1", RIGHT, "not_yet")
    return sink.to_end()


def missed(sink: Sink) -> list[tuple[str, str | None, str]]:
    """What was no hit: kind, skill, step."""
    return [(mark.kind, mark.skill, mark.step) for mark in score(sink.events).marks if not mark.hit]


def test_a_found_fault_is_marked_under_its_act() -> None:
    """A fault found after the end is a miss of its act's skill, and of whoever did that act last."""
    sink = Sink.open("full")
    sink.until("read-gauge")
    sink.run.hand_over("T-02")
    sink.until("sign")
    sink.run.stop("seen")
    shown = next(event for event in sink.events if event.step == "take-plate")
    sink.run.add_found([FaultFound(1, "dust", "soft-spots", "take-plate", "contact", "glass wiped off", ())])
    (mark,) = [mark for mark in score(sink.events).marks if mark.kind == "fault"]
    assert (mark.skill, mark.hit, mark.step, mark.trainee) == ("contact", False, "take-plate", "T-01")
    assert mark.events == (shown.id, sink.events[-1].id)
    assert "glass wiped off" in mark.words


def test_every_mistake_is_marked_once_under_its_skill() -> None:
    """Each mistake is one attempt without a hit, under the skill of its step, and nothing else is."""
    assert missed(with_mistakes()) == [
        ("pick", None, "look-at-film"),
        ("reading", "contact", "read-gauge"),
        ("quiz", "exposure", "why-units"),
        ("window", "sink", "let-it-soften"),
        ("sign_off", "sink", "last-look"),
    ]


def test_right_run_has_only_hits() -> None:
    """A run of right acts has as many hits as attempts, at every level of guidance."""
    for guidance in ("full", "cued", "solo"):
        whole = score(Sink.open(guidance).to_end().events)
        assert whole.attempts == whole.hits > 0
        assert (whole.spoiled, whole.hints, whole.excused) == (0, 0, False)


def test_remarks_are_no_attempts() -> None:
    """Hints, slips of the keys and plates given up are told beside the marks, and are no attempts."""
    sink = with_mistakes()
    whole = score(sink.events)
    assert [(one.kind, one.skill, one.step) for one in whole.remarks] == [
        ("hint", None, "take-plate"),
        ("slip", "contact", "read-gauge"),
        ("spoiled", None, "read-wedge"),
    ]
    assert (whole.hints, whole.spoiled) == (1, 1)
    marked = {event for mark in whole.marks for event in mark.events}
    assert not marked & {one.event for one in whole.remarks}


def test_every_mark_leads_to_its_events() -> None:
    """The events behind a mark are in the record, the last of them is the attempt itself."""
    sink = with_mistakes()
    kinds = {event.id: event.body.kind for event in sink.events}
    last = {
        "quiz": "quiz_answered",
        "reading": "reading_taken",
        "window": "wait_ended",
        "pick": "next_picked",
        "sign_off": "signed_off",
    }
    first = {"quiz": "step_shown", "reading": "step_shown", "window": "wait_begun", "pick": "next_offered"}
    for mark in score(sink.events).marks:
        assert [kinds[id_] for id_ in mark.events] == [first.get(mark.kind, "step_shown"), last[mark.kind]]
        assert mark.words


def test_skills_add_up() -> None:
    """The marks by skill are all the marks, each once."""
    whole = score(with_mistakes().events)
    by_skill = [mark for skill in whole.skills.values() for mark in skill.marks]
    assert sorted(by_skill, key=repr) == sorted(whole.marks, key=repr)
    assert set(whole.skills) == {None, "contact", "exposure", "sink"}
    contact = whole.skills["contact"]
    assert (contact.attempts - contact.hits, contact.hints) == (1, 0)
    assert sum(skill.attempts for skill in whole.skills.values()) == whole.attempts
    assert sum(skill.hits for skill in whole.skills.values()) == whole.hits


def test_only_the_first_pick_counts() -> None:
    """However often a trainee picks at one act, it is one attempt, and the first pick decides."""
    sink = Sink.open("solo")
    offer = sink.run.state.offer
    assert offer is not None
    wrong = [place for place, step in enumerate(offer.steps, 1) if step != offer.right]
    for place in wrong[:2]:
        sink.settle()
        sink.run.pick(place)
    sink.until("film-clean")
    picks = [mark for mark in score(sink.events).marks if mark.kind == "pick"]
    assert [mark.hit for mark in picks] == [False, True]


def test_wet_judgements_are_not_marked() -> None:
    """In a wet run nobody knows whether a judgement is right, so it is no attempt; in a rehearsal it is."""
    sink = Sink.open().until("room-humidity")
    assert score(sink.events).marks == ()
    judged = next(event for event in sink.events if isinstance(event.body, ev.Judged))
    rehearsed = ev.Event(
        judged.id, judged.run, judged.seq, judged.stamp, judged.step, ev.Judged("film", "spots", right=False)
    )
    events = [rehearsed if event is judged else event for event in sink.events]
    assert [(mark.kind, mark.hit) for mark in score(events).marks] == [("judge", False)]


def test_waits_that_cannot_go_wrong_are_not_marked() -> None:
    """Countdowns and doses are no attempts, nor is a window whose time nobody knows."""
    sink = Sink.open().until("let-it-soften")
    assert not [mark for mark in score(sink.events).marks if mark.kind == "window"]
    sink.right()
    sink.clock.reboot(30)
    sink.restart()
    sink.right()
    assert not [mark for mark in score(sink.events).marks if mark.kind == "window"]


def test_early_window_is_no_hit() -> None:
    """A window ended too early is an attempt without a hit."""
    sink = Sink.open().until("let-it-soften")
    sink.right()
    for _ in range(2):
        sink.clock.pass_time(5)
        sink.run.next()
    assert [mark.hit for mark in score(sink.events).marks if mark.kind == "window"] == [False]


def test_marks_belong_to_whoever_did_the_work() -> None:
    """After a hand-over the marks are the new trainee's, and each can be asked for."""
    sink = Sink.open().until("what-leaks")
    sink.run.hand_over("T-02")
    sink.to_end()
    one, other = score(sink.events, "T-01"), score(sink.events, "T-02")
    assert {mark.trainee for mark in one.marks} == {"T-01"}
    assert {mark.trainee for mark in other.marks} == {"T-02"}
    assert one.attempts + other.attempts == score(sink.events).attempts


def test_excused_run_says_so() -> None:
    """An excused run keeps its marks and says that it is excused."""
    sink = Sink.open().to_end()
    sink.run.excuse("I-1", "The lamp failed.")
    whole = score(sink.events)
    assert whole.excused
    assert whole.attempts


def test_nothing_comes_of_nothing() -> None:
    """No events, no marks."""
    assert score(()).skills == {}
    assert isinstance(score(()).marks, tuple)


def page() -> str:
    """The guide's page about scoring."""
    return (Path(places.guide_dir()) / "scoring.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("kind", list(RULES))
def test_guide_prints_every_rule(kind: str) -> None:
    """The guide's page says every rule in the very words that stand beside the code."""
    rules = {str(name): words for name, words in RULES.items()}
    assert rules[kind] in " ".join(page().split())


def test_rules_are_for_every_kind_of_mark() -> None:
    """Every kind of mark that can be given has a rule, and every rule a kind."""
    assert set(RULES) == set(get_args(MarkKind))
