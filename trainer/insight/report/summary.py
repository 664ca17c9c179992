"""The first half page: what a head of department has to know, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainer.insight.report.material import Material
from trainer.insight.report.parts import p
from trainer.insight.report.words import day, listed, number_of, school_of
from trainer.insight.results import Finding, ReadyRow, Review
from trainer.procedure.paper.tags import Html, rows, tag

_URGENT = {"act": 0, "watch": 1, "know": 2}
_MOST = 3
_MOST_OF = {"safety": 1, "waste": 1, "teach": 7}


@dataclass(frozen=True, slots=True)
class Group:
    """A heading of the summary. nothing: said where nothing belongs under it. more: the section about it."""

    id: str
    title: str
    nothing: str
    more: str


SAFETY = Group(
    "safety", "Safety first", "No safety prompt stands out as passed by or unread.", "safety-prompts"
)
TEACH = Group(
    "teach", "Teach again", "No trainee, step or question stands out from what chance gives.", "findings"
)
READY = Group("ready", "Ready to work alone", "Nobody meets a procedure's rule yet.", "alone")
REFRESH = Group("refresh", "To do again", "Nobody is past a date for doing a procedure again.", "again")
WASTED = Group("waste", "Wasted", "", "material")
DRIFTING = Group("drift", "Drifting", "No lamp or developer drifts, as far as the readings tell.", "stations")
OTHER = Group("other", "Also", "", "findings")
GROUPS = (SAFETY, TEACH, READY, REFRESH, WASTED, DRIFTING, OTHER)
_BY_KIND = {"ready": READY, "refresh": REFRESH}
_BY_SUBJECT = {
    "hazard": SAFETY,
    "trainee": TEACH,
    "skill": TEACH,
    "step": TEACH,
    "question": TEACH,
    "supply": WASTED,
    "station": DRIFTING,
    "class": OTHER,
}


def group_of(finding: Finding) -> Group:
    """The heading that a finding stands under: each under one."""
    return _BY_KIND.get(finding.kind) or _BY_SUBJECT[finding.subject]


def ranked(findings: Sequence[Finding]) -> list[Finding]:
    """The most urgent first; of equal ones the order they came in."""
    return sorted(findings, key=lambda finding: _URGENT[finding.level])


def summary(material: Material) -> Html:
    """The box at the head of the page."""
    review = material.review
    groups = tag("div", *(group for one in GROUPS for group in _group(one, review, material)))
    heading = tag("h2", "In short", id="short-title")
    return tag("section", heading, groups, class_="summary", id="short", aria_labelledby="short-title")


def scope(material: Material) -> str:
    """What the page is about: how many trainees and runs, and from when to when."""
    review = material.review
    counting = [run for run in material.runs if not run.excused]
    if not counting:
        return "No run is in the record for what was asked, so there is nothing to find yet."
    wet = sum(not run.rehearsal for run in counting)
    schools = len({school_of(code) for code in review.trainees} - {""})
    of = f" of {schools} schools" if schools > 1 else ""
    said = f"{number_of(len(review.trainees), 'trainee')}{of}, {number_of(len(counting), 'run')}: "
    said += f"{number_of(wet, 'wet run')}, {number_of(len(counting) - wet, 'rehearsal')}. "
    first, last = (day(run.opened_at, material.zone) for run in (counting[0], counting[-1]))
    said += f"Opened on {first}." if first == last else f"Opened from {first} to {last}."
    if review.excused:
        said += f" {number_of(len(review.excused), 'excused run')} named further on and not counted."
    return said


def _group(group: Group, review: Review, material: Material) -> Iterator[Html]:
    found = ranked([one for one in review.findings if group_of(one) is group])
    if group in (SAFETY, WASTED):  # a finding for each procedure: what happened most often comes first
        found.sort(key=lambda one: (_URGENT[one.level], -one.n))
    if group is READY:
        said, left = _ready_words(review.ready, found, material), 0
    else:
        said = [one.words for one in found[: _MOST_OF.get(group.id, _MOST)]]
        left = len(found) - len(said)
    if not said and group is OTHER:
        return
    inside = [rows(said, class_="plain")] if said else [p(_nothing(group, review))]
    if left > 0:
        inside.append(p(f"{left} more under ", tag("a", "What stands out", href="#findings"), "."))
    heading = tag("h3", tag("a", group.title, href=f"#{group.more}"))
    yield tag("div", heading, tag("div", *inside), class_="group")


def _nothing(group: Group, review: Review) -> str:
    """Silence of a record that holds too little is no good news, and is not told as such."""
    held = {
        SAFETY: any(row.shown for row in review.hazards),
        TEACH: review.runs > 0,
        REFRESH: bool(review.refresh),
        WASTED: any(row.plates for row in review.waste),
        DRIFTING: any(row.centre is not None for row in review.charts),
    }
    if not held.get(group, True):
        return "Too little is in the record to say anything."
    if group is WASTED:
        return _wasted(review)
    if group is REFRESH and (late := sum(row.overdue for row in review.refresh)):
        return f"{number_of(late, 'date')} for doing a procedure again {'is' if late == 1 else 'are'} past."
    return group.nothing


def _wasted(review: Review) -> str:
    """Plates wasted of plates used, each procedure's counted once, whatever is used up with a plate."""
    plates = {row.procedure: (row.plates_wasted, row.plates) for row in review.waste}
    wasted, used = (sum(column) for column in zip(*plates.values(), strict=True))
    return f"{wasted:,} of {number_of(used, 'plate')} in wet runs."


def _ready_words(ready: Sequence[ReadyRow], found: Sequence[Finding], material: Material) -> list[str]:
    """Who meets the rule, by procedure, from the rows themselves: one sentence each, whoever it is."""
    by_procedure: dict[str, list[ReadyRow]] = {}
    for row in ready:
        by_procedure.setdefault(row.procedure, []).append(row)
    said = []
    for procedure, lines in sorted(by_procedure.items(), key=lambda one: -sum(row.met for row in one[1])):
        met = [row.trainee for row in lines if row.met]
        if met:
            title = material.names.procedure(procedure)
            who = f"all {number_of(len(met), 'trainee')}" if len(met) == len(lines) > 1 else listed(met)
            of = "" if len(met) == len(lines) > 1 else f" ({len(met)} of {number_of(len(lines), 'trainee')})"
            said.append(f"{title}: {who}{of}.")
    return said[: _MOST + 1] or [one.words for one in found[:_MOST]]
