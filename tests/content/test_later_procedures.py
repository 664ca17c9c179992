"""What the later procedures say, held against the sources that the guide names for it."""

from __future__ import annotations

import pytest
from shipped import DRILLS, LATER, options, plan, quizzes, steps_with, texts

from trainer import places
from trainer.procedure.model import Quiz, Setting
from trainer.procedure.text import in_language


def quiz(procedure: str, name: str) -> Quiz:
    """A question by its name."""
    return next(one for one in quizzes(procedure) if one.name == name)


def setting(procedure: str, name: str) -> Setting:
    """A setting of a procedure."""
    return plan(procedure).procedure.settings[name]


def said(procedure: str) -> str:
    """All that a procedure says, in one text."""
    return " ".join(text for _, _, text in texts(procedure)).lower()


@pytest.mark.parametrize("procedure", DRILLS)
def test_a_drill_says_that_it_is_one(procedure: str) -> None:
    """In its title, its summary, its first caution, and a prompt of danger that holds to the end."""
    whole = plan(procedure).procedure
    assert in_language(whole.title).startswith("Drill: ")
    assert "In a real emergency act first and call the local emergency number" in in_language(whole.summary)
    assert (
        in_language(whole.cautions[0]) == "This is a drill. In a real emergency act first, read afterwards."
    )
    (last,) = [step.hazard for step in steps_with(procedure, "hazard") if step.hazard and step.hazard.always]
    assert last.signal == "danger"
    assert "call the local emergency number" in " ".join(map(in_language, last.avoid))


@pytest.mark.parametrize("procedure", DRILLS)
def test_the_guide_says_that_it_is_a_drill(procedure: str) -> None:
    """The page of sources names it as a drill, with what to do in a real emergency."""
    page = (places.guide_dir() / "sources.md").read_text(encoding="utf-8")
    assert f"`{procedure}`" in page
    assert "are drills. In a real emergency act first and call the local emergency number." in page


def test_the_flush_of_the_drill() -> None:
    """Fifteen minutes unless a shop says otherwise, by a countdown; the question wants 15 whatever it says.

    ANSI Z358.1, second-hand.
    """
    flush = plan("eye-splash").steps["flush"].wait
    assert flush is not None
    assert flush.for_ == "settings.flush"
    own = setting("eye-splash", "flush")
    assert (own.value, own.unit) == (15, "min")
    asked = quiz("eye-splash", "flush_time")
    assert (asked.right, asked.number and asked.number.unit) == (15, "min")
    assert "A drill may be set shorter. A real flush never is" in " ".join(
        text for _, _, text in texts("eye-splash")
    )


def test_no_shop_may_set_the_eyewash_below_its_rules() -> None:
    """Ten seconds' way and 60 to 100 degF (ANSI Z358.1, second-hand), 1.5 L/min (WAC 296-800-15030)."""
    assert setting("eye-splash", "reach_most").between[1] <= 10
    assert setting("eye-splash", "flow_least").between[0] >= 1.5
    assert setting("eye-splash", "tepid_least").between[0] >= (60 - 32) / 1.8
    assert setting("eye-splash", "tepid_most").between[1] <= (100 - 32) / 1.8


def test_the_order_of_a_splash() -> None:
    """The water comes before lids, lenses, calls and papers (ANSI Z358.1 second-hand; common practice)."""
    assert quiz("eye-splash", "order").right == ("shout", "water", "lids", "sheet")
    order = list(plan("eye-splash").steps)
    wanted = ["call-out", "lead", "water-on", "lids", "send-caller", "flush", "hand-over"]
    assert sorted(wanted, key=order.index) == wanted


def test_the_order_of_a_spill() -> None:
    """People, sparks, protection, absorbing from outside, bagging, washing (University of Virginia)."""
    assert quiz("chemical-spill", "order").right == ("warn", "look", "wear", "soak")
    order = list(plan("chemical-spill").steps)
    wanted = [
        "warn",
        "kill-sparks",
        "anybody-hurt",
        "dress",
        "ring",
        "cover",
        "collect",
        "wash-floor",
        "hands",
    ]
    assert sorted(wanted, key=order.index) == wanted
    assert "from outside inwards" in said("chemical-spill")


def test_a_spill_is_left_where_it_is_not_small() -> None:
    """Hurt people, an unknown chemical, fire and too much of it each lead away from the cleaning."""
    whole = plan("chemical-spill")
    ways = {way.to for step in ("anybody-hurt", "how-much") for way in whole.steps[step].go}
    assert ways == {"help-hurt", "stay-out"}
    leave = quiz("chemical-spill", "leave_it").right
    assert isinstance(leave, tuple)
    assert set(leave) == {"unknown", "hurt", "large", "fire"}


def test_numbers_that_have_a_source() -> None:
    """Type height 0.918 in; clear step 3; emulsion in air of 30 to 40 %, below 110 degF (guide, sources)."""
    assert abs(setting("polymer-relief-block", "type_height").value - 0.918 * 25.4) < 0.005
    assert setting("positive-plate", "clear_target").value == 3
    assert 30 <= setting("screen-stencil", "dry_dampest").value <= 40
    assert setting("screen-stencil", "dry_warmest").between[1] <= (110 - 32) / 1.8


def test_packing_under_the_plate_makes_the_print_shorter() -> None:
    """Graphic Arts Technical Foundation, "Cylinder Packing for Changing Image Length"."""
    assert quiz("press-mounting", "longer").right == "shorter"
    assert options(quiz("press-mounting", "longer"))["shorter"] == "Shorter"


def test_what_no_bench_models_names_no_bench_controls() -> None:
    """The later procedures have no bench controls, and each summary or head says that there is no bench."""
    for procedure in LATER:
        whole = plan(procedure)
        assert not [step.id for step in whole.steps.values() if step.bench]
        assert "no simulated bench" in in_language(whole.procedure.summary)
