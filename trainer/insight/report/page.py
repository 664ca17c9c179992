"""A class's report as one page of HTML that prints: all it needs is in it, and no script runs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.insight.report.curves import curves
from trainer.insight.report.findings import findings
from trainer.insight.report.guide_page import as_html
from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, p
from trainer.insight.report.people import ready, refresh, skills
from trainer.insight.report.record import record
from trainer.insight.report.stations import agreement, stations
from trainer.insight.report.style import style
from trainer.insight.report.summary import scope, summary
from trainer.insight.report.supplies import supplies
from trainer.insight.report.words import minute
from trainer.insight.report.work import hazards, questions, steps
from trainer.procedure.paper.tags import Html, rows, tag
from trainer.procedure.text import clean

INVENTED = "Invented data: no trainee, instructor or workplace here is real."
_PERCENT = "\N{NO-BREAK SPACE}%"
CAUTION = (
    "This page says what a record shows. It replaces no instructor: who works alone, and how, is decided by "
    "qualified people under the local code, the makers' instructions and the safety data sheets."
)


_MADE = "Made by Sinkside from {}. It needs no network and runs nothing."
_SOURCES = ("the record of a station", "the shared record of several stations")


def as_page(material: Material) -> str:
    """The whole page about a class."""
    sections = [
        skills(material),
        ready(material),
        refresh(material),
        findings(material),
        steps(material),
        hazards(material),
        questions(material),
        supplies(material),
        stations(material),
        curves(material),
        agreement(material),
        record(material),
        methods(material),
    ]
    head = (tag("h1", "After class: what the record shows"), *under(material))
    return framed(
        "After class",
        head,
        (summary(material), p(CAUTION, class_="quiet"), contents(sections)),
        sections,
        material,
    )


def under(material: Material) -> Iterator[Html]:
    """Below the title: what it is about, what was asked for, and when it was made."""
    yield p(scope(material), class_="under")
    said = asked(material)
    yield p(f"{said} {made(material)}".strip(), class_="quiet")


def made(material: Material) -> str:
    """When the page was made; of an invented record, the moment that was taken for the present."""
    at = minute(material.review.at, material.zone)
    return f"As things stood on {at}." if material.review.invented else f"Made on {at}."


def asked(material: Material) -> str:
    """What part of the record was asked for; empty where it was all of it."""
    wanted = material.review.wanted
    parts = [", ".join(material.places)] if material.places else []
    if wanted.procedures:
        parts.append(", ".join(material.names.procedure(one) for one in wanted.procedures))
    if wanted.kind is not None:
        parts.append("wet runs" if wanted.kind == "wet" else "rehearsals")
    if wanted.since is not None:
        parts.append(f"from {minute(wanted.since, material.zone)}")
    if wanted.until is not None:
        parts.append(f"before {minute(wanted.until, material.zone)}")
    return f"Only: {'; '.join(parts)}." if parts else ""


def contents(sections: Sequence[Section]) -> Html:
    """The list of sections, for the screen; paper has none."""
    links = [tag("a", section.title, href=f"#{section.id}") for section in sections]
    return tag("nav", rows(links, class_="plain"), aria_label="Sections")


def methods(material: Material) -> Section:
    """How everything is computed and what it cannot say: the guide's own page."""
    inside = (
        as_html(_without_title(material.methods)) if material.methods else p("See sinkside guide methods.")
    )
    return Section("methods", "Methods and caveats", (tag("div", inside, class_="methods"),), new_page=True)


def _without_title(markdown: str) -> str:
    """The guide's page has a title of its own, which the section has already."""
    first, _, rest = markdown.partition("\n")
    return rest if first.startswith("# ") else markdown


def framed(
    title: str, head: Sequence[Html], before: Sequence[Html], sections: Sequence[Section], material: Material
) -> str:
    """A page around its sections. What reached it uncleaned is cleaned here, once more and for all of it."""
    invented = material.review.invented
    strip = tag("div", "INVENTED DATA", class_="strip", aria_hidden="true") if invented else Html("")
    notice = tag("p", INVENTED, class_="invented") if invented else Html("")
    shown = style(
        f"Sinkside, {title}, {minute(material.review.at, material.zone)}", material.paper, invented=invented
    )
    top = tag(
        "head",
        Html('<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'),
        tag("title", f"{title}{' (invented)' if invented else ''}"),
        Html(f"<style>{shown}</style>"),
    )
    body = tag(
        "body",
        tag("a", "Skip to the findings", href="#main", class_="skip"),
        strip,
        tag("header", notice, *head),
        tag("main", *before, *(section.html() for section in sections), id="main", tabindex="-1"),
        tag("footer", p(_MADE.format(_SOURCES[material.is_shared]), class_="quiet")),
    )
    page = f"<!doctype html>\n{tag('html', top, body, lang='en').source}\n"
    return clean(page).replace(" %", _PERCENT)


def as_bytes(page: str) -> bytes:
    """A page as a file holds it; half a letter that reached it stands as a question mark."""
    return page.encode("utf-8", "replace")
