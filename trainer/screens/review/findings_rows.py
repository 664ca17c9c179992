"""What stands out: all findings, one of them with what it rests on, and what could not be read. Pure."""

from __future__ import annotations

from trainer.insight.results import Finding
from trainer.screens.review import missed, saying
from trainer.screens.review.class_rows import line
from trainer.screens.review.desk import Desk, subject_opens
from trainer.screens.review.leaf import Heading, Item, Leaf, Size, Words, rests

LEVELS = (
    ("act", "To do something about"),
    ("watch", "To look at again next week"),
    ("know", "Good to know"),
)
SMALL = (
    "This class is small: take all of it as a first impression, look at the runs behind it, and ask the "
    "trainee before you decide anything."
)

STEPS = 4
"""Steps that are named where somebody is weak at a skill."""
INTERVAL = (
    "“9 of 24 (interval 21 to 57 %)”: nine in 24 tries; in 95 of 100 such cases the true rate lies between "
    "the two ends. The wider apart, the less sure."
)


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """All findings, by what is to be done."""
    del keys, size
    items: list[Item] = []
    review = desk.review
    for level, head in LEVELS:
        found = [one for one in review.findings if one.level == level] if review else []
        if found:
            items.append(Heading(head, saying.number_of(len(found), "finding")))
            items += [line(one, short=False) for one in found]
    if not items:
        items.append(Words("Nothing stands out in what is looked at.", gap=1))
    if any("interval" in one.words for one in (review.findings if review else ())):
        items.append(Words(INTERVAL, style="$quiet", gap=1))
    if review and review.provisional:
        items.append(Words(SMALL, style="$quiet", gap=1))
    return Leaf("What stands out", tuple(items))


def found_by(desk: Desk, keys: tuple[str, ...]) -> Finding | None:
    """The finding with that kind and those keys."""
    for one in desk.review.findings if desk.review else ():
        if (one.kind, *one.keys) == keys:
            return one
    return None


def one_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """One finding: the sentence, why, how it was worked out, what it is about, what it rests on."""
    del size
    found = found_by(desk, keys)
    if found is None:
        return Leaf("A finding", (Words("This no longer stands out in what is looked at.", gap=1),))
    lead, style = saying.LEVELS[found.level]
    about = subject_opens(found.subject, found.keys)
    how = [f"It rests on {found.n} in all." if found.n else ""]
    if found.p is not None:
        how.append(f"Chance alone would make it in {_chance(found.p)}.")
    if found.method:
        how.append(f"How it is worked out: `sinkside guide methods`, `{found.method}`.")
    items: list[Item] = [
        Words(found.words, first=lead, style=style or "bold", gap=1),
        Words(found.why, gap=1),
    ]
    if found.kind == "weak-skill":
        who, skill = found.keys
        where = missed.told(desk, missed.by_step(desk.attempts(trainee=who, skill=skill)), STEPS)
        items += [Heading("Where it goes wrong", "the steps missed most"), *where] if where else []
    items += [
        Words(" ".join(part for part in how if part), style="$quiet", gap=1),
        Heading("What it rests on"),
    ]
    if about is not None:
        items.append(Words(f"All about this {found.subject}", first="> ", opens=about))
    behind = rests(found.words, found.runs)
    if behind is not None:
        items.append(Words(saying.number_of(len(found.runs), "run"), first="> ", opens=behind))
    return Leaf("A finding", tuple(items))


def _chance(p: float) -> str:
    if p < 0.001:
        return "fewer than 1 in 1000 classes like this"
    return (
        f"{1000 * p:.0f} in 1000 classes like this" if p < 0.1 else f"{100 * p:.0f} in 100 classes like this"
    )


def troubles_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """What of the record could not be read."""
    del keys, size
    troubles = desk.review.troubles if desk.review else ()
    told = tuple(Words(one, first="! ", gap=1) for one in troubles)
    rest = "All else was read and is shown. See `sinkside record verify`."
    return Leaf("What could not be read", (*told, Words(rest, style="$quiet", gap=1)))
