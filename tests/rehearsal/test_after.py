"""What is found out after a rehearsal is proven: the plate made again without the act lacks the sign."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from after_kit import FOLDER, found_after, found_on, rehearsal_of, walked, written

from trainer.bench import faults_made
from trainer.bench.faults import CATALOGUE
from trainer.record.journal import StationJournal
from trainer.record.practised import faults_of
from trainer.record.rebuild import rebuild
from trainer.record.verify import verify
from trainer.rehearsal.after import After, after, in_words, told
from trainer.rehearsal.after_acts import Act, acts_not_right
from trainer.rehearsal.after_again import Again
from trainer.rehearsal.after_faults import fault_of
from trainer.rehearsal.after_proof import Prover
from trainer.rehearsal.bench_measures import Measuring
from trainer.run.events import BenchReady, Event
from trainer.run.fakes import FakeClock
from trainer.run.fault_events import FaultFound
from trainer.run.scoring import score

TWO = [
    "right: to mask-in-frame",
    "confirm",
    "right: to colour-two",
    "judge: marks",
    "right: to background",
    "judge: clean",
    "right: to spread-gum",
]
"""No mask over the film in the first burn; then, by hand, gum left thick."""


@cache
def again_of(fault: str) -> tuple[Again, tuple[Act, ...]]:
    """The bench of a fault's walk, to be gone through again, and the acts that were not right there."""
    walker = walked(FOLDER / f"{fault}.yaml")
    return _again(walker.events, fault)


def _again(events: tuple[Event, ...], fault: str) -> tuple[Again, tuple[Act, ...]]:
    walker = walked(FOLDER / f"{fault}.yaml")
    rehearsal = rehearsal_of(walker)
    ready = next(event.body for event in events if isinstance(event.body, BenchReady))
    again = Again(rehearsal.kit, ready, Measuring(rehearsal.kit, rehearsal.wanted), tuple(events))
    return again, acts_not_right(walker.plan, events, again.standing())


def test_the_same_events_make_the_same_plate() -> None:
    """Gone through again with nothing changed, the bench makes the plate that the rehearsal made."""
    walker = walked(FOLDER / "mask-off.yaml")
    again, _ = again_of("mask-off")
    assert again.work() == rehearsal_of(walker).work_exact()


def test_putting_the_named_act_right_takes_the_sign_away() -> None:
    """Without the mask a border stands; with it laid on it does not, and all else is as it was."""
    again, acts = again_of("mask-off")
    prover = Prover(again, 24.0)
    here = prover.look()
    mask = next(act for act in acts if act.control == "mask")
    right = prover.look([mask])
    assert here is not None
    assert right is not None
    assert "border" in here.signs
    assert "border" not in right.signs
    assert right.good
    assert replace(again.work([mask]).burns[0], mask="") == again.work().burns[0]


def test_putting_another_act_right_does_not() -> None:
    """The border stays whatever else of the run is put right."""
    again, acts = again_of("mask-off")
    prover = Prover(again, 24.0)
    others = [act for act in acts if act.control != "mask"]
    assert others
    for act in others:
        look = prover.look([act])
        assert look is None or "border" in look.signs


def test_a_right_rehearsal_has_nothing_to_say(tmp_path: Path) -> None:
    """Everything done right: no cause, no sign, no remedy, and nothing in the record."""
    walker = written(tmp_path, ["right: to read-wedge", "stop: looked at"])
    rehearsal = rehearsal_of(walker)
    assert after(rehearsal, walker.events) == After()
    assert told(rehearsal, walker.events) == After()
    assert not [event for event in walker.events if isinstance(event.body, FaultFound)]


def test_two_faults_are_both_found(tmp_path: Path) -> None:
    """A mask left off and gum left thick are two causes, each with its own sign, and the words stay few."""
    acts = [*TWO, "set: {gum: thick}", "confirm", "right: to sheen", "judge: even", "stop: looked at"]
    walker = written(tmp_path, acts)
    found = found_after(walker)
    assert {fault.fault for fault in found.faults} == {"mask-off", "gum-thick"}
    said = in_words(found, walker.plan)
    assert len(said.causes) + len(said.signs) + len(said.next_time) <= 8
    assert {cause.split(".")[0] for cause in said.causes} == {"Mask left off", "Gum too thick"}


@pytest.mark.long
def test_two_acts_that_did_the_same_are_both_found(tmp_path: Path) -> None:
    """With plate and film both beside their pins, putting one right changes nothing; it is found out."""
    acts = [
        "right: to plate-on-pins",
        "set: {cover: off}",
        "confirm",
        "right: to film-in-frame",
        "set: {film: image, film_side: emulsion-down}",
        "confirm",
        "right: to colour-one",
        "judge: all",
        "right: to master-on",
        "set: {pins: seated}",
        "right: to read-wedge",
        "stop: looked at",
    ]
    found = found_after(written(tmp_path, acts))
    assert "not-seated" in {fault.fault for fault in found.faults}


@pytest.mark.long
def test_the_faults_go_into_the_record_once() -> None:
    """Told twice, the record has each fault once, behind the end of the run, and the mark is its skill's."""
    walker = walked(FOLDER / "gum-thick.yaml")
    rehearsal = rehearsal_of(walker)
    said = told(rehearsal, walker.events)
    assert told(rehearsal, walker.events) == said
    kept = [event.body for event in walker.events if isinstance(event.body, FaultFound)]
    assert [(one.fault, one.of, one.skill, one.plate) for one in kept] == [
        ("gum-thick", "spread-gum", "finishing", 1)
    ]
    marks = [mark for mark in score(walker.events).marks if mark.kind == "fault"]
    assert [(mark.skill, mark.hit, mark.step, mark.trainee) for mark in marks] == [
        ("finishing", False, "spread-gum", "T-01")
    ]
    assert marks[0].events[-1] == walker.events[-1].id


