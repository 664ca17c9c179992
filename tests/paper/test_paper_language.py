"""The page to print in another language: nothing on it is English that nobody translated. No source."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from test_paper import Read
from wordless import LANGUAGE, SIGNS, Wordless, wordless_plan

from trainer import places, tongue
from trainer.procedure.load import load
from trainer.procedure.paper.page import as_page
from trainer.procedure.plan import Plan

PLATE = "negative-plate-two-burns"  # the one that is written in two languages


@pytest.fixture
def wordless(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The language without words for one test, English after it."""
    monkeypatch.setattr(tongue, "_catalogues", {LANGUAGE: Wordless()})
    tongue.speak(LANGUAGE)
    yield
    tongue.speak("en")


def known(plan: Plan) -> set[str]:
    """What is no word of a language: the id, functions of formulas, signs of units."""
    return {plan.procedure.id, *SIGNS, "mL", "abs", "max", "min"}


@pytest.mark.usefixtures("wordless")
def test_no_word_of_the_page_is_english_only() -> None:
    """In a language without words only ids, names in formulas, figures and signs are left to be read."""
    plan = wordless_plan(PLATE)
    read = Read(re.sub("<pre.*?</pre>", "", as_page(plan, LANGUAGE), flags=re.DOTALL))
    said = re.sub(r"[0-9a-f]{64}|\w*_\w+\(|" + re.escape(plan.procedure.id), "", read.said)
    assert set(re.findall(r"[A-Za-z]{2,}", said)) - known(plan) == set()
    named = [key for _, attributes in read.tags for name, key in attributes.items() if name == "aria-label"]
    assert [one for one in named if re.search("[A-Za-z]", one)] == []


def test_amounts_are_said_as_on_the_screen() -> None:
    """A wait says its value first, then what the setting is called; a unit is its sign, as on gauges."""
    plan = load(places.procedures_dir() / f"{PLATE}.yaml").require()
    said = Read(as_page(plan)).said
    assert "Wait at least 45 s (Rub at least), at most 1 min 30 s (Rub at most)." in said
    assert "Dose: 24 units (Exposure)." in said
    assert "degC" not in said
    assert "°C" in said
