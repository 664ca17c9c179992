"""Texts that a new procedure begins with and nobody has replaced: which they are, and how they are told.

No source: the drafts are our own.
"""

from __future__ import annotations

import re

import pytest

from trainer import places
from trainer.procedure.checks_unwritten import to_be_replaced
from trainer.procedure.drafts.skeleton import SUMMARY, Begun, skeleton
from trainer.procedure.load import Loaded, load_bytes
from trainer.procedure.render import as_text

TITLE = "Contact print"
NEW = skeleton(Begun("new", TITLE, SUMMARY, "Coating"))


def read(text: str) -> Loaded:
    """What is read of a file."""
    return load_bytes(text.encode(), "new.yaml")


def told(text: str) -> list[tuple[int, str]]:
    """Line and sentence of each warning of such a text."""
    found = read(text).problems
    return [(one.place.line, one.message) for one in found if one.code == "S36"]


def test_every_text_that_a_draft_asks_for_begins_alike() -> None:
    """They all begin with "Say here", no other text of the draft does; what is to be kept is none."""
    assert len(to_be_replaced()) > 10
    assert all(text.startswith("Say here ") for text in to_be_replaced())
    assert NEW.count("Say here ") == len(to_be_replaced())
    cautions = read(NEW).require().procedure.cautions
    assert to_be_replaced().isdisjoint({TITLE, "Coating", *map(str, cautions)})


def test_each_is_told_until_it_is_replaced() -> None:
    """Whichever one is left, it alone is told, at its line, with its step, and the file can be used."""
    for left in to_be_replaced():
        text = re.sub("Say here (?!" + re.escape(left.removeprefix("Say here ")) + "(\n|$))", "Do ", NEW)
        ((line, sentence),) = told(text)
        assert left in text.split("\n")[line - 1]
        assert left[:40] in sentence
        assert read(text).plan is not None


def test_no_text_that_ships_is_one() -> None:
    """None stands in a shipped procedure, nor in an example of the guide but the page of its own code."""
    pages = [file for file in places.guide_dir().rglob("*.md") if file.name != "shape.md"]
    for file in (*places.procedures_dir().glob("*.yaml"), *pages):
        shipped = " ".join(file.read_text(encoding="utf-8").split())
        assert [text for text in to_be_replaced() if text in shipped] == []


@pytest.mark.parametrize(
    "written",
    [
        "Say here",
        "Say what can hurt whom.",
        'Say "hot" when you turn round with it',
        "Say here the last act. Then bow.",
    ],
)
def test_what_an_author_writes_is_none(written: str) -> None:
    """A text that is only like one of them is the author's own."""
    assert all("last-act" not in one for _, one in told(NEW.replace("Say here the last act.", written)))


def test_other_blanks_and_languages_hide_none() -> None:
    """Folded over two lines, and beside a translation, it is still told; the translation is not."""
    folded = NEW.replace("do: Say here the last act.", "do: >-\n          Say here the\n          last act.")
    assert told(folded)[-1][1] == "Still to be written in step `last-act`: `Say here the last act.`."
    both = NEW.replace("do: Say here the last act.", "do: {es: Para., en: Say here the last act.}")
    assert told(both)[-1][1] == told(folded)[-1][1]
    assert len(told(NEW.replace("do: Say here the last act.", "do: {es: Para., en: Stop.}"))) == 6


def test_a_file_with_errors_has_them_told_too() -> None:
    """What is still to be written is said beside what is wrong, not only once that is mended."""
    wrong = read(NEW.replace("covers: [first-act]", "covers: [frst-act]"))
    assert [problem.code for problem in wrong.problems if problem.severity == "error"] == ["G02"]
    assert sum(problem.code == "S36" for problem in wrong.problems) == 7


def test_several_are_a_list_and_one_has_its_line_shown() -> None:
    """A list says once what to do; a single one is told as other problems are, with its line and a caret."""
    loaded = read(NEW)
    rows = as_text(loaded.problems, loaded.source_text, "new.yaml").split("\n")
    assert len(rows) == len(loaded.problems) + 1
    assert rows[-1] == loaded.problems[0].help
    last = as_text(loaded.problems[-1:], loaded.source_text, "new.yaml").split("\n")
    assert "^" in last[2]
    mixed = read(NEW.replace("covers: [first-act]", "covers: [frst-act]"))
    blocks = as_text(mixed.problems, mixed.source_text, "new.yaml").split("\n\n")
    assert [block.count("\n") for block in blocks] == [2, 3, 5]
