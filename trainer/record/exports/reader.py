"""One run gone through for statements: what later events refer to, and the parts that statements share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from trainer.procedure.model import Step
from trainer.procedure.plan import Plan
from trainer.record.exports import questions as q
from trainer.record.exports.forms import duration_of, is_language
from trainer.record.exports.naming import Json, Naming
from trainer.record.exports.vocabulary import PERFORMANCE, STEP, VERBS
from trainer.run import events as ev
from trainer.run.events import Event, Stamp


@dataclass(slots=True)
class Reader:
    """Goes through the events of one run once, remembering what later ones refer to.

    plan: the procedure it was opened with; None where that cannot be read any more, and then definitions
    have less in them. wanted: whose acts are to be stated; empty: everybody's.
    invented: the class never was, and each statement says so.
    """

    naming: Naming
    plan: Plan | None
    wanted: frozenset[str] = frozenset()
    invented: bool = False
    trainee: str = ""
    opened: ev.RunOpened | None = None
    begun: Stamp | None = None
    plate: int = 1
    plate_begun: Stamp | None = None
    shown: dict[str, Stamp] = field(default_factory=dict)  # by step, when it came on the screen last
    step: str | None = None  # the step that is on the screen
    offered: ev.NextOffered | None = None
    stated: list[str] = field(default_factory=list)  # ids of statements that nothing has voided

    def follow(self, event: Event) -> None:
        """Take in what an event begins, before it is stated."""
        match event.body:
            case ev.RunOpened() as opened:
                self.trainee, self.opened = opened.trainee, opened
                self.begun = self.plate_begun = event.stamp
            case ev.StepShown(plate=plate) if event.step is not None:
                self.shown[event.step] = event.stamp
                self.step, self.plate, self.offered = event.step, plate, None
            case ev.NextOffered() as offered:
                self.offered = offered
            case _:
                pass

    def leave(self, event: Event) -> None:
        """Take in what an event ends, once it was stated."""
        match event.body:
            case ev.Moved(why=why) if why != "again":
                self.step = None
            case ev.RunHandedOver(to=to):
                self.trainee = to
            case ev.PlateSpoiled(plate=plate):
                self.plate, self.plate_begun = plate + 1, event.stamp
            case _:
                pass

    # Parts of a statement

    def say(self, event: Event, verb: str, about: Json, result: Json | None = None, by: str = "") -> Json:
        """One statement. by: the instructor whose word it is."""
        said: Json = {
            "id": event.id,
            "actor": self.naming.agent(self.trainee),
            "verb": {"id": VERBS[verb], "display": {"en": verb}},
            "object": about,
            "context": self._context(event, by),
            "timestamp": event.stamp.at,
        }
        return {**said, "result": result} if result else said

    def _context(self, event: Event, by: str) -> Json:
        opened = self.opened
        extension = self.naming.extension
        extensions: Json = {extension("plate"): self.plate}
        found: Json = {"registration": self.naming.registration(event.run), "platform": "Sinkside"}
        if self.invented:
            extensions[extension("invented")] = True
        if opened is not None:
            found["revision"] = f"{opened.revision} {opened.content_hash[:12]}".strip()
            extensions[extension("guidance")] = opened.guidance
            extensions[extension("rehearsal")] = opened.rehearsal
            if self.naming.school:
                extensions[extension("school")] = self.naming.school
            if opened.station:
                extensions[extension("station")] = opened.station
            if is_language(opened.language):
                found["language"] = opened.language
        found["extensions"] = extensions
        if event.step is not None:
            found["contextActivities"] = {"parent": [{"id": self.iri()}]}
        if by:
            found["instructor"] = self.naming.agent(by)
        return found

    def iri(self, *parts: str) -> str:
        """What stands for the procedure, or for a part of it."""
        return self.naming.iri("procedures", self.opened.procedure if self.opened else "", *parts)

    def procedure(self) -> Json:
        """The whole work."""
        definition: Json = {"type": PERFORMANCE}
        if self.plan is not None:
            definition["name"] = q.words(self.plan.procedure.title)
        return activity(self.iri(), definition)

    def act(self, step: str, kind: str = STEP, *below: str) -> Json:
        """A step, or something that belongs to it."""
        definition: Json = {"type": kind}
        known = self.known(step)
        if known is not None and known.do is not None and not below:
            definition["name"] = q.words(known.do)
        return activity(self.iri("steps", step, *below), definition)

    def plate_made(self) -> Json:
        """A plate of this procedure."""
        return activity(self.iri("plate"), {"type": PERFORMANCE, "name": {"en": "The plate"}})

    def known(self, step: str) -> Step | None:
        """A step as its procedure has it."""
        return self.plan.steps.get(step) if self.plan is not None else None

    def asked(self, step: str, name: str, definition: Json) -> Json:
        """A question, a judgement or a reading at a step."""
        return activity(self.iri("steps", step, name), definition)

    def lasted(self, since: Stamp | None, event: Event) -> Json:
        """`duration`, where the time between is known: a count that did not stop between."""
        if since is None or since.boot != event.stamp.boot or since.ticks_ms > event.stamp.ticks_ms:
            return {}
        return {"duration": duration_of((event.stamp.ticks_ms - since.ticks_ms) / 1000)}

    def voidings(self, event: Event, body: ev.RunExcused) -> Iterator[Json]:
        """An excused run is to count nowhere: each of its statements is voided, and stays to be read."""
        for voided in self.stated:
            yield {
                "id": self.naming.derived_id(event.id, voided),
                "actor": self.naming.agent(body.by),
                "verb": {"id": VERBS["voided"], "display": {"en": "voided"}},
                "object": {"objectType": "StatementRef", "id": voided},
                "context": {"registration": self.naming.registration(event.run)},
                "timestamp": event.stamp.at,
            }
        self.stated.clear()


def activity(iri: str, definition: Json) -> Json:
    """An activity."""
    return {"objectType": "Activity", "id": iri, "definition": definition}
