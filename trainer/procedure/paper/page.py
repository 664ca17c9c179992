"""A procedure as one page of HTML to print, for the day the terminal is down. All it needs is in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trainer.procedure.charts.told import Teller
from trainer.procedure.model import Procedure, Stage
from trainer.procedure.paper.steps import Sheet, right_answer
from trainer.procedure.paper.style import style
from trainer.procedure.paper.tags import Html, blank, box, rows, tag
from trainer.procedure.plan import Plan
from trainer.procedure.units import shown

_FIELDS = ("Trainee", "Date", "Job", "Colour", "Plate", "Instructor")
_HASH_SHOWN = 16


def as_page(plan: Plan, language: str = "en", pictures: Mapping[str, tuple[str, ...]] | None = None) -> str:
    """The whole page. pictures: the drawings of the steps, by their id."""
    procedure = plan.procedure
    tell = Teller(procedure, language)
    sheet = Sheet(tell, numbers(procedure), plan.next_of, pictures or {}, plan.content_hash)
    title = f"{tell.words(procedure.title)}, revision {procedure.revision}"
    named = f"{procedure.id}, revision {procedure.revision}, {plan.content_hash[:_HASH_SHOWN]}"
    body = (
        *_head(plan, tell),
        *_before(procedure, tell),
        *(part for number, stage in enumerate(procedure.stages, 1) for part in _stage(stage, number, sheet)),
        *_last(plan, tell, sheet),
    )
    head = (
        Html('<meta charset="utf-8"><meta name="viewport" content="width=device-width">'),
        tag("title", title),
        Html(f"<style>{style(named)}</style>"),
    )
    page = tag("html", tag("head", *head), "\n", tag("body", tag("main", *body)), lang=_spoken(tell))
    return f"<!doctype html>\n{page.source}\n"


def numbers(procedure: Procedure) -> dict[str, str]:
    """The number of each step on paper: its stage's, a point, its place in the stage."""
    return {
        step.id: f"{stage_number}.{number}"
        for stage_number, stage in enumerate(procedure.stages, 1)
        for number, step in enumerate(stage.steps, 1)
    }


def _spoken(tell: Teller) -> str:
    """The language of the page: the wanted one where the title is written in it, else English."""
    title = tell.procedure.title
    return tell.language if isinstance(title, dict) and tell.language in title else "en"


def _head(plan: Plan, tell: Teller) -> Iterator[Html]:
    procedure = plan.procedure
    yield tag("h1", tell.words(procedure.title))
    yield tag("p", tell.words(procedure.summary))
    yield tag(
        "p", f"{procedure.id}, revision {procedure.revision}. Content {plan.content_hash}", class_="quiet"
    )
    yield tag("div", *(blank(field) for field in _FIELDS), class_="framed")
    told = "Tick each act when it is done. What stands here is written into the record later, by hand."
    yield tag("p", told)


def _before(procedure: Procedure, tell: Teller) -> Iterator[Html]:
    if procedure.cautions:
        yield tag(
            "section",
            tag("h2", "Before you begin"),
            rows(map(tell.words, procedure.cautions)),
            class_="cautions",
        )
    if procedure.settings:
        yield tag("h2", "Settings")
        heads = tag("tr", *(tag("th", said, scope="col") for said in ("Setting", "Value", "Limits", "Here")))
        lines = [
            tag(
                "tr",
                tag("th", tell.words(one.label), scope="row"),
                tag("td", shown(float(one.value), one.unit)),
                tag("td", " to ".join(shown(float(limit), one.unit) for limit in one.between)),
                tag("td", Html("&#160;")),
            )
            for one in procedure.settings.values()
        ]
        yield tag("table", tag("thead", heads), tag("tbody", *lines))
    if procedure.supplies:
        yield tag("h2", "What is used up")
        yield rows(
            (
                box(f"{tell.words(one.item)}: {shown(float(one.amount), one.unit)} for every {one.per}")
                for one in procedure.supplies
            ),
            class_="plain",
        )


def _stage(stage: Stage, number: int, sheet: Sheet) -> Iterator[Html]:
    yield tag("h2", f"{number} {sheet.tell.words(stage.title)}", id=f"stage-{stage.id}")
    if stage.new_plate_from is not None:
        again = sheet.numbers[stage.new_plate_from]
        yield tag("p", f"A plate spoiled here: mark it, and begin anew at {again}.", class_="lead")
    yield from map(sheet.step, stage.steps)


def _last(plan: Plan, tell: Teller, sheet: Sheet) -> Iterator[Html]:
    yield tag("h2", "The end")
    yield tag("div", blank("Ended at"), blank("Plates used", "short"), blank("Signed"), class_="framed")
    asked = [step for step in plan.steps.values() if step.quiz is not None]
    if asked:
        answers = (
            tag("p", tag("b", f"{sheet.numbers[step.id]} "), right_answer(step.quiz, tell))
            for step in asked
            if step.quiz is not None
        )
        head = tag("h2", "Answers, for the instructor. Take this page off.")
        yield tag("section", head, *answers, class_="answers")
