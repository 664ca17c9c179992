"""Safety prompts of the shipped procedures stand before what they cover, and say what the sources say.

The graph library is the oracle here; the program's own checks use none.
"""

from __future__ import annotations

import networkx as nx
import pytest
from shipped import DRILLS, IDS, plan, steps_with, texts

from trainer import places
from trainer.procedure.text import in_language

WITH_DEVELOPER = ("negative-plate-two-burns", "exposure-test", "closing-the-sink", "positive-plate")
"""Those in which developer is in somebody's hands."""
WITH_VAPOUR = ("negative-plate-two-burns", "exposure-test", "closing-the-sink")
"""Those whose developer may hold alcohol."""


@pytest.mark.parametrize("procedure", IDS)
def test_no_way_goes_round_a_prompt(procedure: str) -> None:
    """Without the prompt no step that it covers can be reached, from the start or from a new plate."""
    whole = plan(procedure)
    ways = graph(procedure)
    starts = {whole.first, *(s.new_plate_from for s in whole.procedure.stages if s.new_plate_from)}
    for prompt in steps_with(procedure, "hazard"):
        assert prompt.hazard is not None
        cut = ways.copy()
        cut.remove_node(prompt.id)
        for covered in prompt.hazard.covers:
            for start in starts - {prompt.id}:
                assert not nx.has_path(cut, start, covered), (prompt.id, start, covered)


@pytest.mark.parametrize("procedure", IDS)
def test_one_prompt_is_minded_on_every_way_to_the_end(procedure: str) -> None:
    """Of waste, or in a drill of the real case: it holds to the end, and no way there goes round it."""
    (last,) = [step for step in steps_with(procedure, "hazard") if step.hazard and step.hazard.always]
    assert last.id == ("mind-the-real" if procedure in DRILLS else "mind-the-waste")
    cut = graph(procedure)
    cut.remove_node(last.id)
    first = plan(procedure).first
    assert last.id == first or not nx.has_path(cut, first, "done")


def graph(procedure: str) -> nx.DiGraph[str]:
    """The steps and the ways between them."""
    whole = plan(procedure)
    ways: nx.DiGraph[str] = nx.DiGraph()
    for step in whole.steps:
        ways.add_edge(step, whole.next_of[step])
        ways.add_edges_from((step, way.to) for way in whole.ways.get(step, ()))
    return ways


def words_of(prompt: str) -> str:
    """All words of a prompt of the two-burn procedure."""
    step = plan("negative-plate-two-burns").steps[prompt]
    assert step.hazard is not None
    return " ".join([in_language(step.hazard.harm), *map(in_language, step.hazard.avoid)]).lower()


@pytest.mark.parametrize(
    ("prompt", "wanted"),
    [
        ("mind-the-edges", ["sharp", "cut"]),
        ("mind-the-punch", ["crush", "finger", "guard"]),
        ("mind-the-power", ["shock", "dry hands"]),
        ("mind-the-glass", ["crushes fingers", "break", "never force"]),
        ("mind-the-light", ["ultraviolet", "eyes", "skin", "interlock"]),
        ("mind-the-heat", ["hot", "ozone", "fan"]),
        ("mind-your-eyes", ["eyes", "skin", "gloves and eye protection as its safety data sheet says"]),
        ("mind-the-vapour", ["fire", "no flame", "ventilation", "closed"]),
        ("mind-the-floor", ["slip", "wipe up"]),
        ("mind-the-waste", ["fire", "drain", "local rules"]),
    ],
)
def test_a_prompt_names_the_harm_and_the_way_out(prompt: str, wanted: list[str]) -> None:
    """The prompt speaks of everything that the trade warns of there. Common practice; no one source."""
    said = words_of(prompt)
    assert [word for word in wanted if word not in said] == []


def test_developer_has_the_signal_word_of_the_stricter_sheet() -> None:
    """Danger: propan-1-ol, found in developers, is H318 and H225 (a generic safety data sheet for it)."""
    for prompt, procedures in (("mind-your-eyes", WITH_DEVELOPER), ("mind-the-vapour", WITH_VAPOUR)):
        for procedure in procedures:
            step = plan(procedure).steps[prompt]
            assert step.hazard is not None
            assert step.hazard.signal == "danger"


def test_the_way_to_the_eyewash() -> None:
    """Ten seconds, nothing in the way (ANSI Z358.1, second-hand); one, hands-free (WAC 296-800-15030)."""
    step = plan("negative-plate-two-burns").steps["find-eyewash"]
    said = " ".join([in_language(step.do), *map(in_language, step.key_points)]).lower()
    for words in (
        "nothing may stand in the way",
        "within ten seconds",
        "opens in one second",
        "without a hand",
    ):
        assert words in said


def test_flushing_takes_fifteen_minutes() -> None:
    """Fifteen minutes, both eyes, tepid (ANSI Z358.1, second-hand), in the question and in each prompt."""
    quiz = plan("negative-plate-two-burns").steps["ask-flush"].quiz
    assert quiz is not None
    assert (quiz.right, quiz.number and quiz.number.unit) == (15, "min")
    because = in_language(quiz.because).lower()
    assert "both eyes" in because
    assert "tepid" in because
    for procedure in WITH_DEVELOPER:
        assert any(
            "flush 15 minutes" in text for step, _, text in texts(procedure) if step == "mind-your-eyes"
        )


def test_the_safety_page_works_out_its_water() -> None:
    """0.4 US gal/min and 1.5 L/min for 15 minutes (WAC 296-800-15030) are 6.0 US gal and 22.5 L."""
    page = (places.guide_dir() / "safety.md").read_text(encoding="utf-8")
    assert "0.4 US gal/min (1.5 L/min)" in page
    assert f"{0.4 * 15:.1f} US gal, {1.5 * 15:.1f} L" in page
    assert "29 CFR 1910.151(c)" in page
    assert "ANSI Z358.1" in page


@pytest.mark.parametrize("procedure", IDS)
def test_whose_rules_come_first(procedure: str) -> None:
    """The file defers to local code, makers, data sheet, instructor and the machine's own guards."""
    cautions = " ".join(in_language(caution) for caution in plan(procedure).procedure.cautions).lower()
    wanted = ["local codes", "makers' instructions", "safety data sheet", "qualified instructor"]
    wanted += ["gloves and eye protection as it says", "never replaces", "interlock", "timer"]
    assert [words for words in wanted if words not in cautions] == []
