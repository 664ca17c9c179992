"""The exposure test: a loop of strips that ends with a number for the shop."""

from __future__ import annotations

import networkx as nx
from shipped import plan, steps_with

TEST = "exposure-test"


def test_the_next_strip_gets_the_units_that_were_worked_out() -> None:
    """The dose is a worked value: the first strip takes it from the shop, each next one from the wedge."""
    burn = plan(TEST).steps["burn"]
    assert burn.wait is not None
    assert burn.wait.dose == "worked.units"
    sources = {step.id: step.work_out.from_ for step in steps_with(TEST, "work_out") if step.work_out}
    assert sources["first-units"] == "settings.exposure"
    assert "exposure_for_step(worked.units, readings.wedge, settings.wedge_target)" in sources["next-units"]


def test_the_loop_goes_back_to_a_fresh_strip() -> None:
    """From the worked correction the way leads through another burn to another reading."""
    ways = graph()
    assert plan(TEST).next_of["next-units"] == "strip-on"
    assert nx.has_path(ways, "next-units", "burn")
    assert nx.has_path(ways, "burn", "read-wedge")


def test_the_corrected_exposure_is_offered_to_the_shop() -> None:
    """The offer is the setting that the test began with, and is reached only by a wedge at its target."""
    (offer,) = steps_with(TEST, "offer_setting")
    assert offer.offer_setting is not None
    assert (offer.offer_setting.setting, offer.offer_setting.from_) == ("exposure", "worked.units")
    without = graph()
    without.remove_edge("read-wedge", "ask-log")
    assert not nx.has_path(without, plan(TEST).first, offer.id)


def test_what_was_worked_out_outlives_a_spoiled_strip() -> None:
    """All worked values are kept for the run, so a spoiled strip does not begin the test anew."""
    assert all(step.work_out and step.work_out.keeps == "run" for step in steps_with(TEST, "work_out"))


def graph() -> nx.DiGraph[str]:
    """The steps and the ways between them."""
    whole = plan(TEST)
    ways: nx.DiGraph[str] = nx.DiGraph()
    for step in whole.steps:
        ways.add_edge(step, whole.next_of[step])
        ways.add_edges_from((step, way.to) for way in whole.ways.get(step, ()))
    return ways