def test_found_faults_are_kept_verified_and_made_anew(tmp_path: Path) -> None:
    """In a real record: a row of the act that made the fault, verified, the same tables when made anew."""
    walker = walked(FOLDER / "gum-thick.yaml")
    told(rehearsal_of(walker), walker.events)
    path, clock = tmp_path / "record.db", FakeClock()
    with StationJournal(path, clock) as journal:
        plan = walker.plan
        journal.keep_procedure(plan.content_hash, plan.source, plan.procedure.id, plan.procedure.revision)
        journal.append(walker.events)
        assert [event.body.kind for event in faults_of(journal, "T-01")] == ["fault_found"]
        rows = _attempts(journal)
    made = [row for row in rows if row[0] == "fault"]
    assert made == [("fault", "gum-thick", "spread-gum", "finishing", 1)]
    rebuild(path)
    assert verify(path).ok
    with StationJournal(path, clock) as journal:
        assert _attempts(journal) == rows


def _attempts(journal: StationJournal) -> list[tuple[object, ...]]:
    with journal.reading() as connection:
        rows = connection.execute("SELECT task, outcome, step, skill, plate FROM attempts ORDER BY seq")
        return list(rows.fetchall())


@pytest.mark.long
def test_a_timer_set_too_short_is_too_few_units(tmp_path: Path) -> None:
    """With a hot new lamp and a timer, it is neither cold nor old: the time itself was too short."""
    acts = ["right: to set-units", "set: {counter: timer, timer: 8}", "confirm", "right: to burn-one"]
    acts += ["set: {lamp: on}", "confirm", "pass: 60 s", "confirm", "right: to colour-one", "judge: all"]
    acts += ["right: to same-units", "set: {counter: integrator}", "right: to colour-two", "judge: marks"]
    acts += ["right: to background", "judge: clean", "right: to read-wedge", "stop: looked at"]
    walker = written(tmp_path, acts, "conditions: {lamp_hours: 0, lamp_warm: 1}\n")
    assert "underexposed" in {fault.fault for fault in found_after(walker).faults}


@pytest.mark.long
def test_what_the_catalogue_has_no_name_for_is_told_by_its_act(tmp_path: Path) -> None:
    """A wedge that nobody laid in is no fault of the catalogue; the act is told all the same."""
    walker = written(tmp_path, ["right: to place-wedge", "confirm", "right: to last-look", "stop: looked at"])
    said = in_words(found_after(walker), walker.plan)
    assert any("wedge not touched (off)" in cause for cause in said.causes)


def test_without_a_plate_nothing_is_found_out(tmp_path: Path) -> None:
    """A rehearsal that ended before a plate was burned has nothing to say."""
    walker = written(tmp_path, ["right: to take-plate", "stop: no time"])
    assert after(rehearsal_of(walker), walker.events) == After()


def test_a_plate_given_up_is_looked_into_too(tmp_path: Path) -> None:
    """The fault of the first plate is kept, though a second one was begun."""
    acts = [
        "right: to mask-in-frame",
        "confirm",
        "right: to colour-one",
        "spoil: no mask",
        "right: to look-at-holes",
        "stop: looked at",
    ]
    walker = written(tmp_path, acts)
    told(rehearsal_of(walker), walker.events)
    kept = [event.body for event in walker.events if isinstance(event.body, FaultFound)]
    assert all(one.plate == 1 for one in kept)


@pytest.mark.parametrize(
    ("control", "was", "fault"),
    [("mask", "none", "mask-off"), ("buff", "off", "not-buffed"), ("gasket", "tape", "film-edge")],
)
def test_an_act_has_the_name_of_its_fault(control: str, was: str, fault: str) -> None:
    """The names that acts are given are ids of the catalogue."""
    again, _ = again_of("mask-off")
    assert fault_of(Act("set", control, was, "on", None), again.events) == fault
    assert fault in CATALOGUE
    assert fault in faults_made.MAKERS


@pytest.mark.long
def test_the_named_act_is_the_only_one_that_clears_the_plate() -> None:
    """In walks of faults: with the named act put right the first sign is gone, with any other it is not."""
    for fault in ("emulsion-up", "off-centre", "dirty-pad", "pinholes", "gum-late", "film-edge"):
        again, acts = again_of(fault)
        prover = Prover(again, 24.0)
        first = found_on(fault).faults[0].signs[0]
        cleared = set()
        for act in acts:
            look = prover.look([act])
            if look is not None and first not in {sign.seen for sign in look.signs.values()}:
                cleared.add(fault_of(act, again.events))
        assert cleared == {fault}


@pytest.mark.long
def test_gum_that_was_never_spread_is_told_at_once(tmp_path: Path) -> None:
    """Before anything shows on the metal: gum and buffing were both left out, and neither alone helps."""
    walker = written(tmp_path, ["right: to spread-gum", "confirm", "confirm", "stop: looked at"])
    found = found_after(walker)
    assert not found.look.signs
    assert "no-gum" in {one.fault for one in found.faults}
    assert {one.words for one in found.faults} <= {"gum not touched (none)", "buff not touched (off)"}
