"""A finding in one line: what it comes to first, so that what is cut off matters least. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content

from trainer.insight.results import Finding, Review
from trainer.screens.review import saying
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Opens, Words
from trainer.screens.review.station_rows import direction
from trainer.screens.review.stations_rows import name

READY = "ready"
"""Findings of this kind are told together: who may work alone is one thing to know, not eight."""


def together(found: Iterable[Finding]) -> list[tuple[Finding, ...]]:
    """What a line tells of each: a finding; at the end, all who may work alone by one procedure's rule."""
    told: list[tuple[Finding, ...]] = []
    ready: dict[str, list[Finding]] = {}
    for one in found:
        if one.kind == READY:
            ready.setdefault(one.keys[-1], []).append(one)
        else:
            told.append((one,))
    return [*told, *(tuple(several) for several in ready.values())]


def told(desk: Desk, some: tuple[Finding, ...], width: int) -> Words:
    """One line on findings that belong together."""
    first = some[0]
    if len(some) == 1:
        return line(first, words(desk, first, width))
    who = ", ".join(one.keys[0] for one in some)
    said = f"{len(some)} meet the rule for working alone: {who} ({desk.title(first.keys[-1])})."
    lead, style = saying.LEVELS[first.level]
    return Words(said, first=lead, style=style, opens=Opens("findings"), short=True)


def line(found: Finding, said: str) -> Words:
    """One finding in one line; opened, it says what it rests on."""
    lead, style = saying.LEVELS[found.level]
    return Words(said, first=lead, style=style, opens=Opens("finding", (found.kind, *found.keys)), short=True)


def words(desk: Desk, found: Finding, width: int) -> str:
    """The finding's own sentence where it fits, else what it comes to in few words."""
    lead, _ = saying.LEVELS[found.level]
    if desk.review is None or Content(lead + found.words).cell_length <= width:
        return found.words
    return _short(desk, desk.review, found) or found.words


def _short(desk: Desk, review: Review, found: Finding) -> str:
    """In few words; empty where its own sentence says first what matters."""
    match found.kind:
        case "weak-skill":
            return _weak(review, found)
        case "drift":
            return _drift(desk, review, found)
        case "step-trips":
            return f"Nearly everybody trips at “{desk.step(*found.keys)}”"
        case "question-bad":
            asked = next((one for one in review.questions if (one.procedure, one.name) == found.keys), None)
            if asked is None:
                return ""
            right = saying.of(asked.first_right.k, asked.first_right.n)
            return f"A question to look at, {right} right at first: “{asked.ask}”"
        case "hazard-missed":
            return f"Passed by without being accepted: “{desk.step(*found.keys)}”"
        case "hazard-unread":
            return f"Safety prompts accepted too fast to be read: {desk.title(found.keys[0])}"
    return ""


def _weak(review: Review, found: Finding) -> str:
    row = next((one for one in review.skills if (one.trainee, one.skill) == found.keys), None)
    if row is None:
        return ""
    own, others = saying.rate_short(row.rate), saying.of(row.peers.k, row.peers.n)
    return f"{row.trainee} at {row.skill}: right in {own}, the others in {others}"


def _drift(desk: Desk, review: Review, found: Finding) -> str:
    row = next((one for one in review.charts if (one.station, one.procedure, one.what) == found.keys), None)
    if row is None:
        return ""
    way, where = direction(row), f"At {name(row)}"
    if row.what == "wedge":
        moved = {"down": "falls", "up": "rises"}.get(way, "drifts")
        return f"{where} the wedge {moved} at the same exposure ({desk.title(row.procedure)})"
    moved = {"down": "shorter", "up": "longer"}.get(way, "longer or shorter")
    return f"{where} a unit of exposure takes {moved} than at the start"
