"""One walk a fault: the single act spoiled makes the plate its fault describes, and the act is found out."""

from __future__ import annotations

from collections import Counter
from itertools import chain
from time import process_time

import after_kit
import pytest
from after_kit import FAULTS, FOLDER, found_after, found_on, walked
from test_wordless import PLATE, begun
from wordless import LANGUAGE, read_in, speaking, wordless_plan

from trainer import places
from trainer.bench.faults import CATALOGUE, CLASSES
from trainer.procedure.load import load
from trainer.rehearsal.after import in_words
from trainer.rehearsal.walk_file import read_walk
from trainer.run.fault_events import FaultFound
from trainer.run.scoring import Mark
from trainer.run.view_parts import Parts
from trainer.screens import misses

pytestmark = pytest.mark.long


def test_every_fault_has_its_walk() -> None:
    """No fault of the catalogue is without a walk, and no walk without a fault."""
    assert sorted(CATALOGUE) == FAULTS


@pytest.mark.parametrize("fault", FAULTS)
def test_the_walk_expects_the_plate_its_fault_describes(fault: str) -> None:
    """The plate fails, by a measure that the catalogue names for the fault.

    That every walk passes is held by tests/content/test_nothing_left_out.py.
    """
    walk = read_walk(FOLDER / f"{fault}.yaml").walk
    assert walk is not None
    expected = {one.name for one in walk.expected if one.kind == "plate"}
    assert "passes" in expected
    assert expected & set(CATALOGUE[fault].measures)


@pytest.mark.parametrize("fault", FAULTS)
def test_the_plate_alone_names_the_class_first(fault: str) -> None:
    """The likeliest class of causes, from the plate alone, is the fault's."""
    assert found_on(fault).look.likely[0] == CATALOGUE[fault].alike


@pytest.mark.parametrize("fault", FAULTS)
def test_the_events_name_the_very_fault(fault: str) -> None:
    """The first fault found out is the one that was made, and its signs are those that the plate shows."""
    found = found_on(fault)
    first = found.faults[0]
    assert (first.fault, first.alike) == (fault, CATALOGUE[fault].alike)
    assert first.signs
    assert set(first.signs) <= {sign.seen for sign in found.look.signs.values()}


@pytest.mark.parametrize("fault", FAULTS)
def test_nothing_else_is_blamed(fault: str) -> None:
    """A single act that is spoiled gives a single fault."""
    assert [one.fault for one in found_on(fault).faults] == [fault]


@pytest.mark.parametrize("fault", FAULTS)
def test_the_words_are_few_and_plain(fault: str) -> None:
    """At most eight lines, each a sentence that fits on three rows of a narrow screen."""
    said = after_kit.said_of(fault)
    lines = [*said.causes, *chain.from_iterable(said.signs), *said.next_time]
    assert len(said.causes) + len(said.signs) + len(said.next_time) <= 8
    assert said.causes
    assert said.signs
    assert said.next_time
    assert all(len(line) <= 200 for line in lines)


@pytest.mark.parametrize("fault", FAULTS)
def test_the_words_hold_nothing_that_translators_were_not_given(fault: str) -> None:
    """In another language: what made the plate so, what shows it, what to do next time, and the mark."""
    plan, found = wordless_plan(PLATE), found_on(fault)
    with speaking():
        lines = in_words(found, plan, LANGUAGE).lines
        assert lines
        assert read_in(lines) == []
        parts = Parts(plan, begun(plan, "full").run.state)
        told = [
            Mark("fault", "", hit=False, step=one.of, trainee="T-01", words="", events=())
            for one in found.faults
        ]
        said = [misses.miss(parts, mark, one) for mark, one in zip(told, found.faults, strict=True)]
        assert read_in(said) == []


def test_classes_of_several_faults_are_told_apart_by_their_events() -> None:
    """Where several faults leave the same plate, each of them is found out in its own walk."""
    several = [
        alike for alike, count in Counter(one.alike for one in CATALOGUE.values()).items() if count > 1
    ]
    assert several
    for alike in several:
        members = [fault for fault in FAULTS if CATALOGUE[fault].alike == alike]
        assert {found_on(fault).faults[0].fault for fault in members} == set(members)
        assert {found_on(fault).look.likely[0] for fault in members} == {alike}


def test_a_fault_is_put_down_to_a_skill_of_the_procedure() -> None:
    """The skill of each fault, found out or in the catalogue, is one that the shipped procedure names."""
    plan = load(places.procedures_dir() / "negative-plate-two-burns.yaml").require()
    skills = set(plan.procedure.skills)
    assert {fault.skill for fault in CATALOGUE.values()} <= skills
    assert {found_on(fault).faults[0].skill for fault in FAULTS} <= skills


def test_nothing_is_recorded_by_looking() -> None:
    """Finding out adds no event."""
    walker = walked(FOLDER / "mask-off.yaml")
    found_on("mask-off")
    assert not [event for event in walker.events if isinstance(event.body, FaultFound)]
    assert set(CLASSES) == {fault.alike for fault in CATALOGUE.values()}


def test_it_takes_two_seconds_at_most() -> None:
    """Finding out what a usual spoiled act did takes at most two seconds of work."""
    for fault in ("mask-off", "emulsion-up", "gum-thick"):
        walker = walked(FOLDER / f"{fault}.yaml")
        found_after(walker)
        began = process_time()
        found_after(walker)
        assert process_time() - began < 2.0, fault
