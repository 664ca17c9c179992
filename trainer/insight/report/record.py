"""What the figures rest on: how much the record holds, whether it is as it was written, what was left out."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.insight.report.material import Kept, Material, RunLine
from trainer.insight.report.parts import Section, code, p
from trainer.insight.report.table import Cell, table
from trainer.insight.report.words import day, number_of, short
from trainer.procedure.paper.tags import Html, Piece, rows, tag, together

MOST_HEADS = 1000
_MOST_PROBLEMS = 20


def excused(material: Material, *, whose: bool = True) -> Iterator[Html]:
    """Runs that an instructor took out, with the reasons."""
    found = [run for run in material.runs if run.excused]
    heads: tuple[Cell | str, ...] = ("Run", "Opened", "Trainee", "Procedure", "Why")
    lines = [_excused(run, material) for run in found]
    if not whose:
        heads = (*heads[:2], *heads[3:])
        lines = [(*line[:2], *line[3:]) for line in lines]
    yield table("Excused runs: shown here, counted nowhere", heads, lines)


def _excused(run: RunLine, material: Material) -> tuple[Cell | Piece, ...]:
    return (
        code(short(run.run)),
        day(run.opened_at, material.zone),
        run.trainee,
        material.names.procedure(run.procedure),
        tag("bdi", run.excused),
    )


def record(material: Material) -> Section:
    """The section."""
    kept = material.kept
    inside: list[Html] = [p(held(kept)), *verdict(kept), *excused(material)]
    if not any(run.excused for run in material.runs):
        inside.append(p("No run was excused."))
    if material.review.troubles:
        inside.append(p("What could not be read; everything else is counted all the same:"))
        inside.append(rows(material.review.troubles))
    inside += heads(kept)
    return Section("record", "What this rests on", tuple(inside))


def held(kept: Kept, whose: str = "") -> Html:
    """Counts and head of the list of runs. whose: of which trainee; empty: of everybody."""
    holder = f"Of {whose} the record" if whose else "The record"
    said = f"{holder} holds {number_of(kept.runs, 'run')} and {number_of(kept.events, 'event')}."
    if not kept.openings:
        return together((said,))
    later = " Keep this page: a record from which a run was taken later has another head, or fewer runs."
    return together((said, " Head of the list of runs: ", code(kept.openings), ".", later))


def verdict(kept: Kept) -> Iterator[Html]:
    """Whether the record was looked over for this page, and what was found."""
    check = kept.check
    if check is None:
        how = code("sinkside record verify")
        yield p("Whether anything kept was altered since, ", how, " says; it was not asked for this page.")
        return
    if check.ok:
        yield p(f"Looked over when this page was made: {check.verdict}")
        return
    told = p(tag("b", "The record is not as it was written. "), check.verdict)
    more = len(check.problems) - _MOST_PROBLEMS
    rest = p(f"{number_of(more, 'further problem')}: see sinkside record verify.") if more > 0 else Html("")
    yield tag("div", told, rows(check.problems[:_MOST_PROBLEMS]), rest, class_="notice")


def heads(kept: Kept) -> Iterator[Html]:
    """Every run's count and head, for whoever wants to hold the record against this page later."""
    shown = kept.heads[-MOST_HEADS:]
    if not shown:
        return
    yield tag("h3", "Count and head of each run")
    told = (
        "Number of the run at the station, events kept, beginning of the head: as in the file beside the "
        "record whose name ends in .heads."
    )
    left = len(kept.heads) - len(shown)
    yield p(told, f" The last {MOST_HEADS:,} runs; {left:,} before them." if left else "", class_="quiet")
    items = [code(f"{one.number} {one.count} {one.head}") for one in shown]
    yield tag("ol", *(tag("li", item) for item in items), class_="heads")
