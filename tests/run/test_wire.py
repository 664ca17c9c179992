"""Events as JSON, and back."""

from __future__ import annotations

import json
from dataclasses import fields
from typing import cast, get_type_hints

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from trainer.run import events as ev
from trainer.run import wire
from trainer.run.events import Body, Event, Stamp
from trainer.run.wire import KINDS, WireError, body_from_json, body_to_json, event_from_json, event_to_json

_NUMBERS = st.floats(allow_nan=False, allow_infinity=False, width=32)
_WHOLE = st.integers(-(2**53) + 1, 2**53 - 1)
st.register_type_strategy(float, _NUMBERS)
st.register_type_strategy(int, _WHOLE)
st.register_type_strategy(str, st.text(st.characters(exclude_categories=["Cs"]), max_size=12))


def bodies_of(kind: type[Body]) -> st.SearchStrategy[Body]:
    """Bodies of one kind with any values of the right types."""
    hints = get_type_hints(kind)
    return st.builds(kind, **{field.name: st.from_type(hints[field.name]) for field in fields(kind)})


BODIES = st.one_of([bodies_of(kind) for kind in KINDS.values()])
STAMPS = st.builds(Stamp, at=st.just("2026-03-02T09:00:00.000Z"), boot=st.text(max_size=4), ticks_ms=_WHOLE)


@given(BODIES)
def test_bodies_come_back(body: Body) -> None:
    """Every body of every kind comes back from JSON text equal to what it was."""
    assert body_from_json(json.loads(json.dumps(body_to_json(body)))) == body


@given(BODIES)
def test_bodies_come_back_from_canonical_json(body: Body) -> None:
    """Canonical JSON (RFC 8785) writes 24.0 as 24; the body is the same all the same."""
    canonical = rfc8785.dumps(cast("dict[str, rfc8785._impl._Value]", body_to_json(body)))
    assert body_from_json(json.loads(canonical)) == body


@given(
    st.builds(
        Event,
        id=st.text(max_size=4),
        run=st.text(max_size=4),
        seq=_WHOLE,
        stamp=STAMPS,
        step=st.none() | st.text(max_size=4),
        body=BODIES,
    )
)
def test_events_come_back(event: Event) -> None:
    """An event comes back with its envelope."""
    assert event_from_json(json.loads(json.dumps(event_to_json(event)))) == event


def test_every_kind_is_known() -> None:
    """The kinds on the wire are those of the design, each with its own name."""
    assert set(KINDS) == {
        "run_opened",
        "fault_found",
        "practice_plate",
        "practice_measured",
        "step_shown",
        "hint_opened",
        "hazard_accepted",
        "confirmed",
        "wait_begun",
        "wait_warned",
        "wait_ended",
        "reading_taken",
        "judged",
        "quiz_answered",
        "worked_out",
        "setting_offered",
        "setting_changed",
        "signed_off",
        "sign_off_refused",
        "bench_ready",
        "bench_set",
        "moved",
        "next_offered",
        "next_picked",
        "plate_made",
        "plate_spoiled",
        "paused",
        "resumed",
        "note_added",
        "run_excused",
        "code_mistyped",
        "run_handed_over",
        "run_closed",
    }


def test_reserved_word_stays_out_of_the_record() -> None:
    """`from` is written without the mark that Python needs."""
    assert body_to_json(ev.RunHandedOver("T-01", "T-02")) == {
        "kind": "run_handed_over",
        "version": 1,
        "from": "T-01",
        "to": "T-02",
    }


OPENED = {"kind": "moved", "version": 1, "to": "expose", "why": "finished"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kind": "teleported"}, "no kind of event called 'teleported'"),
        ({"kind": 7}, "no kind of event called 7"),
        ({"version": 2}, "Version 2 of moved is not known; version 1 is"),
        ({"version": True}, "Version True"),
        ({"speed": 3}, "moved has no field 'speed'"),
        ({"why": "bored"}, "`why` of moved: 'bored' is none of finished"),
        ({"to": 3}, "`to` of moved: 3 is not a text"),
        ({"to": None}, "`to` of moved: None is not a text"),
    ],
)
def test_strange_bodies_are_refused(change: dict[str, object], words: str) -> None:
    """An unknown kind, version, field or value is refused by name."""
    with pytest.raises(WireError, match=words):
        body_from_json({**OPENED, **change})


@pytest.mark.parametrize("field", ["to", "why", "kind", "version"])
def test_missing_fields_are_refused(field: str) -> None:
    """A body that lacks a field is refused."""
    with pytest.raises(WireError, match=r"field|kind|Version"):
        body_from_json({key: value for key, value in OPENED.items() if key != field})


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True, "24", None])
def test_no_number_is_no_number(value: object) -> None:
    """Where a number belongs, neither NaN nor infinity nor truth nor text is taken."""
    begun = {**body_to_json(ev.SettingOffered("exposure", 24, 48, "units", fits=True)), "new": value}
    with pytest.raises(WireError, match="`new` of setting_offered"):
        body_from_json(begun)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"seq": "1"}, "`seq` of an event: '1' is not a whole number"),
        ({"at": "yesterday"}, "not a time like"),
        ({"step": 4}, "a text or null"),
        ({"extra": 1}, "an event has no field 'extra'"),
    ],
)
def test_strange_envelopes_are_refused(change: dict[str, object], words: str) -> None:
    """An envelope with a wrong or unknown field is refused by name."""
    event = Event("id", "run", 1, Stamp("2026-03-02T09:00:00.000Z", "boot", 1), None, ev.Confirmed())
    with pytest.raises(WireError, match=words):
        event_from_json({**event_to_json(event), **change})


def test_long_whole_numbers_are_decimals() -> None:
    """A whole number that JSON does not keep exactly is read as the decimal it was, or refused."""
    read = body_from_json({"kind": "bench_set", "version": 1, "control": "units", "value": 45114254872805380})
    assert read == ev.BenchSet("units", 4.511425487280538e16)
    with pytest.raises(WireError, match="exactly"):
        body_from_json({"kind": "plate_made", "version": 1, "plate": 2**53, "passes": True, "sheet": {}})


@pytest.mark.parametrize("value", [None, 3, "text", [], [1], {1: 2}])
def test_other_json_is_refused(value: object) -> None:
    """What is no JSON object is no event and no body."""
    for read in (body_from_json, event_from_json):
        with pytest.raises(WireError, match="not a JSON object"):
            read(value)


def test_types_that_the_wire_cannot_hold_are_told() -> None:
    """A body with a field of a type that the wire cannot hold fails at once and not in silence."""
    with pytest.raises(TypeError, match="cannot hold"):
        wire._reader(complex)
