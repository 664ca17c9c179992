"""A procedure as one page of HTML to print, for the day the terminal is down. All it needs is in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trainer.procedure.charts.told import Teller
from trainer.procedure.measured import measured
from trainer.procedure.model import Procedure, Setting, Stage
from trainer.procedure.paper.steps import Sheet, right_answer
from trainer.procedure.paper.style import style
from trainer.procedure.paper.tags import Html, blank, box, rows, tag
from trainer.procedure.plan import Plan
from trainer.tongue import marked, spoken

_FIELDS = (
    *(marked("Trainee"), marked("Date"), marked("Job")),
    *(marked("Colour"), marked("Plate"), marked("Instructor")),
)
_COLUMNS = (marked("Setting"), marked("Value"), marked("Limits"), marked("Here"))
_FOR_EVERY = {
    "plate": marked("{item}: {amount} for every plate"),
    "run": marked("{item}: {amount} for every run"),
}
_HASH_SHOWN = 16


def as_page(plan: Plan, language: str = "en", pictures: Mapping[str, tuple[str, ...]] | None = None) -> str:
    """The whole page, its own words in the language spoken. pictures: drawings of the steps, by their id."""
    procedure = plan.procedure
    tell = Teller(procedure, language)
    sheet = Sheet(tell, numbers(procedure), plan.next_of, pictures or {}, plan.content_hash)
    revision = spoken("revision {number}", number=procedure.revision)
    title = f"{tell.words(procedure.title)}, {revision}"
    named = f"{procedure.id}, {revision}, {plan.content_hash[:_HASH_SHOWN]}"
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
    revision = spoken("revision {number}", number=procedure.revision)
    content = spoken("Content {hash}", hash=plan.content_hash)
    yield tag("p", f"{procedure.id}, {revision}. {content}", class_="quiet")
    yield tag("div", *(blank(spoken(field)) for field in _FIELDS), class_="framed")
    told = spoken(
        "Tick each act when it is done. What stands here is written into the record later, by hand."
    )
    yield tag("p", told)


def _before(procedure: Procedure, tell: Teller) -> Iterator[Html]:
    if procedure.cautions:
        yield tag(
            "section",
            tag("h2", spoken("Before you begin")),
            rows(map(tell.words, procedure.cautions)),
            class_="cautions",
        )
    if procedure.settings:
        yield tag("h2", spoken("Settings"))
        heads = tag("tr", *(tag("th", spoken(said), scope="col") for said in _COLUMNS))
        lines = [
            tag(
                "tr",
                tag("th", tell.words(one.label), scope="row"),
                tag("td", measured(float(one.value), one.unit)),
                tag("td", _span(one)),
                tag("td", Html("&#160;")),
            )
            for one in procedure.settings.values()
        ]
        yield tag("table", tag("thead", heads), tag("tbody", *lines))
    if procedure.supplies:
        yield tag("h2", spoken("What is used up"))
        yield rows(
            (
                box(
                    spoken(
                        _FOR_EVERY[one.per],
                        item=tell.words(one.item),
                        amount=measured(float(one.amount), one.unit),
                    )
                )
                for one in procedure.supplies
            ),
            class_="plain",
        )


def _span(setting: Setting) -> str:
    least, most = (measured(float(limit), setting.unit) for limit in setting.between)
    return spoken("{least} to {most}", least=least, most=most)


def _stage(stage: Stage, number: int, sheet: Sheet) -> Iterator[Html]:
    yield tag("h2", f"{number} {sheet.tell.words(stage.title)}", id=f"stage-{stage.id}")
    if stage.new_plate_from is not None:
        again = sheet.numbers[stage.new_plate_from]
        told = spoken("A plate spoiled here: mark it, and begin anew at {step}.", step=again)
        yield tag("p", told, class_="lead")
    yield from map(sheet.step, stage.steps)


def _last(plan: Plan, tell: Teller, sheet: Sheet) -> Iterator[Html]:
    yield tag("h2", spoken("The end"))
    signed = (blank(spoken("Ended at")), blank(spoken("Plates used"), "short"), blank(spoken("Signed")))
    yield tag("div", *signed, class_="framed")
    asked = [step for step in plan.steps.values() if step.quiz is not None]
    if asked:
        answers = (
            tag("p", tag("b", f"{sheet.numbers[step.id]} "), right_answer(step.quiz, tell))
            for step in asked
            if step.quiz is not None
        )
        head = tag("h2", spoken("Answers, for the instructor. Take this page off."))
        yield tag("section", head, *answers, class_="answers")
