"""A page for each trainee at once, each made of that trainee's rows alone, and the list of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from trainer.insight.report.gather import Gathered
from trainer.insight.report.material import Material, Paper, RunLine
from trainer.insight.report.page import as_bytes, asked, framed, made
from trainer.insight.report.parts import Section, p
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.trainee import as_trainee_page
from trainer.insight.report.words import NONE, day, listed, number_of
from trainer.insight.states import RULE
from trainer.procedure.paper.tags import Piece, tag
from trainer.run.ports import JournalTrouble

INDEX = "index.html"
_LONGEST = 40
_TAKEN = {"con", "prn", "aux", "nul", "index", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
"""Names that mean something else to a system, or here."""
_FOR = (
    "This list names everybody: it is the instructor's. Each page behind it has one trainee's data and "
    "nobody else's, leads back to no list, and can be handed to that trainee."
)


def pages(found: Gathered, paper: Paper | None) -> dict[str, Iterable[bytes]]:
    """By file name: the list, then a page for each trainee, made when it is written.

    Raises JournalTrouble where nobody did anything in what is wanted.
    """
    trainees = found.trainees()
    if not trainees:
        raise JournalTrouble(
            "No run is in the record for what was asked: there is nobody to write a page for."
        )
    names = file_names(trainees)
    material = replace(found.of_class(), paper=paper)
    written: dict[str, Iterable[bytes]] = {INDEX: [as_bytes(as_list(material, names))]}
    for trainee, name in names.items():
        written[name] = _written(partial(found.of_trainee, trainee), paper)
    return written


def _written(make: partial[Material], paper: Paper | None) -> Iterator[bytes]:
    yield as_bytes(as_trainee_page(replace(make(), paper=paper), RULE))


def file_names(trainees: Iterable[str]) -> dict[str, str]:
    """A plain name of a file for each code: letters and digits of ASCII and hyphens, no two alike.

    Whatever a code is, its name is no path, no name of a device, and none that is another's on a disk that
    does not tell small letters from large.
    """
    names: dict[str, str] = {}
    taken = set(_TAKEN)
    for trainee in trainees:
        letters = "".join(one if one.isascii() and one.isalnum() else " " for one in trainee)
        plain = "-".join(letters.split())[:_LONGEST].strip("-")
        if not plain[:1].isalpha() or plain.casefold() in _TAKEN:
            plain = f"trainee-{plain}".rstrip("-")
        name, number = plain, 1
        while name.casefold() in taken:
            number += 1
            name = f"{plain}-{number}"
        taken.add(name.casefold())
        names[trainee] = f"{name}.html"
    return names


def as_list(material: Material, names: Mapping[str, str]) -> str:
    """The list of the pages: who, how much, when last, and what to look at first."""
    heads: Sequence[Cell | str] = (
        "Trainee",
        Cell("Wet runs", "n"),
        Cell("Rehearsals", "n"),
        "Last opened",
        "Needs help at",
        "By the rule ready to work alone at",
    )
    lines = [_line(trainee, name, material) for trainee, name in names.items()]
    inside = (p(_FOR, class_="quiet"), table("A page for each trainee", heads, lines, class_="loose"))
    when = f"{asked(material)} {made(material)}".strip()
    head = (
        tag("h1", "A page for each trainee"),
        p(number_of(len(names), "trainee"), class_="under"),
        p(when),
    )
    return framed("A page for each trainee", head, (), [Section("pages", "The pages", inside)], material)


def _line(trainee: str, name: str, material: Material) -> Sequence[Cell | Piece]:
    own: list[RunLine] = [run for run in material.runs if run.trainee == trainee and not run.excused]
    wet = sum(not run.rehearsal for run in own)
    review = material.review
    weak = [row.skill for row in review.skills if row.trainee == trainee and row.state == "needs help"]
    ready = [
        material.names.procedure(row.procedure) for row in review.ready if row.trainee == trainee and row.met
    ]
    return (
        tag("a", trainee, href=name),
        right(f"{wet:,}"),
        right(f"{len(own) - wet:,}"),
        day(own[-1].opened_at, material.zone) if own else NONE,
        listed(weak) or NONE,
        listed(ready) or NONE,
    )
