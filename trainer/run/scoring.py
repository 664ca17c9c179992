"""Marks by skill, from events only, by the rules of the guide page `scoring`.

The rules stand in `RULES`; a test holds the page to them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from trainer.run import events as ev
from trainer.run.events import Event
from trainer.run.fault_events import FaultFound
from trainer.run.frozen import frozen
from trainer.run.put_right import put_right
from trainer.tongue import marked, spoken

MarkKind = Literal["quiz", "reading", "window", "judge", "pick", "sign_off", "fault"]
RemarkKind = Literal["hint", "slip", "spoiled"]

RULES: Mapping[MarkKind, str] = {
    "quiz": "Each answer to a quiz is an attempt. It is a hit when it is right.",
    "reading": "Each reading that the instrument can have shown is an attempt. It is a hit when it is good.",
    "window": "Each wait with a least or a most is an attempt. It is a hit when it is ended in time.",
    "judge": "Each judgement in a rehearsal is an attempt. It is a hit when the bench agrees.",
    "pick": "Each act picked at guidance solo is an attempt. It is a hit when the first pick is right.",
    "sign_off": "Each sign-off is an attempt. It is a hit when the instructor's word is passed.",
    "fault": "Each fault that the bench proves on a plate of a rehearsal is an attempt, and never a hit.",
}
"""What is marked, and when it is a hit."""
_ENDED = {
    "on_time": marked("ended on time after {seconds} s"),
    "early": marked("ended early after {seconds} s"),
    "late": marked("ended late after {seconds} s"),
}


@frozen
class Mark:
    """One attempt. `words`: what happened, in short. `events`: ids of what it rests on, in order."""

    kind: MarkKind
    skill: str | None
    hit: bool
    step: str
    trainee: str
    words: str
    events: tuple[str, ...]


@frozen
class Remark:
    """Worth knowing, but no attempt: key points asked for, a slip of the keys, a plate given up."""

    kind: RemarkKind
    skill: str | None
    step: str
    trainee: str
    words: str
    event: str


class _Counted:
    """Marks and remarks, counted."""

    marks: tuple[Mark, ...]
    remarks: tuple[Remark, ...]

    @property
    def attempts(self) -> int:
        """How many attempts."""
        return len(self.marks)

    @property
    def hits(self) -> int:
        """How many of them were hits."""
        return sum(mark.hit for mark in self.marks)

    @property
    def hints(self) -> int:
        """How often key points were asked for."""
        return sum(remark.kind == "hint" for remark in self.remarks)


@frozen
class SkillScore(_Counted):
    """Marks and remarks of one skill; `None` is work that belongs to no skill."""

    skill: str | None
    marks: tuple[Mark, ...]
    remarks: tuple[Remark, ...]


@frozen
class Score(_Counted):
    """What came of a run. `excused`: an instructor took it out of the statistics; shown, not counted."""

    marks: tuple[Mark, ...] = ()
    remarks: tuple[Remark, ...] = ()
    excused: bool = False

    @property
    def spoiled(self) -> int:
        """How many plates were given up."""
        return sum(remark.kind == "spoiled" for remark in self.remarks)

    @property
    def skills(self) -> Mapping[str | None, SkillScore]:
        """By skill, in the order in which they first came."""
        skills = [mark.skill for mark in self.marks] + [remark.skill for remark in self.remarks]
        return {
            name: SkillScore(
                name,
                tuple(mark for mark in self.marks if mark.skill == name),
                tuple(remark for remark in self.remarks if remark.skill == name),
            )
            for name in dict.fromkeys(skills)
        }


def score(events: Iterable[Event], trainee: str | None = None) -> Score:
    """The score of a run, from its events in order; only what `trainee` did, where one is named."""
    reader = _Reader()
    for event in put_right(events):
        reader.take(event)
    whole = Score(tuple(reader.marks), tuple(reader.remarks), reader.excused)
    if trainee is None:
        return whole
    return replace(
        whole,
        marks=tuple(mark for mark in whole.marks if mark.trainee == trainee),
        remarks=tuple(remark for remark in whole.remarks if remark.trainee == trainee),
    )


@dataclass(slots=True)
class _Reader:
    """Goes through a run's events once, remembering what later ones refer to."""

    marks: list[Mark] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    excused: bool = False
    trainee: str = ""
    skills: dict[str, str | None] = field(default_factory=dict)  # by step
    shown: dict[str, str] = field(default_factory=dict)  # by step, the event that showed it last
    at_work: dict[str, str] = field(default_factory=dict)  # by step, who did it last
    window: str = ""  # the event that began the window at hand
    offer: str = ""  # the offer at solo that no pick has answered
    signed: dict[str, Mark] = field(default_factory=dict)  # by step, the last word on it of this plate
    closed: bool = False

    def take(self, event: Event) -> None:
        """One more event."""
        body, step = event.body, event.step or ""
        self.closed = self.closed or isinstance(body, ev.RunClosed)
        match body:
            case ev.RunOpened():
                self.trainee = body.trainee
            case ev.RunHandedOver():
                self.trainee = body.to
            case ev.StepShown():
                self.skills[step], self.shown[step] = body.skill, event.id
                self.at_work[step] = self.trainee
            case ev.WaitBegun():
                self.window = event.id if body.form == "window" else ""
            case ev.NextOffered():
                self.offer = event.id
            case ev.RunExcused():
                self.excused = True
            case ev.HintOpened():
                self._remark(event, "hint", spoken("asked for the key points"))
            case ev.PlateSpoiled():
                self.signed = {}
                said = spoken(
                    "gave up plate {number}: {reason}", number=body.plate, reason=spoken(body.reason)
                )
                self._remark(event, "spoiled", said)
            case ev.ReadingTaken(verdict="slip"):
                said = spoken("typed {number} {unit}", number=body.typed, unit=spoken(body.typed_unit))
                self._remark(event, "slip", said)
            case _:
                self._attempt(event, step)

    def _attempt(self, event: Event, step: str) -> None:
        body, before = event.body, self.shown.get(step, "")
        match body:
            case ev.QuizAnswered():
                self._mark(
                    event,
                    "quiz",
                    hit=body.right,
                    words=spoken("answered {answer}", answer=", ".join(body.answer)),
                )
            case ev.ReadingTaken():
                words = spoken("read {number} {unit}", number=body.typed, unit=spoken(body.typed_unit))
                self._mark(event, "reading", hit=body.verdict == "ok", words=words)
            case ev.Judged(right=bool()):
                self._mark(
                    event, "judge", hit=body.right is True, words=spoken("said {answer}", answer=body.answer)
                )
            case ev.WaitEnded() if self.window and body.outcome != "said":
                words = spoken(_ENDED[body.outcome], seconds=f"{body.seconds or 0:.0f}")
                self._mark(event, "window", hit=body.outcome == "on_time", words=words, before=self.window)
            case ev.NextPicked() if self.offer:
                self.skills[step] = body.skill
                words = spoken("picked {step}", step=body.step)
                self._mark(event, "pick", hit=body.right, words=words, before=self.offer)
                self.offer = ""
            case FaultFound():
                self._fault(event, body)
            case ev.SignedOff():
                self._signed(event, body, before)

    def _signed(self, event: Event, body: ev.SignedOff, before: str) -> None:
        """A mark of the step that is signed. A word after class stands for the one that was there before."""
        word = spoken("passed") if body.word == "passed" else spoken("not yet")
        words = spoken("{word}, by {who}", word=word, who=spoken("bench") if body.by == ev.BENCH else body.by)
        earlier = self.signed.get(body.of) if self.closed else None
        signed = self.shown.get(body.of, before)
        self._mark(event, "sign_off", hit=body.word == "passed", words=words, before=signed, of=body.of)
        if earlier is not None:
            self.marks.remove(earlier)
            self.marks[-1] = replace(self.marks[-1], events=(*earlier.events, event.id))
        self.signed[body.of] = self.marks[-1]

    def _fault(self, event: Event, body: FaultFound) -> None:
        """A mark of the skill whose act it was, and of whoever did that act last."""
        words = f"plate {body.plate}, {(body.fault or 'a fault').replace('-', ' ')}: {body.words}"
        ids = tuple(id_ for id_ in (self.shown.get(body.of, ""), event.id) if id_)
        trainee = self.at_work.get(body.of, self.trainee)
        self.marks.append(
            Mark("fault", body.skill, hit=False, step=body.of, trainee=trainee, words=words, events=ids)
        )

    def _mark(  # noqa: PLR0913 - all named where it is called
        self, event: Event, kind: MarkKind, *, hit: bool, words: str, before: str = "", of: str = ""
    ) -> None:
        """A mark that rests on `event` and on what came `before` it: else the showing of its step."""
        step = of or event.step or ""
        rests_on = (before or self.shown.get(step, ""), event.id)
        ids = tuple(id_ for id_ in rests_on if id_)
        self.marks.append(Mark(kind, self.skills.get(step), hit, step, self.trainee, words, ids))

    def _remark(self, event: Event, kind: RemarkKind, words: str) -> None:
        step = event.step or ""
        self.remarks.append(Remark(kind, self.skills.get(step), step, self.trainee, words, event.id))
