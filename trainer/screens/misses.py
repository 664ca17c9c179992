"""What was not as wanted in a run, in its procedure's own words: ids and keys mean nothing to a trainee."""

from __future__ import annotations

from trainer.procedure.text import one_line
from trainer.run.events import Body, Judged, NextPicked, QuizAnswered
from trainer.run.fault_events import FaultFound
from trainer.run.scoring import Mark
from trainer.run.view_parts import Parts
from trainer.tongue import spoken


def act(parts: Parts, step: str) -> str:
    """The first sentence of what a step asks to do, without its full stop; its id where it is not known."""
    said = parts.act(step) if step in parts.plan.steps else ""
    return one_line(said).split(". ")[0].rstrip(".") or step


def miss(parts: Parts, mark: Mark, body: Body) -> str:
    """One mark that is no hit, in a line. body: of the last event that it rests on."""
    done = act(parts, mark.step)
    return f"{done}{' ' if done.endswith('?') else ': '}{_what(parts, mark, body)}"


def miss_without_plan(mark: Mark, body: Body) -> str:
    """The same where there is no procedure: a wrong answer of fault practice, else the step's own id."""
    if isinstance(body, QuizAnswered) and body.name in {"cause", "remedy"}:
        from trainer.rehearsal import practice_words  # only practice has any

        return practice_words.missed(mark.step, body)
    return f"{mark.step}: {mark.words}"


def _what(parts: Parts, mark: Mark, body: Body) -> str:
    known = mark.step in parts.plan.steps
    match body:
        case Judged(answer=answer) if known:
            return spoken("said {answer}", answer=parts.said(mark.step, (answer,)))
        case QuizAnswered(answer=answer) if known:
            return spoken("answered {answer}", answer=parts.said(mark.step, answer))
        case NextPicked(step=step):
            return spoken("picked {step}", step=act(parts, step))
        case FaultFound():
            from trainer.rehearsal import retold  # only a rehearsal has any

            said = retold.fault(body.fault, body.words)
            return spoken("plate {number}: {fault}", number=body.plate, fault=said)
        case _:
            return mark.words
