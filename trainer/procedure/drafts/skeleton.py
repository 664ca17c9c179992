"""The first text of a new procedure: commented, and free of errors when it is checked.

Every text of it that nobody gave is there to be replaced, the cautions apart, which are to be kept. Such a
text begins with "Say here", so that no author writes the same by chance: `checks_unwritten` tells which still
stand.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.procedure.names import RESERVED_TARGETS

if TYPE_CHECKING:  # what reads lists is loaded where there is one
    from trainer.procedure.drafts.listing import Act, Group

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 ,.'()/-]*[A-Za-z0-9.)]")
_LIKE_OTHERS = re.compile(r"true|false|null|yes|no|on|off|y|n", re.IGNORECASE)
_SMALL = frozenset(re.findall(r"\w+", "a an the of to in on at and or it its your with for from by is as"))
_LONGEST_ID = 32
SCHEMA_FILE = "procedure.schema.json"
"""The name under which a first file and an editor look for the shape of procedures, beside the file."""
SUMMARY = "Say here in one or two sentences what comes out, and from what."
"""Stands where no summary is given."""


@dataclass(frozen=True, slots=True)
class Begun:
    """What is known of a new procedure."""

    id: str
    title: str
    summary: str
    stage: str
    groups: tuple[Group, ...] = ()


def skeleton(begun: Begun) -> str:
    """The text of the file."""
    return "\n".join([*_head(begun), *(_listed(begun) if begun.groups else _example_steps(begun)), ""])


def scalar(text: str) -> str:
    """`text` as YAML reads it back: bare where that is safe, else in double quotes as JSON writes it.

    Every JSON string is a YAML one: YAML 1.2.2, section 1.2.
    """
    if _PLAIN.fullmatch(text) and not _LIKE_OTHERS.fullmatch(text):
        return text
    return json.dumps(text, ensure_ascii=False)


def ids_for(texts: Sequence[str]) -> list[str]:
    """An id for each text, from its first words that say something; no id twice."""
    taken = set(RESERVED_TARGETS)
    found: list[str] = []
    for number, text in enumerate(texts, 1):
        base = _slug(text) or f"step-{number}"
        name, again = base, 2
        while name in taken:
            name, again = f"{base}-{again}", again + 1
        taken.add(name)
        found.append(name)
    return found


def _id(name: str) -> str:
    """An id as it is written: in quotes where YAML has another meaning for the word, as for `true`."""
    return f'"{name}"' if _LIKE_OTHERS.fullmatch(name) else name


def _slug(text: str) -> str:
    letters = "".join(filter(str.isascii, unicodedata.normalize("NFKD", text))).lower()
    words = [word for word in re.findall(r"[a-z0-9]+", letters.replace("'", "")) if word not in _SMALL]
    while words and not words[0][0].isalpha():
        words.pop(0)
    name = ""
    for word in words[:4]:
        joined = f"{name}-{word}" if name else word[:_LONGEST_ID]
        if len(joined) > _LONGEST_ID:
            break
        name = joined
    return name


def _head(begun: Begun) -> list[str]:
    return [
        f"# yaml-language-server: $schema={SCHEMA_FILE}",
        "# (the line above is for editors: many then complete keys and mark what is wrong while one types)",
        "# Every line that begins with # is a remark: read it, then take it out.",
        "# What can stand in this file, with examples: sinkside guide author",
        f"# What is wrong with it, and what to write instead: sinkside check {begun.id}.yaml",
        "format: 1",
        f"id: {_id(begun.id)}",
        f"title: {scalar(begun.title)}",
        "revision: 1  # count it up whenever the work changes",
        f"summary: {scalar(begun.summary)}",
        "cautions:  # shown before the first act; keep these, add your own",
        "  - Local codes and the rules of your shop come before anything said here.",
        "  - The makers' instructions and safety data sheets come before these.",
        "",
        "# Numbers that the shop owns: the value, its limits, what it is called.",
        "# settings:",
        "#   drying: {value: 30, unit: s, between: [10, 120], label: Drying time}",
        "",
        "stages:",
    ]


def _listed(begun: Begun) -> Iterator[str]:
    yield "  # Made from a list. What is not in it yet, and often should be (sinkside guide author):"
    yield "  #   a safety prompt (hazard:) before each act that can hurt, with the acts it covers;"
    yield "  #   a wait: where time counts; a reading: where an instrument tells; a judge: where one looks."
    acts = [act.do for group in begun.groups for act in group.acts]
    names = iter(ids_for(acts))
    titles = [group.title or begun.stage for group in begun.groups]
    for stage, title, group in zip(ids_for(titles), titles, begun.groups, strict=True):
        yield f"  - id: {_id(stage)}"
        yield f"    title: {scalar(title)}"
        yield "    steps:"
        for act in group.acts:
            yield from _step(next(names), act)


def _step(name: str, act: Act) -> Iterator[str]:
    yield f"      - id: {_id(name)}"
    yield f"        do: {scalar(act.do)}"
    if act.key_points:
        yield "        key_points:"
        yield from (f"          - {scalar(point)}" for point in act.key_points)
    if act.why:
        yield f"        why: {scalar(act.why)}"


def _example_steps(begun: Begun) -> Iterator[str]:
    (stage,) = ids_for([begun.stage])
    yield f"  - id: {_id(stage)}"
    yield f"    title: {scalar(begun.stage)}"
    yield "    steps:"
    yield from _EXAMPLE.split("\n")


_EXAMPLE = """\
      # A safety prompt. Nobody gets to the steps that it covers without it.
      - id: mind-the-edge
        hazard:
          signal: caution  # danger, warning or caution: sinkside guide safety
          harm: Say here what can hurt whom, and how.
          avoid:
            - Say here what to do so that it does not
          covers: [first-act]
      # An act: one thing that the hands do. Key points: what makes or breaks it. The reason.
      - id: first-act
        do: Say here the first act, as you would say it to somebody's back.
        key_points:
          - Say here what makes or breaks it
          - Say here what it looks like when it is right
        why: Say here the reason, in one sentence.
      # An act that takes time. Instead of `for`: at_least and at_most.
      - id: let-it-rest
        do: Say here what takes its time, as "Let it dry."
        wait: {for: 30 s}
      # A look that decides the way on. `right` is never shown.
      - id: how-is-it
        judge:
          name: look
          ask: Say here what to look at, as "How does it look?"
          answers:
            good: Say here what is seen when it is right
            not_yet: Say here what is seen when it is not
          right: good
        go:
          - {when: answers.look == 'not_yet', to: put-it-right}
      # Beside the way: reached only from `go`. It says where the work goes on.
      - id: put-it-right
        aside: true
        do: Say here what to do when it is not.
        then: how-is-it
      - id: last-act
        do: Say here the last act."""
